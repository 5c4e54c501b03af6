"""What was saved last and can be undone: kept in the session, for as long as undo is offered."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.http import HttpRequest

from slipwright.records.models import Entry
from slipwright.web.membership import GardenRequest

#: how long a save can be undone from the bar under the header
UNDO_FOR = timedelta(seconds=30)


def remember(request: GardenRequest, words: str, entries: Iterable[Entry]) -> None:
    """Keep what was just saved, newest entry last, so that the next page can offer to undo it."""
    request.session["saved"] = {
        "words": words,
        "entries": [[entry.kind, entry.entry_id] for entry in entries],
        "at": request.now.isoformat(),
    }


def is_fresh(request: HttpRequest) -> bool:
    """Return whether what was saved last can still be undone."""
    saved = request.session.get("saved")
    if not saved:
        return False
    now: datetime = request.now  # type: ignore[attr-defined]
    return now - datetime.fromisoformat(saved["at"]) <= UNDO_FOR
