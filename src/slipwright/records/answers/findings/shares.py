"""Shares that root in the long run, by draws: of one kind of batch, and of a garden's batches made alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slipwright.records.answers.findings.seen import SeenBatch
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.dates import patience_of
from slipwright.rooting.learned import Kind, Learned, Node
from slipwright.rooting.long_run import clocks_anew
from slipwright.rooting.ranges import Array, Counts

SEED = 1
#: draws of what is learned, and batches of the garden each way is tried on
N_DRAWS, N_BATCHES = 200, 32
#: draws for what is to be expected of each batch, and batches worked out at once
_EXPECTED_DRAWS, _AT_ONCE = 24, 500
Change = Callable[[Cuttings], Cuttings]


def shares_if(learned: Learned, batches: Sequence[SeenBatch], change: Change) -> Array:
    """Return draws of the share that roots where some of the garden's batches were made in one way.

    Nothing else about them is another: all of what else differs is the same whichever way is tried.
    """
    some = batches[:: -(-len(batches) // N_BATCHES)]
    stuck = [(change(one.record.cuttings), one.record.kind) for one in some]
    shares = _rooted(learned, stuck, [patience_of(cuttings.wood) for cuttings, _ in stuck], N_DRAWS)
    return np.asarray(shares.mean(axis=0))


def _rooted(
    learned: Learned, stuck: Sequence[tuple[Cuttings, Kind]], by_days: Sequence[float], n_draws: int
) -> Array:
    """Return draws of the share each batch has rooted by a day of its own, of shape (n_batches, n_draws)."""
    clocks = clocks_anew(learned, stuck, n_draws=n_draws, generator=np.random.default_rng(SEED))
    days, at = np.unique(np.asarray(by_days, dtype=float), return_inverse=True)
    rooted = fates(clocks, days)[0].reshape(len(days), len(stuck), n_draws)
    return np.asarray(rooted[at, np.arange(len(stuck))])


@dataclass(frozen=True, slots=True)
class Expected:
    """By batch how much more of 1 rooted than was to be expected by then, and its variance, in parts.

    Arrays of shape (n_batches,); a batch whose rooted were never counted has no number. ``own`` is the
    variance of the batch and of counting. What is not known of its plant, and its season, is the same for
    all batches of one ``wood`` or ``season``: ``of_wood`` and ``of_season`` are those standard deviations.
    """

    off: Array
    own: Array
    of_wood: Array
    of_season: Array
    wood: Counts
    season: Counts


def expected(learned: Learned, batches: Sequence[SeenBatch]) -> Expected:
    """Return how far each batch lies off what was to be expected of it."""
    off = np.full(len(batches), np.nan)
    draws, counting = off.copy(), off.copy()
    told = [(place, *found) for place, one in enumerate(batches) if (found := _last_count(one))]
    told.sort(key=lambda one: one[1])
    for start in range(0, len(told), _AT_ONCE):
        some = told[start : start + _AT_ONCE]
        stuck = [(batches[place].record.cuttings, batches[place].record.kind) for place, *_ in some]
        shares = _rooted(learned, stuck, [day for _, day, _, _ in some], _EXPECTED_DRAWS)
        where = [place for place, *_ in some]
        n_stuck = np.array([n for *_, n in some])
        off[where] = np.array([rooted / n for _, _, rooted, n in some]) - shares.mean(axis=1)
        draws[where] = shares.var(axis=1)
        counting[where] = (shares * (1 - shares)).mean(axis=1) / n_stuck
    kinds = [one.record.kind for one in batches]
    of_wood, of_season = _parts_shared(learned, kinds)
    return Expected(
        off,
        draws * (1 - of_wood - of_season) + counting,
        np.sqrt(draws * of_wood),
        np.sqrt(draws * of_season),
        _numbered([kind.path[2] for kind in kinds]),
        _numbered([kind.path[3] for kind in kinds]),
    )


def _parts_shared(learned: Learned, kinds: Sequence[Kind]) -> tuple[Array, Array]:
    """Return by batch the parts of its variance that are of its plant, and of its season.

    By the variances on the clock of rooting: what is still not known of its wood, and the spreads of seasons
    and of batches.
    """
    season, batch = (float((learned.spreads[level][0] ** 2).mean()) for level in ("season", "batch"))
    known: dict[Node, float] = {}
    for kind in kinds:
        if (node := kind.path[2]) not in known:
            drawn = learned.nodes.get(node)
            spreads = (float((learned.spreads[level][0] ** 2).mean()) for level in ("genus", "taxon", "wood"))
            known[node] = sum(spreads) if drawn is None else float(drawn[0].var())
    of_wood = np.array([known[kind.path[2]] for kind in kinds])
    whole = of_wood + season + batch
    return of_wood / whole, season / whole


def _numbered(nodes: Sequence[Node]) -> Counts:
    numbers: dict[Node, int] = {}
    return np.array([numbers.setdefault(node, len(numbers)) for node in nodes], dtype=np.intp)


def _last_count(one: SeenBatch) -> tuple[Any, ...] | None:
    """Return the day the rooted were last counted, how many there were, and of how many."""
    counts = one.record.counts
    days = [look.on for look in counts.looks if look.n_rooted is not None]
    if not days:
        return None
    until = counts.until(days[-1])
    n_there = counts.n_stuck - until.total("n_removed")
    if n_there <= 0 or days[-1] <= counts.stuck_on:
        return None
    return float((days[-1] - counts.stuck_on).days), min(until.n_rooted, n_there), n_there
