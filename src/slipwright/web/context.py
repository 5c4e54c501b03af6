"""What every page may show."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from slipwright.records import roles, selectors
from slipwright.records.keeping import standing
from slipwright.web.saved import may_show
from slipwright.web.tongue import tongue_of


def of_page(request: HttpRequest) -> dict[str, Any]:
    """Return what the frame of a page shows: the garden, who is signed in, the day, the look of the page."""
    member = getattr(request, "member", None)
    garden = getattr(request, "garden", None)
    look = request.COOKIES.get("look", "")
    return {
        "request": request,
        "member": member,
        "garden": garden,
        "today": getattr(request, "today", None),
        "is_overheard": getattr(request, "is_overheard", False),
        "is_demo": bool(garden and garden.stands_on),
        "units": "us" if garden and garden.units == "us" else "metric",
        "may_record": bool(member and roles.may(member, roles.RECORD)),
        "may_edit": bool(member and roles.may(member, roles.EDIT)),
        "may_settle": bool(member and roles.may(member, roles.SETTLE)),
        # counted only where it is shown
        "to_settle": lambda: (
            selectors.n_to_settle(garden) if member and garden and roles.may(member, roles.SETTLE) else 0
        ),
        "room_is_short": lambda: member is not None and standing.room().is_short,
        # a volunteer can do nothing about it, and of a demonstration nobody wants a copy
        "keeping_reminder": lambda: (
            standing.reminder(request.now)  # type: ignore[attr-defined]
            if member and garden and not garden.stands_on and roles.may(member, roles.SETTLE)
            else ""
        ),
        "may_govern": bool(member and roles.may(member, roles.GOVERN)),
        "may_undo": lambda: member is not None and may_show(request),  # asked only where it is shown
        "look": look if look in ("light", "dark") else "",
        "tongue": tongue_of(request),
        "tongues": settings.LANGUAGES,
    }
