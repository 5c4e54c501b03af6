"""Invented worlds for measuring the rooting model: histories of batches, and the truth behind each.

`own_world` draws everything from the model's own priors, so that a fit should be right about it on the
whole; `other_world` draws from another family, log-normal times of rooting with a share that never roots.
Both are looked at in the same way: 4 to 8 looks a batch, 6 to 11 days apart (14 to 24 of hard wood), a
tenth of the batches with nothing but a last count of the rooted, a few with only what waits, a few
cuttings taken away.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.cells import Cells
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import LEVEL_SD, Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import LEVELS, Kind, Learned, Node, prior_draws

T = TypeVar("T")
Array = NDArray[np.float64]
#: shares of the cuttings rooted by and lost by some days, of shape (n_days, 2)
SharesBy = Callable[[Array], Array]

#: what the rows of a handbook speak of, by wood
ROWS = {
    "softwood": Cuttings(wood="softwood", ripeness=0.35, auxin="dip", strength=1000.0, cover="tent"),
    "semi-hardwood": Cuttings(auxin="talc", strength=3000.0, cover="tent"),
    "hardwood": Cuttings(
        wood="hardwood", auxin="dip", strength=2500.0, leaves="none", cover="open", n_nodes=4
    ),
}
STUCK_ON = date(2024, 6, 1)
WEEK_8 = 56.0
WOODS = ("softwood", "semi-hardwood", "hardwood")
P_WOODS = (0.35, 0.45, 0.2)
SEASONS = ("2021", "2022", "2023", "2024")
P_LAST_COUNT_ONLY, P_ONLY_WAITING, P_REMOVED = 0.1, 0.1, 0.06


@dataclass(frozen=True)
class World:
    """A history, and of any batch in it or new to it the true shares rooted and lost by some days."""

    records: list[BatchRecord]
    shares_by: Callable[[Cuttings, Kind, Array], Array]
    #: one draw of all unknowns: the truth itself, where the world is the model's own
    truth: Learned | None = None


def rooted_and_lost_by(log_hazards: Array, days: Array, cells: Cells) -> Array:
    """Sum up hazards of shape (2, n_cells, ...) to shares rooted and lost by some days, (n_days, 2, ...)."""
    edges = np.array(cells.edges)
    hazards = np.exp(log_hazards)
    both = hazards.sum(0)
    along = (len(edges) - 1,) + (1,) * (both.ndim - 1)
    left = np.exp(-np.cumsum(both * np.diff(edges).reshape(along), 0))
    left = np.concatenate([np.ones((1, *both.shape[1:])), left])
    into = hazards / both * (left[:-1] - left[1:])
    by_edge = np.concatenate([np.zeros((2, 1, *both.shape[1:])), np.cumsum(into, 1)], 1)
    cell = np.clip(np.searchsorted(edges, days, side="right") - 1, 0, len(edges) - 2)
    since = (days - edges[cell]).reshape((-1,) + (1,) * (both.ndim - 1))
    gone = -np.expm1(-both[cell] * since)
    found = by_edge[:, cell] + hazards[:, cell] / both[cell] * left[cell] * gone
    return np.asarray(np.moveaxis(found, 0, 1))


def own_world(
    generator: np.random.Generator, n_batches: int, n_taxa: int, *, n_stuck: tuple[int, int] = (5, 30)
) -> World:
    """Draw a history of the model's own world, everything unknown from its prior."""
    truth = prior_draws(generator, 1)
    kinds = drawn_kinds(generator, n_batches, n_taxa)
    cuttings = [drawn_cuttings(generator, kind) for kind in kinds]
    coefficients = dict(truth.coefficients)
    for each in cuttings:
        for name in each.terms():
            if name not in coefficients:
                sd = LEVEL_SD[name.partition("[")[0]]
                coefficients[name] = sd * generator.standard_normal((2, 1))
    nodes: dict[Node, Array] = {}
    for kind in kinds:
        above: Array = np.zeros((2, 1))
        for depth, node in enumerate(kind.path):
            if node not in nodes:
                nodes[node] = above + _effect(generator, truth, LEVELS[depth])
            above = nodes[node]
    truth = replace(truth, coefficients=coefficients, nodes=nodes)

    def shares_by(cuttings: Cuttings, kind: Kind, days: Array) -> Array:
        clocks = truth.clocks(cuttings, kind)
        return rooted_and_lost_by(clocks.log_hazards(), days, clocks.cells)[..., 0]

    return World(_looked_at(generator, kinds, cuttings, n_stuck, shares_by), shares_by, truth)


