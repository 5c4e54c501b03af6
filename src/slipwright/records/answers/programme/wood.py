"""The wood of stock plants as rows of a programme: in any 365 days not more of a plant's shoots than may go.

Plants that are always cut together are one in the rows: as a shoot cut comes back after a season, whichever
of them it was cut from, all their shoots keep to the sum wherever shoots can be given out that keep to each
(``shoots`` gives them out).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from slipwright.records.answers.programme.given import OpenPlant
from slipwright.records.answers.programme.ways import Stuckable
from slipwright.records.selectors.seen import SEASON
from slipwright.season.asked import Row

#: what explanations loosen shoots by
_SOME_SHOOTS = 5.0


@dataclass(frozen=True)
class CutTogether:
    """Plants whose shoots are counted as one, in the order of their ways."""

    plants: tuple[OpenPlant, ...]

    @property
    def name(self) -> str:
        """Their names."""
        return "; ".join(one.plant for one in self.plants)

    @property
    def n_may_go(self) -> int:
        """Shoots that may be cut of them all in a season."""
        return sum(one.n_may_go or 0 for one in self.plants)

    @cached_property
    def cut(self) -> tuple[tuple[date, int], ...]:
        """What was cut of them in the last season, by day; beyond what may go of a plant nothing counts."""
        found = [(day, n) for one in self.plants for day, n in still_counting(one)]
        return tuple(sorted(found))

    def cuttings_of_a_shoot(self, wood: str) -> float:
        """Return how many cuttings one of their shoots makes."""
        return self.plants[0].of_a_shoot.get(wood, 1.0)

    def n_free(self, day: date) -> int:
        """Return how many may be cut on a day beside what was cut already."""
        return self.n_may_go - sum(n for on, n in self.cut if on + SEASON > day)


def still_counting(plant: OpenPlant) -> list[tuple[date, int]]:
    """Return what was cut of a plant, the last first, up to what may go in a season."""
    left, found = plant.n_may_go or 0, []
    for day, n in sorted(plant.cut, reverse=True):
        if (counts := min(n, left)) > 0:
            found.append((day, counts))
            left -= counts
    return found


@dataclass(frozen=True, slots=True)
class Year:
    """365 days from a day on: the days of them on which wood is cut, and the shoots there are for these."""

    from_on: date
    first: date
    last: date
    room: int

    def is_within(self, other: Year) -> bool:
        """Return whether what keeps to the other keeps to this one too."""
        return other.first <= self.first and self.last <= other.last and other.room <= self.room


def years_of(plants: CutTogether, days: Sequence[date]) -> list[Year]:
    """Return the 365 days that shoots cut on some rising days must keep to; none that another implies.

    365 days that hold a cutting begin, at the tightest, on a day on which something was or is cut.
    """
    found: list[Year] = []
    for start in sorted({*days, *(day for day, _ in plants.cut)}):
        end = start + SEASON
        low, high = bisect_left(days, start), bisect_left(days, end)
        if low == high:
            continue
        was_cut = sum(n for day, n in plants.cut if start <= day < end)
        found.append(Year(start, days[low], days[high - 1], plants.n_may_go - was_cut))
    return [
        one
        for k, one in enumerate(found)
        if not any(
            one.is_within(other) and (j < k or not other.is_within(one))
            for j, other in enumerate(found)
            if j != k
        )
    ]


@dataclass(frozen=True)
class Wood:
    """All wood that the ways of a programme may take: groups of plants, and the rows they keep to."""

    groups: Mapping[str, CutTogether]
    years: Mapping[str, Sequence[Year]]

    @property
    def rows(self) -> list[Row]:
        """What there is of it."""
        return [
            Row(shoots_row(name, year.from_on), "shoots", name, None, float(year.room), _SOME_SHOOTS)
            for name, years in self.years.items()
            for year in years
        ]

    def of_way(self, way: Stuckable) -> dict[str, float]:
        """Return the shoots that a cutting of a way takes of each group, by its name.

        Each group gives in proportion to the shoots that are free of it on the day.
        """
        names = dict.fromkeys(self.groups_of(way).values())
        if not names:
            return {}
        groups = [self.groups[name] for name in names]
        free = [one.n_free(way.timing.stuck_on) for one in groups]
        if not sum(free):
            free = [one.n_may_go for one in groups]
        whole = sum(n * one.cuttings_of_a_shoot(way.made.wood) for n, one in zip(free, groups, strict=True))
        return {name: n / whole for name, n in zip(names, free, strict=True) if n}

    def use_of(self, way: Stuckable) -> dict[str, float]:
        """Return what a cutting of a way takes of the rows."""
        day = way.timing.stuck_on
        return {
            shoots_row(name, year.from_on): each
            for name, each in self.of_way(way).items()
            for year in self.years[name]
            if year.first <= day <= year.last
        }

    def groups_of(self, way: Stuckable) -> dict[str, str]:
        """Return the names of groups that the counted plants of a way belong to, by plant."""
        return {one.plant: self._of_plant[one.plant] for one in way.plants if one.plant in self._of_plant}

    @cached_property
    def _of_plant(self) -> Mapping[str, str]:
        return {one.plant: name for name, group in self.groups.items() for one in group.plants}


def shoots_row(group: str, from_on: date) -> str:
    """Return the id of the row of what is cut of plants in the 365 days from a day on."""
    return f"shoots {group} {from_on}"


def wood_of(ways: Iterable[Stuckable]) -> Wood:
    """Return the wood that some ways take: plants that are in all of them together, or in none, are one."""
    plants: dict[str, OpenPlant] = {}
    within: dict[str, set[str]] = {}
    days: dict[str, set[date]] = {}
    for way in ways:
        for one in way.plants:
            if one.n_may_go is not None:
                plants[one.plant] = one
                within.setdefault(one.plant, set()).add(way.plant)
                days.setdefault(one.plant, set()).add(way.timing.stuck_on)
    alike: dict[tuple[object, ...], list[OpenPlant]] = {}
    for name, one in plants.items():
        key = (frozenset(within[name]), tuple(sorted(one.of_a_shoot.items())))
        alike.setdefault(key, []).append(one)
    groups = [CutTogether(tuple(of_group)) for of_group in alike.values()]
    return Wood(
        {one.name: one for one in groups},
        {one.name: years_of(one, sorted(days[one.plants[0].plant])) for one in groups},
    )
