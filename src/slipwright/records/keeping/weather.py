"""The helper fetches the weather of each garden every three hours, where the setting says so.

What came of it stands in a small file beside the garden, for the pages to tell.
"""

from __future__ import annotations

import json
import os
import uuid
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta

from slipwright.records import weather_fetch
from slipwright.records.keeping import diary
from slipwright.records.models import Garden
from slipwright.records.selectors import garden_day
from slipwright.records.services.weather import keep_fetched_weather
from slipwright.records.tables.loading import LoadFailed
from slipwright.records.weather_fetch import GOOD_FOR, FetchFailed

#: after the first failure it is asked again so soon, and each time twice as late, up to ``GOOD_FOR``
FIRST_WAIT = timedelta(minutes=10)
#: the helper has other things to do: it asks twice at most, and comes again
TRIES = 2


@dataclass(frozen=True, slots=True)
class Fetched:
    """When weather came last, and when it was asked for last; ``fault`` says why it did not come then."""

    came_at: datetime | None = None
    tried_at: datetime | None = None
    fault: str = ""
    n_failed: int = 0


def fetched_last(garden: Garden) -> Fetched:
    """Return what came of fetching a garden's weather; nothing where it never was."""
    told = _read().get(str(garden.garden), {})
    try:
        times = {
            name: datetime.fromisoformat(told[name]) if told.get(name) else None
            for name in ("came_at", "tried_at")
        }
        return Fetched(**times, fault=str(told.get("fault", "")), n_failed=int(told.get("n_failed", 0)))
    except (TypeError, ValueError):
        return Fetched()


def is_due(last: Fetched, now: datetime) -> bool:
    """Return whether it is time to ask: every three hours, sooner after a failure."""
    if last.tried_at is None:
        return True
    wait = min(FIRST_WAIT * 2 ** min(last.n_failed - 1, 10), GOOD_FOR) if last.n_failed else GOOD_FOR
    # a clock that was put back must not put it off for years
    return abs(now - last.tried_at) >= wait


def one_pass(garden: Garden, *, now: datetime, told: Callable[[str], None]) -> bool:
    """Fetch a garden's weather if it is due, and return whether any day is new; faults are told once."""
    if garden.stands_on is not None or not weather_fetch.is_on():
        return False
    last = fetched_last(garden)
    if not is_due(last, now):
        return False
    try:
        return fetch(garden, now=now, tries=TRIES) > 0
    except (FetchFailed, LoadFailed) as error:
        if not last.n_failed:
            told(f"no weather was fetched for {garden.name}: {error}")
        return False


def fetch(garden: Garden, *, now: datetime, tries: int = weather_fetch.TRIES) -> int:
    """Fetch a garden's weather now and return how many days are new or changed.

    Raises ``FetchFailed``, or ``LoadFailed`` where the garden is held; both are noted.
    """
    last = fetched_last(garden)
    try:
        days = weather_fetch.fetched_days(garden, now=now, today=garden_day(garden, now), tries=tries)
        report = keep_fetched_weather(garden=garden, now=now, days=days)
    except (FetchFailed, LoadFailed) as error:
        _note(garden, Fetched(last.came_at, now, str(error)[:300], last.n_failed + 1))
        raise
    except ValueError as error:
        _note(garden, Fetched(last.came_at, now, str(error)[:300], last.n_failed + 1))
        raise FetchFailed(f"the service's answer is no weather: {error}") from error
    _note(garden, Fetched(now, now))
    return report.accepted


def _read() -> dict[str, dict[str, str]]:
    try:
        told = json.loads(diary.beside("weather.json").read_text(encoding="utf-8"))
        return told if isinstance(told, dict) else {}
    except (OSError, ValueError):
        return {}


def _note(garden: Garden, last: Fetched) -> None:
    file = diary.beside("weather.json")
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = file.with_name(f".{file.name}.{uuid.uuid4().hex}")
    told = _read() | {str(garden.garden): asdict(last)}
    try:
        beside.write_text(json.dumps(told, default=datetime.isoformat, ensure_ascii=False), encoding="utf-8")
        os.replace(beside, file)
    finally:
        beside.unlink(missing_ok=True)
