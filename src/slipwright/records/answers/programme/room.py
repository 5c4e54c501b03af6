"""What there is of room and hours in a garden's season, as rows that a programme keeps to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache

from slipwright.records.answers.programme.given import Given
from slipwright.records.selectors import programme as rows
from slipwright.season.asked import Row

#: what batches stand on or under while they root
_ROOTING = ("bench", "frame", "shelf")
#: what explanations loosen hours by
_AN_HOUR = 1.0


def bench_of(given: Given, cover: str) -> tuple[str, float | None]:
    """Return the benches, frames and shelves under a cover by their names, and their room together [m2].

    No room where one of them has none written down: more may stand there.
    """
    places = [one for one in given.rooms if one.kind in _ROOTING and one.cover == cover]
    return _together(places)


def nursery_of(given: Given) -> tuple[str, float | None]:
    """Return the nursery places that say how much stands there, and their room together [m2]."""
    return _together([one for one in given.rooms if one.kind == "nursery" and one.room_m2 is not None])


def _together(places: Sequence[rows.Room]) -> tuple[str, float | None]:
    said = [one.room_m2 for one in places if one.room_m2 is not None]
    name = ", ".join(one.place for one in places)
    return name, sum(said) if said and len(said) == len(places) else None


@lru_cache(maxsize=4_000)
def bench_row(cover: str, week: date) -> str:
    """Return the id of the row of what stands under a cover in a week."""
    return f"bench {cover} {week}"


@lru_cache(maxsize=4_000)
def nursery_row(week: date) -> str:
    """Return the id of the row of young pots in a week."""
    return f"nursery {week}"


@lru_cache(maxsize=4_000)
def hours_row(week: date) -> str:
    """Return the id of the row of a week's hours."""
    return f"hours {week}"


def rows_of(given: Given) -> list[Row]:
    """Return what there is of room and hours that somebody wrote down, by week."""
    found: list[Row] = []
    benches = {cover: bench_of(given, cover) for cover in ("mist", "tent", "open")}
    nursery, nursery_m2 = nursery_of(given)
    for week in given.weeks():
        found += [
            Row(bench_row(cover, week), "bench", name, week, room)
            for cover, (name, room) in benches.items()
            if room is not None
        ]
        if nursery_m2 is not None:
            found.append(Row(nursery_row(week), "nursery", nursery, week, nursery_m2))
        hours = hours_in(given, week)
        if hours is not None:
            found.append(Row(hours_row(week), "hours", "", week, hours, _AN_HOUR))
    return found


def hours_in(given: Given, week: date) -> float | None:
    """Return the hours there are in a week from today on, None where nobody wrote any down for it [h].

    Stretches that overlap, as of two crews, add up.
    """
    days = [week + timedelta(days=n) for n in range(7)]
    of_days = [
        [one.hours_per_week / 7 for one in given.hours if one.from_on <= day <= one.to_on] for day in days
    ]
    if not any(of_days):
        return None
    left = [
        sum(hours) + given.more_h / 7
        for day, hours in zip(days, of_days, strict=True)
        if day >= given.on and hours
    ]
    return max(sum(left), 0.0)
