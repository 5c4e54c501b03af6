"""Which plans each want is offered: for all its plants and, where it falls short, for fewer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, MutableMapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from slipwright.season._listing import Listed
from slipwright.season._lists import Asked, lists_of
from slipwright.season._plans import Offer, Plans, fit_alone, plans_of
from slipwright.season._ways import Ways, most_containers
from slipwright.season.asked import Array, Draws, Season
from slipwright.season.workers import Workers

#: shares of the wanted that a want is offered plans for where it falls short
LOWER = (0.9, 0.65, 0.4)
#: and further ones for a want that could not have all its plants even alone
LOWEST = (0.2, 0.1)
#: and, among so few wants, these, where one want more or less is much
FEW, FINE = 60, (0.95, 0.8, 0.5, 0.25, 0.1)

#: place of a want, plants, most containers of each of its options
_Key = tuple[int, int, tuple[int, ...]]


@dataclass(slots=True, eq=False)
class Lists:
    """Lists of plans of a season, made as they are asked for; ``told`` how many are done of so many."""

    season: Season
    ways: Ways
    draw: Draws
    seed: int
    n_scenarios: int
    kept: MutableMapping[str, bytes]
    workers: Workers
    lowered: set[int] = field(default_factory=set)
    told: Callable[[int, int], None] = lambda done, total: None
    _made: dict[_Key, Listed] = field(default_factory=dict)
    _table: tuple[list[_Key], Plans] | None = None

    def listed(self, asked: Sequence[tuple[int, int]], room: Array) -> list[Listed]:
        """Plans of wants (by place) for targets, where the room is so much."""
        return self._listed(self._keys(asked, most_containers(self.ways, room)))

    def plans(self, room: Array) -> tuple[Plans, NDArray[np.int64]]:
        """All plans that fit the room alone, and the places of wants that have none for all their plants.

        Those wants are offered plans for fewer from now on.
        """
        wants = self.season.wants
        most = most_containers(self.ways, room)
        whole = self._keys([(place, want.n_wanted) for place, want in enumerate(wants)], most)
        lists = self._listed(whole)
        given = np.array([listed.given for listed in lists], np.int64)
        plans = self._fitting(whole, lists, given, room)
        full = plans.target >= np.array([want.n_wanted for want in wants], int)[plans.want]
        alone = np.setdiff1d(np.arange(len(wants)), plans.want[full])
        self.lowered.update(alone.tolist())
        fine = LOWER + FINE if len(wants) <= FEW else LOWER
        fewer = [
            pair
            for place in sorted(self.lowered)
            for pair in self._fewer(place, int(given[place]), fine + LOWEST if place in alone else fine)
        ]
        if fewer:
            keys = self._keys(fewer, most)
            plans = self._fitting(whole + keys, lists + self._listed(keys), given, room)
        return plans, alone

    def lower(self, places: Iterable[int]) -> bool:
        """Offer wants plans for fewer plants from now on; tell whether any is new to it."""
        before = len(self.lowered)
        self.lowered.update(places)
        return len(self.lowered) > before

    def _fewer(self, place: int, given: int, shares: tuple[float, ...]) -> list[tuple[int, int]]:
        n_wanted = self.season.wants[place].n_wanted
        targets = {round(share * n_wanted) for share in shares}
        return [(place, n) for n in sorted(targets, reverse=True) if given < n < n_wanted]

    def _keys(self, asked: Sequence[tuple[int, int]], most: NDArray[np.int64]) -> list[_Key]:
        first = self.ways.first
        return [(place, n, tuple(most[first[place] : first[place + 1]].tolist())) for place, n in asked]

    def _listed(self, keys: list[_Key]) -> list[Listed]:
        missing = [key for key in dict.fromkeys(keys) if key not in self._made]
        new = lists_of(
            [Asked(self.season.wants[place], n, most) for place, n, most in missing],
            self.draw,
            seed=self.seed,
            n_scenarios=self.n_scenarios,
            kept=self.kept,
            workers=self.workers,
            told=self.told,
        )
        self._made.update(zip(missing, new, strict=True))
        return [self._made[key] for key in keys]

    def _fitting(self, keys: list[_Key], lists: list[Listed], given: NDArray[np.int64], room: Array) -> Plans:
        if self._table is None or self._table[0] != keys:
            offers = [Offer(place, n, listed) for (place, n, _), listed in zip(keys, lists, strict=True)]
            self._table = (keys, plans_of(self.ways, self.season.wants, offers, given))
        plans = self._table[1]
        return plans.some(fit_alone(self.ways, plans, room))
