"""Whole shoots of each plant for each batch of a programme, never more in 365 days than may be cut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from slipwright.records.answers.programme.given import OpenPlant
from slipwright.records.answers.programme.ways import Stuckable
from slipwright.records.answers.programme.wood import CutTogether, Wood, still_counting
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


class _Together:
    """What is given out of plants cut together: in parts of shoots, in whole ones, and of each plant."""

    def __init__(self, together: CutTogether) -> None:
        self._may_go = {one.plant: one.n_may_go or 0 for one in together.plants}
        self._cut = {one.plant: still_counting(one) for one in together.plants}
        self.exact, self.whole = 0.0, 0

    def free(self, day: date) -> dict[str, int]:
        """Return how many shoots of each plant may be cut on a day."""
        return {
            plant: max(n_may_go - sum(n for on, n in self._cut[plant] if on + SEASON > day), 0)
            for plant, n_may_go in self._may_go.items()
        }

    def most(self, day: date) -> int:
        """Return how many whole shoots may be given out: not more than the parts come to, rounded up once."""
        return min(max(math.ceil(self.exact - _NEARLY) - self.whole, 0), sum(self.free(day).values()))

    def give(self, day: date, n: int) -> dict[str, int]:
        """Give out so many, of all plants in proportion to what is free of them."""
        given = _in_proportion(n, self.free(day))
        self.whole += n
        for plant, of_plant in given.items():
            self._cut[plant].append((day, of_plant))
        return given


class Giving:
    """Gives out whole shoots of groups of plants, batch by batch in the order of their days.

    A batch is given what its parts of shoots come to, rounded up once; no group gives more up to any day than
    its own parts come to, rounded up once, nor more in 365 days than may go. First are the groups that are
    most behind.
    """

    def __init__(self, groups: Mapping[str, CutTogether]) -> None:
        self._groups = {name: _Together(together) for name, together in groups.items()}

    def give(self, day: date, exact: Mapping[str, float]) -> dict[str, int]:
        """Return how many shoots of each plant are cut on a day for so many in parts of each group."""
        groups = {name: self._groups[name] for name in exact}
        for name, part in exact.items():
            groups[name].exact += part
        most = {name: group.most(day) for name, group in groups.items()}
        given = {name: min(math.floor(part + _NEARLY), most[name]) for name, part in exact.items()}
        rest = max(math.ceil(sum(exact.values()) - _NEARLY) - sum(given.values()), 0)
        behind = {name: group.exact - group.whole - given[name] for name, group in groups.items()}
        for name in sorted(groups, key=lambda name: -behind[name]):
            more = min(rest, most[name] - given[name])
            given[name] += more
            rest -= more
        found: dict[str, int] = {}
        for name, group in groups.items():
            found |= group.give(day, given[name])
        return found


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
    giving = Giving(wood.groups)
    found: dict[int, list[Shoots]] = {}
    for n in sorted(range(len(lines)), key=lambda n: ways[lines[n].want, lines[n].option].timing.stuck_on):
        line = lines[n]
        way = ways[line.want, line.option]
        given: dict[str, int] = dict.fromkeys(wood.groups_of(way), 0)
        parts = {name: line.n_to_stick * each for name, each in wood.of_way(way).items()}
        given |= giving.give(way.timing.stuck_on, parts)
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
