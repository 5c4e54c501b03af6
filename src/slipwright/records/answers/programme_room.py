"""What there is of room, hours and wood in a garden's season, as rows that a programme keeps to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from slipwright.records.answers.programme_given import Given, OpenPlant
from slipwright.records.selectors import programme as rows
from slipwright.records.selectors.seen import SEASON
from slipwright.season.asked import Row

#: what batches stand on or under while they root
_ROOTING = ("bench", "frame", "shelf")
#: what explanations loosen hours and shoots by
_AN_HOUR, _SOME_SHOOTS = 1.0, 5.0


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


def bench_row(cover: str, week: date) -> str:
    """Return the id of the row of what stands under a cover in a week."""
    return f"bench {cover} {week}"


def nursery_row(week: date) -> str:
    """Return the id of the row of young pots in a week."""
    return f"nursery {week}"


def hours_row(week: date) -> str:
    """Return the id of the row of a week's hours."""
    return f"hours {week}"


def shoots_row(plant: str, until: date | None) -> str:
    """Return the id of the row of a plant's shoots cut before a day, or at all."""
    return f"shoots {plant} {until or ''}".rstrip()


def rows_of(given: Given) -> list[Row]:
    """Return what there is of everything that somebody wrote down, by week or for the season."""
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
    for plants in given.plants.values():
        for plant in plants:
            found += _shoots_of(plant)
    return found


def hours_in(given: Given, week: date) -> float | None:
    """Return the hours there are in a week from today on, None where nobody wrote any down for it [h]."""
    days = [week + timedelta(days=n) for n in range(7)]
    of_days = [
        next((one.hours_per_week / 7 for one in given.hours if one.from_on <= day <= one.to_on), None)
        for day in days
    ]
    if all(hours is None for hours in of_days):
        return None
    return sum(hours or 0.0 for day, hours in zip(days, of_days, strict=True) if day >= given.on)


def _shoots_of(plant: OpenPlant) -> list[Row]:
    """Return a plant's shoots as rows: what was cut counts until a season later."""
    if plant.n_may_go is None:
        return []
    found = [Row(shoots_row(plant.plant, None), "shoots", plant.plant, None, plant.n_may_go, _SOME_SHOOTS)]
    for free_on in _free_on(plant):
        still = sum(n for day, n in plant.cut if day + SEASON >= free_on)
        room = float(max(plant.n_may_go - still, 0))
        found.append(Row(shoots_row(plant.plant, free_on), "shoots", plant.plant, None, room, _SOME_SHOOTS))
    return found


def shoots_rows_on(plant: OpenPlant, day: date) -> list[str]:
    """Return the rows that shoots cut on a day count in."""
    if plant.n_may_go is None:
        return []
    return [
        shoots_row(plant.plant, None),
        *(shoots_row(plant.plant, free_on) for free_on in _free_on(plant) if day < free_on),
    ]


def _free_on(plant: OpenPlant) -> list[date]:
    return sorted({day + SEASON for day, _ in plant.cut})
