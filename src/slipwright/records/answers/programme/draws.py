"""Draws of what batches of a programme will give: one scenario is one draw of all that they share.

A scenario holds one draw of the coefficients, of genus, taxon and wood, of growing on, of one effect a
season, and of one effect a batch.  Batches of one taxon, wood and week share that effect, whatever want they
are for and however they are made: it stands for how the wood of the week was, what weather it had, who made
them and how well, and all that is the same for them.  Taken as luck of their own, a batch halved in two would
look safer than it is.  What is not among the nodes that were learned is drawn from its spread,
started by the name of the node: plants never seen are independent of each other, and one and the same for
all their batches.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import cast

import numpy as np

from slipwright.records.answers.programme.ready import OfTaxon, Rooting, Timing, of_taxon, share_ready
from slipwright.records.answers.programme.standing import StandingBatch, counts_standing
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import LEVEL_SD, PARTS, Cuttings
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.learned import LEVELS, ClockDraws, Kind, Learned, Node, prior_draws
from slipwright.rooting.ranges import Array
from slipwright.season.asked import Drawn, Want
from slipwright.season.counts import generator_of

#: sums of effects, and coefficients, that are remembered, each of 64 kB for 4,000 draws
_MOST = 64
#: draws that are remembered, as a want is asked about more than once
_MOST_BYTES = 100_000_000


@dataclass(frozen=True, slots=True)
class Batch:
    """What the draws of one option rest on."""

    cuttings: Cuttings
    kind: Kind
    timing: Timing


class Scenarios:
    """So many joint draws of all unknowns, each draw that was learned as often as any other."""

    def __init__(self, learned: Learned, n_draws: int, seed: int, *, is_prior: bool) -> None:
        self.n_draws, self.seed = n_draws, seed
        self._learned = learned
        if is_prior:
            # before any record there is no end of draws
            self._learned = prior_draws(generator_of(seed, "prior"), n_draws)
            self.place = np.arange(n_draws)
        else:
            times = -(-n_draws // learned.n_draws)
            places = np.tile(np.arange(learned.n_draws), times)[:n_draws]
            self.place = generator_of(seed, "scenarios").permutation(places)
        self._effects: dict[Node, Array] = {}
        self._coefficients: dict[str, Array] = {}
        self._taxa: dict[tuple[str, str, str], OfTaxon] = {}

    def clocks(self, cuttings: Cuttings, kind: Kind, batch: str) -> ClockDraws:
        """Draws of the clocks of a batch; batches of the same name share their luck."""
        level = np.array(kind.offset)[:, None] + self._of_path(kind, batch)
        parts = {"level": level, "slope": np.zeros_like(level), "bend": np.zeros_like(level)}
        for name, amount in cuttings.terms().items():
            parts[PARTS.get(name, "level")] += amount * self._coefficient(name)
        return ClockDraws(parts["level"], parts["slope"], parts["bend"], self._learned.cells)

    def grows(self, grows: GrowsOn, taxon: str, stage: str, wood: str) -> OfTaxon:
        """Draws of growing on that all batches of a taxon share."""
        key = (taxon, stage, wood)
        if key not in self._taxa:
            while len(self._taxa) >= _MOST:
                self._taxa.pop(next(iter(self._taxa)))
            # one generator a taxon: its woods live alike and are quick or slow together
            self._taxa[key] = of_taxon(grows, stage, wood, self.generator("grows", taxon), self.n_draws)
        return self._taxa[key]

    def generator(self, *words: str) -> np.random.Generator:
        """Return a generator started by words, and the seed of the scenarios."""
        return generator_of(self.seed, *words, str(self.n_draws))

    def _of_path(self, kind: Kind, batch: str) -> Array:
        path = kind.path
        nodes = self._learned.nodes
        total = self._above(path[:4])
        if len(path) == len(LEVELS) and path[-1] in nodes:
            return nodes[path[-1]][:, self.place]
        return total + self._spread("batch") * self._score(("batch", batch))

    def _above(self, path: tuple[Node, ...]) -> Array:
        """Sum of the effects from genus down to the end of a path."""
        if not path:
            return np.zeros((2, self.n_draws))
        node = path[-1]
        if node not in self._effects:
            if node in self._learned.nodes:
                found = self._learned.nodes[node][:, self.place]
            else:
                found = self._above(path[:-1]) + self._spread(node[0]) * self._score(node)
            while len(self._effects) >= _MOST:
                self._effects.pop(next(iter(self._effects)))
            self._effects[node] = found
        return self._effects[node]

    def _spread(self, level: str) -> Array:
        return self._learned.spreads[level][:, self.place]

    def _score(self, node: Node) -> Array:
        score = self.generator(*node).standard_normal((2, self.n_draws))
        if node[0] == "batch":
            together = self._learned.batch_together[self.place]
            score[1] = together * score[0] + np.sqrt(1 - together**2) * score[1]
        return np.asarray(score)

    def _coefficient(self, name: str) -> Array:
        if name not in self._coefficients:
            while len(self._coefficients) >= _MOST:
                self._coefficients.pop(next(iter(self._coefficients)))
            self._coefficients[name] = self._drawn_coefficient(name)
        return self._coefficients[name]

    def _drawn_coefficient(self, name: str) -> Array:
        if name in self._learned.coefficients:
            return self._learned.coefficients[name][:, self.place]
        kind = name.partition("[")[0]
        drawn = self.generator("coefficient", name).standard_normal((2, self.n_draws))
        return np.asarray(LEVEL_SD[kind] * drawn)


class GardenDraws:
    """Answers `slipwright.season.asked.Draws` for a garden."""

    def __init__(
        self,
        learned: Learned,
        batches: Mapping[tuple[str, str], Batch],
        standing: Mapping[str, Sequence[StandingBatch]],
        grows: Callable[[str], GrowsOn],
        *,
        is_prior: bool,
    ) -> None:
        self._learned, self._is_prior = learned, is_prior
        self._batches, self._standing, self._grows = batches, standing, grows
        self._scenarios: dict[tuple[int, int], Scenarios] = {}
        self._remembered: dict[tuple[object, ...], Drawn] = {}

    def __call__(self, want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
        """Draws of some options of a want, and of what already stands for it."""
        asked = (want.want, places, n_draws, seed)
        if asked not in self._remembered:
            drawn = self._drawn(want, places, self._of(n_draws, seed))
            while self._remembered and self._n_bytes + drawn.ready.nbytes > _MOST_BYTES:
                self._remembered.pop(next(iter(self._remembered)))
            self._remembered[asked] = drawn
        return self._remembered[asked]

    def by_days(
        self, want: Want, places: tuple[int, ...], days: Sequence[date], n_draws: int, seed: int
    ) -> list[Drawn]:
        """Draws as when called, were the plants of the want due on each of some days."""
        scenarios = self._of(n_draws, seed)
        return [self._drawn(want, places, scenarios, day) for day in days]

    def rooted(self, want: Want, place: int, n_draws: int, seed: int) -> Array:
        """Draws of the share of an option's cuttings that roots before patience ends."""
        clocks, batch = self._clocks(self._of(n_draws, seed), want, place)
        return cast(Array, fates(clocks, np.array([batch.timing.patience_days], float))[0, 0])

    @property
    def _n_bytes(self) -> int:
        return sum(drawn.ready.nbytes for drawn in self._remembered.values())

    def _drawn(
        self, want: Want, places: tuple[int, ...], scenarios: Scenarios, due: date | None = None
    ) -> Drawn:
        ready = np.empty((len(places), scenarios.n_draws), np.float32)
        for row, place in enumerate(places):
            ready[row] = self._ready(scenarios, want, place, due)
        standing = self._standing.get(want.want, ())
        counts = None
        if standing:
            counts = np.zeros(scenarios.n_draws, np.int64)
            for one in standing:
                counts += counts_standing(scenarios, one if due is None else one.due_on(due))
        return Drawn(ready, counts)

    def _clocks(self, scenarios: Scenarios, want: Want, place: int) -> tuple[ClockDraws, Batch]:
        batch = self._batches[want.want, want.options[place].option]
        return scenarios.clocks(batch.cuttings, batch.kind, _luck_of(want, place)), batch

    def _ready(self, scenarios: Scenarios, want: Want, place: int, due: date | None = None) -> Array:
        clocks, batch = self._clocks(scenarios, want, place)
        timing = batch.timing if due is None else replace(batch.timing, due=due)
        shared = scenarios.grows(self._grows(want.taxon), want.taxon, timing.ready_as, timing.wood)

        def rooted_at(ages: Sequence[int]) -> Array:
            return cast(Array, fates(clocks, np.asarray(ages, float))[0])

        own = scenarios.generator("batch grows", _luck_of(want, place))
        return share_ready(Rooting(timing), rooted_at, shared, own, scenarios.n_draws)

    def _of(self, n_draws: int, seed: int) -> Scenarios:
        key = (n_draws, seed)
        if key not in self._scenarios:
            self._scenarios[key] = Scenarios(self._learned, n_draws, seed, is_prior=self._is_prior)
        return self._scenarios[key]


def _luck_of(want: Want, place: int) -> str:
    """Return the name of the luck that an option's batch shares with others of its taxon, wood and week."""
    option = want.options[place]
    return "\x1f".join((option.taxon, option.wood, option.week.isoformat()))
