"""Plant by plant: the share that roots and how soon, as counted, as learned and as the handbook has it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from typing import cast

import numpy as np

from slipwright.advice.kinds import kind_of
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Spread, Wood, WoodLeaf
from slipwright.records.answers.findings.counts import counted_of
from slipwright.records.answers.findings.gap import points_of
from slipwright.records.answers.findings.kept import Rate, Rule, RuleName
from slipwright.records.answers.findings.seen import SeenBatch
from slipwright.records.answers.findings.shares import SEED
from slipwright.rooting.belief_left import share_left
from slipwright.rooting.curves import days_to_root, fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.dates import patience_of
from slipwright.rooting.learned import Kind, Learned, before_records
from slipwright.rooting.long_run import clocks_anew
from slipwright.rooting.page_prior import usual_cuttings
from slipwright.rooting.ranges import Array

#: draws of what is learned, and batches of each over which the long run is taken
_N_DRAWS, _EACH = 200, 12


def rates_of(learned: Learned, batches: Sequence[SeenBatch], handbook: Handbook) -> tuple[Rate, ...]:
    """Return every wood of every taxon, those with most batches first."""
    of: dict[tuple[str, str], list[SeenBatch]] = {}
    for one in batches:
        of.setdefault((one.record.kind.taxon, one.record.kind.wood), []).append(one)
    page_of = cache(handbook.page_of)
    rates = []
    for (taxon, wood), some in of.items():
        page = page_of(taxon)
        leaf = page.woods.get(cast(Wood, wood)) if page else None
        rates.append(_rate(learned, some, taxon, cast(Wood, wood), leaf))
    return tuple(sorted(rates, key=lambda one: (-one.counted.n_batches, one.taxon, one.wood)))


def _rate(
    learned: Learned, batches: Sequence[SeenBatch], taxon: str, wood: Wood, leaf: WoodLeaf | None
) -> Rate:
    kind = kind_of(taxon, leaf, wood, batches[0].stuck_on)
    patience = leaf.patience_days.value if leaf else patience_of(wood)
    usual = usual_cuttings(leaf, wood)
    one_batch, own = _draws(learned, usual, kind, patience)
    believed = _believed(usual, kind.offset, patience)
    return Rate(
        taxon,
        wood,
        counted_of(batches),
        points_of(own["rooted"]),
        points_of(one_batch),
        points_of(believed["rooted"]),
        points_of(own["weeks"]),
        _left(own["rooted"], believed["rooted"]),
        _rules(leaf, own, believed) if leaf else (),
    )


def _draws(
    known: Learned, usual: Cuttings, kind: Kind, patience: float
) -> tuple[Array, dict[RuleName, Array]]:
    """Return draws of the share of one batch that roots in time, and of the long run's figures."""
    clocks = clocks_anew(
        known, [(usual, kind)] * _EACH, n_draws=_N_DRAWS, generator=np.random.default_rng(SEED)
    )
    rooted, lost, _ = fates(clocks, [patience])[:, 0]
    weeks = days_to_root(clocks, by_day=patience) / 7
    return rooted, {"rooted": _long(rooted), "weeks": _long(weeks), "lost": _long(lost)}


@lru_cache(maxsize=512)
def _believed(usual: Cuttings, offset: tuple[float, float], patience: float) -> dict[RuleName, Array]:
    """Return the long run before any record: no plant differs from another but by its page."""
    anywhere = Kind("", "", usual.wood, "", offset=offset)
    return _draws(before_records(), usual, anywhere, patience)[1]


def _long(draws: Array) -> Array:
    """Return the mean over the batches of each draw."""
    return np.asarray(draws.reshape(_EACH, _N_DRAWS).mean(axis=0))


def _rules(leaf: WoodLeaf, own: dict[RuleName, Array], believed: dict[RuleName, Array]) -> tuple[Rule, ...]:
    rows: tuple[tuple[RuleName, Spread, float], ...] = (
        ("rooted", leaf.rooted_percent[0], 100),
        ("weeks", leaf.weeks_to_root[0], 1),
        ("lost", leaf.lost_percent[0], 100),
    )
    found = []
    for name, row, per in rows:
        low, middle, high = row.p10 / per, row.p50 / per, row.p90 / per
        below, above = (float(one.mean()) for one in (own[name] < low, own[name] > high))
        left = _left(own[name], believed[name])
        found.append(Rule(name, low, middle, high, points_of(own[name]), below, above, left))
    return tuple(found)


def _left(own: Array, believed: Array) -> float:
    """Return how much of a belief is left in what is known now."""
    return share_left(float(own.std()), float(believed.std()), float(own.mean() - believed.mean()))