def other_world(
    generator: np.random.Generator, n_batches: int, n_taxa: int, *, n_stuck: tuple[int, int] = (5, 30)
) -> World:
    """Draw a history the model is wrong about: log-normal times of rooting, and a share that never roots."""
    told = prior_draws(generator, 1)
    kinds = drawn_kinds(generator, n_batches, n_taxa)
    cuttings = [drawn_cuttings(generator, kind) for kind in kinds]
    ease: dict[str, float] = {}
    own: dict[str, float] = {}
    for kind in kinds:
        ease.setdefault(kind.taxon, float(generator.normal(0, 0.6)))
        own[kind.batch] = float(generator.normal(0, 0.4))

    def shares_by(cuttings: Cuttings, kind: Kind, days: Array) -> Array:
        level = ease[kind.taxon] + (own[kind.batch] if kind.batch else float(generator.normal(0, 0.4)))
        for name, amount in cuttings.terms().items():
            if name not in ("intercept", "time", "time_2") and name in told.coefficients:
                level += amount * float(told.coefficients[name][0, 0])
        return _log_normal_shares(level, days)

    return World(_looked_at(generator, kinds, cuttings, n_stuck, shares_by), shares_by)


def _log_normal_shares(level: float, days: Array) -> Array:
    """Race log-normal rooting (some never) against log-normal loss, by steps of a day."""
    from scipy.special import ndtr

    grid = np.arange(0.0, max(float(days.max()), 1.0) + 1.0)
    later = np.maximum(grid, 1e-9)
    able = 1 / (1 + math.exp(-(1.5 + 0.9 * level)))
    rooting = able * ndtr((np.log(later) - math.log(38) + 0.4 * level) / 0.35)
    loss = ndtr((np.log(later) - math.log(150)) / 1.2)
    into_rooting = np.diff(rooting) * (1 - (loss[1:] + loss[:-1]) / 2)
    into_loss = np.diff(loss) * (1 - (rooting[1:] + rooting[:-1]) / 2)
    by = np.concatenate([np.zeros((1, 2)), np.cumsum(np.stack([into_rooting, into_loss], 1), 0)])
    return np.stack([np.interp(days, grid, by[:, clock]) for clock in (0, 1)], 1)


def drawn_kinds(generator: np.random.Generator, n_batches: int, n_taxa: int) -> list[Kind]:
    """Draw where each batch stands: about three taxa a genus, each met where there are batches enough."""
    n_genera = max(1, round(n_taxa / 3))
    pages = generator.normal(0, 0.4, (n_genera, len(WOODS), 2))
    pages[::3] = 0.0  # every third genus has no page
    found = []
    for i in range(n_batches):
        taxon = i if i < n_taxa else int(generator.integers(n_taxa))
        wood = int(generator.choice(len(WOODS), p=P_WOODS))
        genus = taxon % n_genera
        season = SEASONS[int(generator.integers(len(SEASONS)))]
        offset = (float(pages[genus, wood, 0]), float(pages[genus, wood, 1]))
        found.append(Kind(f"Genus {genus}", f"Taxon {taxon}", WOODS[wood], season, f"B{i}", offset))
    return found


