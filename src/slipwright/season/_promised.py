"""What the chosen plans promise on fresh draws, and what is put right where that is less than was wished."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slipwright.season._lists import whole_standing
from slipwright.season._plans import Plans, fit_alone, row_of, use_of
from slipwright.season._ways import Ways
from slipwright.season.asked import SLACK, Array, Draws, Season, Want
from slipwright.season.counts import generator_of, tenths_of

#: a promise may lie so far below the assurance wished
_BELOW = 0.01
#: no plan grows by more containers than this, and no more plans of a want than this are tried in its place
_GROWS, _TRIED = 12, 40


@dataclass(frozen=True, slots=True, eq=False)
class Promise:
    """A want's plan as it is after fresh draws: places of options, cuttings of each, and probabilities.

    ``ready`` and ``standing`` are plants ready by the day, in all and of what stands already.
    """

    options: NDArray[np.int64]
    n: NDArray[np.int64]
    target: int
    promised: float
    promised_planned: float
    ready: tuple[int, int, int]
    standing: tuple[int, int, int]


@dataclass(frozen=True, slots=True, eq=False)
class _Fresh:
    """Plants ready by draw: what stands, and each batch."""

    standing: NDArray[np.int64]
    ready: Array
    counts: NDArray[np.int64]

    @property
    def whole(self) -> NDArray[np.int64]:
        return np.asarray(self.standing + self.counts.sum(axis=0))

    def chance(self, n: int) -> float:
        return float((self.whole >= n).mean())


def promises_of(
    season: Season,
    ways: Ways,
    plans: Plans,
    chosen: NDArray[np.int64],
    excess: Array,
    room: Array,
    draw: Draws,
    *,
    seed: int,
    n_fresh: int,
) -> list[Promise]:
    """Return what each chosen plan promises on fresh draws, mended where it is too little.

    Parameters
    ----------
    season : Season
        Wants.
    ways : Ways
        Options.
    plans : Plans
        All plans.
    chosen : array of shape (n_wants,)
        The plan of each want.
    excess : array of shape (n_plans,)
        How much dearer a plan is at the prices of the rows than the best of its want [money].
    room : array of shape (n_rows,)
        Room left by batches already stuck.
    draw : callable
        As `slipwright.season.asked.Draws`; asked with ``seed + 1``.
    seed : int
        Seed of the programme [1].
    n_fresh : int
        Draws [1].

    Returns
    -------
    list of Promise
        One a want.

    Notes
    -----
    Counts are binomial draws, one a fresh draw of the shares. While a plan gives its plants with less than
    the assurance less .01, the container joins that brings most for its cost and for which there is room;
    if there is none, the want's next plans at the prices are tried in its place.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.season._plans import plans_of
    >>> from slipwright.season._ways import ways_of
    >>> season, none = Season((), ()), np.empty(0, int)
    >>> ways = ways_of(season, set(), 0.0)
    >>> plans = plans_of(ways, (), [], none)
    >>> promises_of(season, ways, plans, none, np.empty(0), np.empty(0), None, seed=1, n_fresh=100)
    []
    """
    use = use_of(ways, plans.some(chosen))
    left = room - use.sum(axis=0) if len(chosen) else room
    ends = np.searchsorted(plans.want, np.arange(len(season.wants) + 1))
    promises = []
    for place, want in enumerate(season.wants):
        own = row_of(use, place)
        mending = _Mending(want, place, ways, left + own, draw, seed, n_fresh)
        plan = int(chosen[place])
        promise = mending.promise(plans, plan)
        if not mending.is_enough(promise):
            others = np.arange(ends[place], ends[place + 1])
            same = others[(plans.target[others] == plans.target[plan]) & (plans.n[others].sum(axis=1) > 0)]
            same = same[fit_alone(ways, plans.some(same), mending.room)]
            for other in same[np.argsort(excess[same], kind="stable")][:_TRIED]:
                instead = mending.promise(plans, int(other))
                if mending.is_enough(instead):
                    promise = instead
                    break
        promises.append(promise)
        left = left + own - mending.use(promise.options, promise.n)
    return promises


@dataclass(frozen=True, slots=True, eq=False)
class _Mending:
    """One want, and the room there is for it beside the plans of the others."""

    want: Want
    place: int
    ways: Ways
    room: Array
    draw: Draws
    seed: int
    n_fresh: int

    @property
    def first(self) -> int:
        return int(self.ways.first[self.place])

    def is_enough(self, promise: Promise) -> bool:
        return promise.promised_planned >= self.want.assurance - _BELOW

    def use(self, options: NDArray[np.int64], n: NDArray[np.int64]) -> Array:
        own, mine = self.ways.own(self.place), options - self.first
        use = np.zeros(len(self.room))
        use[own.rows] = n.astype(float) @ own.each[mine] + own.once[mine].sum(axis=0)
        return use

    def promise(self, plans: Plans, plan: int) -> Promise:
        used = plans.n[plan] > 0
        options, n = plans.options[plan][used].astype(np.int64), plans.n[plan][used].astype(np.int64)
        target = int(plans.target[plan])
        fits = bool((self.use(options, n) <= self.room + SLACK).all())
        fresh = self._fresh(options, n)
        chance = fresh.chance(target)
        for _ in range(_GROWS):
            if not fits or chance >= self.want.assurance - _BELOW:
                break
            grown = max(self._grown(options, n, fresh, target, chance), default=None, key=lambda one: one[0])
            if grown is None:
                break
            _, k, fresh = grown
            n[k] += self.ways.per[options[k]]
            chance = fresh.chance(target)
        return Promise(
            options,
            n,
            target,
            fresh.chance(self.want.n_wanted),
            chance if fits else min(chance, -1.0),
            tenths_of(fresh.whole),
            tenths_of(fresh.standing),
        )

    def _fresh(self, options: NDArray[np.int64], n: NDArray[np.int64]) -> _Fresh:
        drawn = self.draw(self.want, tuple((options - self.first).tolist()), self.n_fresh, self.seed + 1)
        ready = np.asarray(drawn.ready, float).reshape(len(options), self.n_fresh)
        counts = np.empty(ready.shape, np.int64)
        for k, option in enumerate(options):
            counts[k] = self._more(int(option), 0).binomial(int(n[k]), ready[k])
        return _Fresh(whole_standing(drawn, self.n_fresh), ready, counts)

    def _grown(
        self, options: NDArray[np.int64], n: NDArray[np.int64], fresh: _Fresh, target: int, chance: float
    ) -> Iterator[tuple[float, int, _Fresh]]:
        for k, option in enumerate(options.tolist()):
            per = int(self.ways.per[option])
            more = n.copy()
            more[k] += per
            if (self.use(options, more) > self.room + SLACK).any():
                continue
            counts = fresh.counts.copy()
            counts[k] += self._more(option, int(more[k])).binomial(per, fresh.ready[k])
            grown = _Fresh(fresh.standing, fresh.ready, counts)
            cost = max(per * float(self.ways.cost_each[option]), 1e-9)
            yield (grown.chance(target) - chance) / cost, k, grown

    def _more(self, option: int, n: int) -> np.random.Generator:
        return generator_of(self.seed, self.want.want, self.ways.options[option].option, "fresh", str(n))
