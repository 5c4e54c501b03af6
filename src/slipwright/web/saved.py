"""What was saved last and can be undone: kept in the session, for as long as undo is offered."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.http import HttpRequest

from slipwright.records.errors import TakenBefore
from slipwright.records.models import Entry
from slipwright.records.selectors import is_taken_back
from slipwright.web.membership import GardenRequest

#: how long a save can be undone from the bar under the header
UNDO_FOR = timedelta(seconds=30)


def remember(request: GardenRequest, words: str, entries: Iterable[Entry]) -> None:
    """Keep what was just saved, newest entry last, so that the next page can offer to undo it.

    A form that was saved, undone and sent once more finds its entries taken back: ``TakenBefore``. One
    that is sent once more when undo is offered no longer is told again, and not offered to undo.
    """
    saved = list(entries)
    if is_taken_back(request.garden, saved):
        raise TakenBefore
    kept_at = min((entry.received_at for entry in saved), default=request.now)
    if request.now - kept_at > UNDO_FOR:
        saved, kept_at = [], request.now
    request.session["saved"] = {
        "id": uuid.uuid4().hex,
        "words": words,
        "entries": [[entry.kind, entry.entry_id] for entry in saved],
        "at": kept_at.isoformat(),
    }


def may_show(request: HttpRequest) -> bool:
    """Return whether this page tells what was saved last: the first page shown after it, and no other.

    Undo itself can be pressed on that page for as long as it is offered.
    """
    if "Slipwright-Keep" in request.headers:  # nobody reads a page that is only kept for later
        return False
    if not hasattr(request, "_tells_saved"):
        saved = request.session.get("saved")
        tells = saved is not None and "shown" not in saved and is_fresh(request)
        request._tells_saved = tells  # type: ignore[attr-defined]
        if saved is not None and tells:
            request.session["saved"] = {**saved, "shown": True}
    return bool(request._tells_saved)  # type: ignore[attr-defined]


def is_fresh(request: HttpRequest) -> bool:
    """Return whether what was saved last can still be undone."""
    saved = request.session.get("saved")
    if not saved:
        return False
    now: datetime = request.now  # type: ignore[attr-defined]
    return now - datetime.fromisoformat(saved["at"]) <= UNDO_FOR
