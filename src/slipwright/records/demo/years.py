"""What was seen of the demonstration garden's stock plants through the years: growth, bloom, firmness.

The days are drawn about the handbook's, each plant a little earlier or later than its kind, and follow
the warmth of the weather there was: a warm spring is an early one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from functools import cache
from statistics import fmean
from typing import Final

from slipwright.handbook.pages import Page
from slipwright.records.demo.setting import BEGINS_ON, STANDS_ON, Luck, Row, coldest, rows_by_hand, warmest
from slipwright.records.demo.sticking import Stuck, page_of

#: days later for each degree warmer: as far as bloom and new wood follow the sixty days before
SLOPE_D_PER_C: Final = -3.8
_BEFORE_D: Final = 60
_SEEN: Final = 0.75
#: days from one flush of a repeat bloomer to the next, and after which day of the year none begins
_FLUSH_D: Final = (40, 52)
_LAST_FLUSH: Final = (9, 10)
#: when buds break by the sea in a usual year
_BUD_BREAK: Final = (3, 18)
#: firmness of tip, middle and base that each wood is known by
FIRM: Final = {"softwood": (1, 2, 3), "semi-hardwood": (2, 3, 4), "hardwood": (4, 5, 5)}
_BEND_WEEKDAY: Final = 3


def stages(plants: Sequence[Row]) -> list[Row]:
    """Return growth, flowers and the end of both, of most plants in most years."""
    found = []
    for number, plant in enumerate(plants):
        page = page_of(plant["taxon"])
        site = Luck("site", number).near(-5, 5)
        for year in range(BEGINS_ON.year, STANDS_ON.year + 1):
            for on, bbch, note in (
                *_bloom(number, plant, page, site, year),
                *_growth(number, page, site, year),
            ):
                if BEGINS_ON <= on < STANDS_ON:
                    luck = Luck(f"by {year} {bbch}", number)
                    seen = {"plant": plant["plant"], "on": on.isoformat(), "bbch": str(bbch), "note": note}
                    found.append(seen | {"by": luck.one({"orla": 2, "bea": 2, "jun": 1})})
    return found


def firmness(plants: Sequence[Row], batches: Sequence[Stuck]) -> list[Row]:
    """Return how firm shoots felt: of some plants when they were cut, of some on a round before that."""
    found = {}
    for plant, on, wood, by in (*_felt_at_the_cut(batches), *_felt_on_a_round(plants)):
        luck = Luck(f"firm {on}", sum(map(ord, plant)))
        tip, middle, base = FIRM[wood]
        found[plant, on] = {
            "plant": plant,
            "on": on,
            "firmness_tip": str(tip),
            "firmness_mid": str(middle),
            "firmness_base": str(min(base + luck.happens(0.25), 5)),
            "by": by,
        }
    return list(found.values())


@cache
def earlier_d(on: date) -> float:
    """Return by how many days the warmth before a day of the calendar moves what is due on it [d]."""
    means = {year: _mean_before(on.replace(year=year)) for year in range(2012, STANDS_ON.year + 1)}
    known = [mean for mean in means.values() if mean is not None]
    here = means.get(on.year)
    return 0.0 if here is None else SLOPE_D_PER_C * (here - fmean(known))


def _mean_before(on: date) -> float | None:
    days = [on - timedelta(days=n) for n in range(1, _BEFORE_D + 1)]
    known = [(warmest()[day] + coldest()[day]) / 2 for day in days if day in warmest()]
    return fmean(known) if len(known) > _BEFORE_D / 2 else None


def _moved(usual: date, site: float, strays: float) -> date:
    return usual + timedelta(days=round(site + earlier_d(usual) + strays))


def _bloom(number: int, plant: Row, page: Page, site: float, year: int) -> Iterator[tuple[date, int, str]]:
    luck = Luck(f"bloom {year}", number)
    if not luck.happens(_SEEN):
        return
    first = _moved(date(year, *page.bloom.bloom.opens), site, luck.near(-5, 5))
    if first < BEGINS_ON:
        return
    yield first, 60, "first flowers"
    full = first + timedelta(days=luck.whole(8, 16))
    if luck.happens(0.5):
        yield full, 65, ""
    over = full + timedelta(days=luck.whole(8, 14))
    if luck.happens(0.6):
        yield over, 69, ""
    if _flowers(plant["taxon"], page) != "repeat":
        return
    last, again = date(year, *_LAST_FLUSH), first
    while (again := again + timedelta(days=luck.whole(*_FLUSH_D))) < last:
        if not luck.happens(0.7):
            return
        yield again, 61, "another flush"


def _growth(number: int, page: Page, site: float, year: int) -> Iterator[tuple[date, int, str]]:
    luck = Luck(f"growth {year}", number)
    if luck.happens(_SEEN):
        yield _moved(date(year, *_BUD_BREAK), site, luck.near(-4, 4)), 7, ""
    if page.leaf_habit == "deciduous" and luck.happens(0.5):
        stopped = date(year, 9, 12) + timedelta(days=luck.whole(0, 16))
        yield stopped, 91, ""
    if page.leaf_habit == "deciduous" and luck.happens(0.6):
        yield date(year, 10, 28) + timedelta(days=luck.whole(0, 22)), 93, ""


def _flowers(taxon: str, page: Page) -> str:
    row = next(row for row in rows_by_hand("taxa") if row["taxon"] == taxon)
    return row["flowers"] or page.bloom.flowers


def _felt_at_the_cut(batches: Sequence[Stuck]) -> Iterator[tuple[str, str, str, str]]:
    for number, batch in enumerate(batches):
        if Luck("firm", number).happens(0.4):
            yield batch.row["plant"], batch.row["cut_on"], batch.leaf.wood, batch.row["by"]


def _felt_on_a_round(plants: Sequence[Row]) -> Iterator[tuple[str, str, str, str]]:
    """Yield the round on which a shoot was first found to be of the next wood."""
    for number, plant in enumerate(plants):
        page = page_of(plant["taxon"])
        site = Luck("site", number).near(-5, 5)
        for year in range(BEGINS_ON.year, STANDS_ON.year + 1):
            luck = Luck(f"felt {year}", number)
            for wood in ("softwood", "semi-hardwood"):
                leaf = page.woods.get(wood)
                if leaf is None or not luck.happens(0.55):
                    continue
                due = _moved(date(year, *leaf.seasons[0].opens), site, luck.near(-4, 4))
                on = due + timedelta(days=(_BEND_WEEKDAY - due.weekday()) % 7)
                if BEGINS_ON <= on < STANDS_ON:
                    yield plant["plant"], on.isoformat(), wood, luck.one({"orla": 3, "bea": 2})
