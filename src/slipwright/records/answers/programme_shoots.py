"""Whole shoots of each plant for each batch of a programme, never more in 365 days than may be cut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from slipwright.records.answers.programme_given import OpenPlant
from slipwright.records.answers.programme_ways import Stuckable
from slipwright.records.answers.programme_wood import CutTogether, Wood, still_counting
from slipwright.records.selectors.seen import SEASON
from slipwright.season.programme import Line

#: sums of parts may be off by so much
_NEARLY = 1e-6


@dataclass(frozen=True, slots=True)
class Shoots:
    """Shoots of a plant that a batch takes, None where nobody counted them."""

    plant: str
    place: str
    n: int | None


class Giving:
    """Gives out whole shoots of plants cut together, batch by batch in the order of their days.

    Up to any day as many are given out as the parts of shoots come to, rounded up once: as these keep in any
    365 days to the whole shoots there are, so do they. Each is of a plant that has some free on the day, of
    all in proportion to what they have.
    """

    def __init__(self, together: CutTogether) -> None:
        self._may_go = {one.plant: one.n_may_go or 0 for one in together.plants}
        self._cut = {one.plant: still_counting(one) for one in together.plants}
        self._exact, self._whole = 0.0, 0

    def give(self, day: date, exact: float) -> dict[str, int]:
        """Return how many of each plant are cut on a day for so many in parts."""
        free = {plant: max(self._free(plant, day), 0) for plant in self._may_go}
        self._exact += exact
        n = min(max(math.ceil(self._exact - _NEARLY) - self._whole, 0), sum(free.values()))
        self._whole += n
        given = _in_proportion(n, free)
        for plant, of_plant in given.items():
            self._cut[plant].append((day, of_plant))
        return given

    def _free(self, plant: str, day: date) -> int:
        return self._may_go[plant] - sum(n for on, n in self._cut[plant] if on + SEASON > day)


def _in_proportion(n: int, free: Mapping[str, int]) -> dict[str, int]:
    """Share out so many, no more of each than it has; what is left of parts goes to the largest of them."""
    whole = sum(free.values())
    if not n:
        return dict.fromkeys(free, 0)
    given = {plant: n * of_plant // whole for plant, of_plant in free.items()}
    largest = sorted(free, key=lambda plant: -(n * free[plant] % whole))
    for plant in largest[: n - sum(given.values())]:
        given[plant] += 1
    return given


def shoots_of_lines(
    lines: Sequence[Line], ways: Mapping[tuple[str, str], Stuckable], wood: Wood
) -> list[list[Shoots]]:
    """Return the shoots of each plant that each batch takes, in the order of the batches."""
    giving = {name: Giving(together) for name, together in wood.groups.items()}
    found: dict[int, list[Shoots]] = {}
    for n in sorted(range(len(lines)), key=lambda n: ways[lines[n].want, lines[n].option].timing.stuck_on):
        line = lines[n]
        way = ways[line.want, line.option]
        given: dict[str, int] = dict.fromkeys(wood.groups_of(way), 0)
        for name, each in wood.of_way(way).items():
            given |= giving[name].give(way.timing.stuck_on, line.n_to_stick * each)
        found[n] = [
            Shoots(one.plant, one.place, given.get(one.plant))
            for one in way.plants
            if one.plant and given.get(one.plant) != 0
        ]
    return [found[n] for n in range(len(lines))]


def tightest_year(plant: OpenPlant, taken: Sequence[tuple[date, int]]) -> tuple[int, int]:
    """Return of the 365 days in which least is left of a plant the shoots taken, and those there are."""
    cut, n_may_go = still_counting(plant), plant.n_may_go or 0
    found = [(0, n_may_go)]
    for start in {day for day, _ in (*cut, *taken)}:
        used, was = (sum(n for day, n in some if start <= day < start + SEASON) for some in (taken, cut))
        found.append((used, n_may_go - was))
    return min(found, key=lambda one: one[1] - one[0])