def drawn_cuttings(generator: np.random.Generator, kind: Kind) -> Cuttings:
    """Draw what was stuck: all terms of the model are met, those not written down too."""

    def known(value: T, p_unknown: float = 0.1) -> T | None:
        return None if generator.random() < p_unknown else value

    hard = kind.wood == "hardwood"
    auxin = _one_of(generator, ("none", "dip", "talc", "soak"), (0.3, 0.4, 0.2, 0.1))
    strength = {"none": 0.0, "soak": 60.0}.get(auxin, 2500.0) * math.exp(generator.normal(0, 0.6))
    return Cuttings(
        wood=kind.wood,
        ripeness=known(float(generator.uniform(0.05, 0.95))),
        auxin=auxin,
        strength=known(strength),
        leaves="none" if hard else _one_of(generator, ("kept", "reduced"), (0.7, 0.3)),
        cover=known(_one_of(generator, ("mist", "tent", "open"), (0.4, 0.5, 0.1)), 0.05),
        warmth_c=known(float(generator.normal(20, 3.5))),
        bloom=known(float(generator.uniform(0, 1)) if generator.random() < 0.3 else 0.0),
        spent=0.6 if generator.random() < 0.1 else 1.0,
        n_nodes=known(int(generator.integers(1, 6))),
        length_mm=known(float(generator.uniform(50, 200)), 0.5),
        form=_one_of(generator, ("piece", "tip", "heel", "mallet", "single-node"), (0.5, 0.2, 0.1, 0.1, 0.1)),
        wounded=generator.random() < 0.2,
        stored=generator.random() < 0.1,
        medium=f"medium {generator.integers(3)}",
        container=f"container {generator.integers(2)}",
        usual=ROWS[kind.wood] if any(kind.offset) else None,
    )


def _one_of(generator: np.random.Generator, names: Sequence[T], shares: Sequence[float]) -> T:
    return names[int(generator.choice(len(names), p=shares))]


def _effect(generator: np.random.Generator, truth: Learned, level: str) -> Array:
    score = generator.standard_normal((2, 1))
    if level == "batch":
        together = truth.batch_together
        score = np.stack([score[0], together * score[0] + np.sqrt(1 - together**2) * score[1]])
    return np.asarray(truth.spreads[level] * score)


def _looked_at(
    generator: np.random.Generator,
    kinds: Sequence[Kind],
    cuttings: Sequence[Cuttings],
    n_stuck: tuple[int, int],
    shares_by: Callable[[Cuttings, Kind, Array], Array],
) -> list[BatchRecord]:
    found = []
    for kind, each in zip(kinds, cuttings, strict=True):
        n = int(generator.integers(n_stuck[0], n_stuck[1] + 1))
        apart = (14, 24) if kind.wood == "hardwood" else (6, 11)
        days = np.cumsum(generator.integers(apart[0], apart[1] + 1, int(generator.integers(4, 9))))
        looks = drawn_looks(generator, n, days, shares_by(each, kind, days.astype(float)))
        found.append(BatchRecord(each, kind, BatchCounts(STUCK_ON, n, looks)))
    return found


def drawn_looks(
    generator: np.random.Generator, n_stuck: int, days: NDArray[np.int64], by: Array
) -> tuple[LookCounts, ...]:
    """Draw what looks on some days find, given the shares (n_days, 2) by those days; some count less."""
    style = generator.random()
    last_only = style < P_LAST_COUNT_ONLY
    waiting_from = len(days)
    if P_LAST_COUNT_ONLY <= style < P_LAST_COUNT_ONLY + P_ONLY_WAITING:
        waiting_from = int(generator.integers(len(days)))
    waiting, n_rooted_in_all = n_stuck, 0
    before = np.zeros(2)
    looks = []
    for k, day in enumerate(days):
        left = max(1 - before.sum(), 1e-12)
        gone = np.clip((by[k] - before) / left, 0, 1)
        new = generator.multinomial(waiting, [*(gone / max(gone.sum(), 1.0)), 0.0])
        waiting, before = int(new[2]), by[k]
        n_rooted_in_all += int(new[0])
        removed = 0
        if not last_only and waiting and generator.random() < P_REMOVED:
            removed = int(generator.integers(1, min(waiting, 3) + 1))
            waiting -= removed
        on = STUCK_ON + timedelta(days=int(day))
        if last_only:
            if k == len(days) - 1:
                looks.append(LookCounts(on, n_rooted=n_rooted_in_all))
        elif k >= waiting_from:
            looks.append(LookCounts(on, n_removed=removed or None, n_waiting=waiting))
        else:
            looks.append(LookCounts(on, int(new[0]), int(new[1]), removed or None))
    return tuple(looks)
