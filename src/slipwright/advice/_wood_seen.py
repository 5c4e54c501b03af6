"""The chance by day that wood of a plant is right, from what a garden has seen of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

import numpy as np

from slipwright.craft.ripening import (
    HAND_SD_DAYS,
    NEW_WOOD_DAYS,
    OWN_CV,
    PRIOR_CV,
    edge_of,
    given_seen,
    growth_still,
    need_of,
    new_wood,
    passed_by_day,
    passed_by_heat,
)
from slipwright.craft.wood import EDGE_SD_DAYS, occurrences
from slipwright.craft.years import USUAL_YEARS, YEAR_DAYS, same_day

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy import float64
    from numpy.typing import NDArray

    from slipwright.advice.seen import SeenPlant
    from slipwright.craft.wood import Edges
    from slipwright.handbook.pages import Page

    Array = NDArray[float64]
    #: day it was seen, whether the edge had been passed
    Evidence = tuple[int, bool]

N_DAYS: Final = 3 * 365
#: firmness from which softwood has begun and is over, and semi-hardwood is over: from memory
SOFT, FIRM, STIFF = 2, 3, 5
#: bud break, leaf fall and the end of growth on the BBCH scale
BUD_BREAK: Final = range(7, 10)
GROWTH_ENDS, LEAF_FALL, LEAFLESS = 91, 93, 97
#: how many days after the record of a stage of leaf fall the leaves are down: common practice, no source
_FALLEN_AFTER: Final = {93: 10, 94: 5, 95: 0, 96: -3, 97: -5}
#: a season may run quite otherwise than the handbook says: share and spread; our guess
_OTHERWISE, _OTHERWISE_SD_DAYS = 0.25, 60.0
#: a record speaks of a season that lies no further off [d]
_NEAR_DAYS = 75
#: two records further apart do not date what came between [d]
_DATED_DAYS = 42
#: heat tells of edges so long after bud break, and only from so much [d], [°C d]
_HEAT_DAYS: Final = range(20, 181)
_LEAST_HEAT_C_D = 60.0
_LEAST_YEARS = 3
_EARLIER: Final = range(1, USUAL_YEARS + 1)
#: where nobody saw buds break, heat counts from so long before the handbook's softwood; our guess [d]
_BEFORE_SOFTWOOD_DAYS = 60
#: soft new wood stays soft for so long: common practice, no source [d]
_SOFT_FOR_DAYS = 42


@dataclass(frozen=True, slots=True)
class _Start:
    """The day from which heat counts, in the season asked about and in a usual year."""

    day: int
    usual_day: float
    was_seen: bool


class WoodDays:
    """The days about a day, and what was seen of a plant, for all its woods."""

    def __init__(self, page: Page, seen: SeenPlant, on: date, south: bool) -> None:
        self.page, self.seen, self.on, self.south = page, seen, on, south
        self.first = on.toordinal() - 365
        self.day = np.arange(self.first, self.first + N_DAYS, dtype=float)
        felt = [(one.on.toordinal(), one.firmness) for one in seen.firmness if one.firmness is not None]
        self.felt = sorted(one for one in felt if one[0] <= on.toordinal())
        stages = [(one.on.toordinal(), one.bbch) for one in seen.stages if one.on <= on]
        self.stages = sorted(stages)
        self.breaks = _firsts(day for day, bbch in self.stages if bbch in BUD_BREAK)
        self.fallen = _firsts(
            day + _FALLEN_AFTER[bbch] for day, bbch in self.stages if LEAF_FALL <= bbch <= LEAFLESS
        )
        self.cut_back = sorted(day.toordinal() for day in seen.cut_back if day <= on)

    def chances(self, wood: str, seasons: list[Edges]) -> Array:
        """Return the chance of each day that a wood is right."""
        p_none = np.ones(N_DAYS)
        for edges in seasons:
            spans = [(a.toordinal(), b.toordinal()) for a, b in occurrences(edges, self.south, self.on)]
            for opens, closes in spans:
                if closes > self.first - 120 and opens < self.first + N_DAYS + 120:
                    p_none *= 1 - self._season(wood, edges, opens, closes)
        chance = 1 - p_none
        return chance if wood == "hardwood" else self._cut_back(wood, chance)

    def _season(self, wood: str, edges: Edges, opens: int, closes: int) -> Array:
        if wood == "hardwood":
            still, shut = self._still(opens, closes), self._shut(opens, closes)
            begun = self._updated(self._dated(opens, self.fallen, seen=bool(still)), still)
            begun = 1 - (1 - begun) * (1 - self._cold(opens, closes))
            over = self._updated(self._dated(closes + 1, self.breaks, seen=bool(shut)), shut)
            return np.asarray(begun * (1 - over))
        low, high = (SOFT, FIRM) if wood == "softwood" else (FIRM, STIFF)
        begun = self._firmness_edge(opens, low, by_heat=True)
        over = self._firmness_edge(closes + 1, high, by_heat=wood == "softwood", opens=opens)
        if wood == "semi-hardwood":
            over = self._updated(over, [(day, True) for day in self._near(self.fallen, opens, closes)])
        return np.asarray(begun * (1 - over))

    def _firmness_edge(self, book: int, firm: int, *, by_heat: bool, opens: int | None = None) -> Array:
        """Return an edge that the hand feels: where firmness reaches a class."""
        since = book - _NEAR_DAYS if opens is None else min(book - _NEAR_DAYS, opens - 45)
        # firm wood felt before soft wood comes is that of the flush before
        last_flush = book if firm == SOFT else opens or 0 if by_heat and firm == FIRM else 0
        evidence = [
            (day, felt >= firm)
            for day, felt in self.felt
            if since <= day <= book + _NEAR_DAYS and not (felt >= FIRM and day < last_flush)
        ]
        passed = self._by_heat(book, firm) if by_heat else None
        if passed is None:
            past = [(day - seen_book, sd) for day, sd, seen_book in self._felt_edges(book, firm)]
            own = edge_of([one for one, _ in past], [sd for _, sd in past])
            passed = self._prior(book + own.after_book_days, own.sd_days, seen=bool(evidence))
        return self._updated(passed, evidence)

    def _felt_edges(self, book: int, firm: int) -> Iterable[tuple[float, float, int]]:
        """Days on which firmness reached a class in earlier years, how exactly, and the book's day then."""
        for back in range(1, 12):
            then = book - round(back * YEAR_DAYS)
            near = [one for one in self.felt if abs(one[0] - then) <= _NEAR_DAYS]
            softer = [day for day, felt in near if felt < firm]
            firmer = [day for day, felt in near if felt >= firm]
            if not softer or not firmer:
                continue
            before, after = max((d for d in softer if d < min(firmer)), default=0), min(firmer)
            if 0 < after - before <= _DATED_DAYS:
                width = after - before
                yield (before + after) / 2, (HAND_SD_DAYS**2 + width**2 / 12) ** 0.5, then

    def _by_heat(self, book: int, firm: int) -> Array | None:
        """Return an edge by the heat since buds broke, or since usual spring where nobody saw them."""
        weather, start = self.seen.weather, self._growth_starts(book)
        if weather is None or start is None or start.day < self.first:
            return None
        earlier = self._usual_heat(book, start)
        if len(earlier) < _LEAST_YEARS:
            return None
        usual, last = (float(one) for one in np.mean(earlier, axis=0))
        if usual < _LEAST_HEAT_C_D:
            return None
        # to know the weather makes no edge vaguer than the calendar alone
        calendar = last / usual
        prior_cv = min(PRIOR_CV, math.sqrt(max(calendar**2 - OWN_CV**2, OWN_CV**2)))
        own = [
            heat for day, _, then in self._felt_edges(book, firm) if (heat := self._heat_at(day, then, start))
        ]
        need = need_of(own, usual, prior_cv=prior_cv)
        n_days = min(book + 200 - start.day, N_DAYS - (start.day - self.first))
        if n_days < 1:
            return None
        ways = weather.heat_since(date.fromordinal(start.day), n_days)
        if not len(ways):
            return None
        passed = np.zeros(N_DAYS)
        passed[start.day - self.first :] = 1.0
        passed[start.day - self.first :][:n_days] = passed_by_heat(ways, need)
        return passed

    def _growth_starts(self, book: int) -> _Start | None:
        """Return the day from which heat counts for an edge, and that of a usual year."""
        broke = [day for day in self.breaks if book - day in _HEAT_DAYS]
        if broke:
            off = [
                (day - broke[-1]) - round((day - broke[-1]) / YEAR_DAYS) * YEAR_DAYS for day in self.breaks
            ]
            return _Start(broke[-1], broke[-1] + sum(off) / len(off), was_seen=True)
        leaf = self.page.woods.get("softwood") or self.page.woods.get("semi-hardwood")
        for season in leaf.seasons if leaf else ():
            for opens, _ in occurrences((season.opens, season.closes), self.south, date.fromordinal(book)):
                day = opens.toordinal() - _BEFORE_SOFTWOOD_DAYS
                if book - day in _HEAT_DAYS:
                    return _Start(day, day, was_seen=False)
        return None

    def _usual_heat(self, book: int, start: _Start) -> list[tuple[float, float]]:
        """Heat up to the handbook's day in each earlier year, and how much of it in the last 14 days."""
        if self.seen.weather is None:
            return []
        usual_on, n_days = date.fromordinal(round(start.usual_day)), round(book - start.usual_day)
        rows = (self.seen.weather.heat_since(same_day(usual_on, -back), n_days) for back in _EARLIER)
        ago = n_days - 1 - round(EDGE_SD_DAYS)
        return [(heat[0, -1], heat[0, -1] - heat[0, ago]) for heat in rows if len(heat) == 1]

    def _heat_at(self, day: float, book: int, start: _Start) -> float | None:
        """Heat in the season of another year up to a day of it."""
        broke = [one for one in self.breaks if book - one in _HEAT_DAYS]
        if start.was_seen and not broke:
            return None
        years_back = round((start.day - book) / YEAR_DAYS)
        begun = broke[-1] if start.was_seen else round(start.day - years_back * YEAR_DAYS)
        n_days = round(day) - begun
        if self.seen.weather is None or n_days <= 0:
            return None
        heat = self.seen.weather.heat_since(date.fromordinal(begun), n_days)
        return float(heat[0, -1]) if len(heat) == 1 and heat[0, -1] > 0 else None

    def _dated(self, book: int, dated: list[int], *, seen: bool) -> Array:
        """Return an edge that a stage of growth dates: leaf fall or bud break."""
        now = [day for day in dated if abs(day - book) <= 1.5 * _NEAR_DAYS]
        if now:
            return passed_by_day(self.day, now[-1], HAND_SD_DAYS)
        past = [day - book + round((book - day) / YEAR_DAYS) * YEAR_DAYS for day in dated if day < book]
        near = [one for one in past if abs(one) <= 1.5 * _NEAR_DAYS]
        own = edge_of(near)
        return self._prior(book + own.after_book_days, own.sd_days, seen=seen)

    def _prior(self, edge_day: float, sd_days: float, *, seen: bool) -> Array:
        near = passed_by_day(self.day, edge_day, sd_days)
        if not seen:
            return near
        far = passed_by_day(self.day, edge_day, _OTHERWISE_SD_DAYS)
        return np.asarray((1 - _OTHERWISE) * near + _OTHERWISE * far)

    def _updated(self, passed: Array, evidence: Iterable[Evidence]) -> Array:
        for day, was_passed in evidence:
            passed = given_seen(passed, self.day, day, was_passed=was_passed)
        return passed

    def _still(self, opens: int, closes: int) -> list[Evidence]:
        """Return records of the season that say shoots have stopped growing, or are still soft."""
        felt = [(day, felt >= STIFF - 1) for day, felt in self.felt if opens - 45 <= day <= closes]
        ended = [
            (day, True) for day, bbch in self.stages if bbch == GROWTH_ENDS and opens - 30 <= day <= closes
        ]
        return [*felt, *ended]

    def _shut(self, opens: int, closes: int) -> list[Evidence]:
        """Return records of the season that say buds are still shut."""
        return [(day, False) for day, bbch in self.stages if bbch <= 3 and opens <= day <= closes + 60]

    def _cold(self, opens: int, closes: int) -> Array:
        """Chance that cold has stopped growth by each day of the handbook's winter, leaves or not."""
        weather = self.seen.weather
        cold = np.zeros(N_DAYS)
        if weather is None:
            return cold
        start = weather.starts_on.toordinal()
        place = np.clip(self.day.astype(int) - start + 1, 0, len(weather))
        inside = (place >= 14) & (self.day <= weather.known_to.toordinal())
        inside &= (self.day >= opens - 21) & (self.day <= closes)
        mean = (weather.mean_sum_c[place] - weather.mean_sum_c[np.maximum(place - 14, 0)]) / 14
        cold[inside] = growth_still(mean[inside])
        winter = self.day >= opens - 21
        cold[winter] = np.maximum.accumulate(cold[winter])
        return cold

    def _near(self, days: list[int], opens: int, closes: int) -> list[int]:
        return [day for day in days if opens <= day <= closes + _NEAR_DAYS]

    def _cut_back(self, wood: str, chance: Array) -> Array:
        for day in self.cut_back:
            grown = new_wood(self.day, day)
            chance = chance * grown
            if wood == "softwood" and self._grows(day):
                firm = passed_by_day(self.day, day + NEW_WOOD_DAYS + _SOFT_FOR_DAYS, EDGE_SD_DAYS)
                chance = 1 - (1 - chance) * (1 - (self.day > day) * grown * (1 - firm))
        return np.asarray(chance)

    def _grows(self, cut_back: int) -> bool:
        """Whether new wood would come within the months of leafy wood."""
        ripe = date.fromordinal(cut_back) + timedelta(days=56)
        for wood in ("softwood", "semi-hardwood"):
            leaf = self.page.woods.get(wood)
            for season in leaf.seasons if leaf else ():
                for opens, closes in occurrences((season.opens, season.closes), self.south, ripe):
                    if opens <= ripe <= closes:
                        return True
        return False


def _firsts(days: Iterable[int]) -> list[int]:
    """Return the first record of each season: records within half a year are of one."""
    kept: list[int] = []
    for day in sorted(days):
        if not kept or day - kept[-1] > 183:
            kept.append(day)
    return kept
