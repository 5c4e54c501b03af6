"""What every way in has in common: a session of its own, and a line in the door's book."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import login
from django.http import HttpRequest

from slipwright.records.services.door_book import keep_came_in
from slipwright.web.sure import make_sure
from slipwright.web.tries import address_of

_BACKEND = "slipwright.records.signing_in.MemberBackend"


def come_in(request: HttpRequest, user: Any, what: str = "signed-in") -> None:
    """Sign somebody in with a session of its own; what was in the one before is forgotten."""
    request.session.flush()
    login(request, user, backend=_BACKEND)
    if what != "phone-let-in":
        make_sure(request)
        keep_came_in(user=user, what=what, now=request.now, told=address_of(request))  # type: ignore[attr-defined]
