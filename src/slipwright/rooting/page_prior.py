"""The handbook's word as a prior: what a page's row stands for, and what it adds to the two clocks.

A page says of one kind of wood which share roots in time, in how many weeks, and which share is lost,
under the way it is usually done.  The usual way becomes `Cuttings`; two numbers, added to the levels of
rooting and of loss, then make the prior's median curve pass through the row.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np

from slipwright.handbook.pages import Dose, Wood, WoodLeaf
from slipwright.rooting.curves import days_to_root, fates, middle_clocks
from slipwright.rooting.cuttings import TERMS, USUAL_RIPENESS, Auxin, Cover, Cuttings
from slipwright.rooting.learned import ClockDraws, Kind, Learned, prior_draws
from slipwright.rooting.ranges import Array, logit

#: the place along the shoot of the tip
TIP_RIPENESS = 0.2
#: a cold frame is aired and stands over no leafy cutting alone: records call it open
_COVERS: dict[str, Cover] = {"closed-bag": "tent", "loose-tent": "tent", "frame": "open", "none": "open"}
#: for a plant no page speaks of: patience [days]; per cent rooted, weeks to root, per cent lost
_WITHOUT_PAGE: dict[Wood, tuple[float, tuple[float, float, float]]] = {
    "softwood": (70.0, (50.0, 3.5, 28.0)),
    "semi-hardwood": (120.0, (60.0, 6.5, 20.0)),
    "hardwood": (210.0, (50.0, 13.0, 18.0)),
}
_AUXINS: dict[str, Auxin] = {"quick-dip": "dip", "gel": "dip", "talc": "talc", "soak": "soak", "none": "none"}
#: how exactly a row is met in log odds rooted, log days and log odds lost
_WEIGHTS = 1 / np.array([0.05, 0.025, 0.5])
_MOST_STEPS, _LONGEST_STEP, _APART, _NEAR_MIDDLE, _NEAR_MEDIAN = 40, 1.0, 1e-5, 0.05, 2e-3
_N_DRAWS, _SEED = 256, 20150601


def usual_cuttings(leaf: WoodLeaf | None, wood: Wood) -> Cuttings:
    """Cuttings as the handbook's row of a wood has them, which its figures speak of.

    Parameters
    ----------
    leaf : WoodLeaf or None
        What the handbook says of the wood; None where it has no page or the page no such wood.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.

    Returns
    -------
    Cuttings
        Middles of the row's ranges, the first dose, clear of bloom; ``usual`` is set, so that a batch made
        from it by `dataclasses.replace` counts what differs from the row.

    Notes
    -----
    Tips stand at ripeness 0.2, all else at 0.5; bags and tents are a tent, a frame is open, as records
    call it.  Without a leaf: leafy under a tent, hardwood bare and open.

    References
    ----------
    The handbook; ripeness: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> usual = usual_cuttings(load_handbook().page_of("Rosa").woods["semi-hardwood"], "semi-hardwood")
    >>> usual.auxin, usual.strength, usual.cover, usual.warmth_c
    ('talc', 3000.0, 'tent', 19.5)
    """
    if leaf is None:
        bare = wood == "hardwood"
        return Cuttings(wood, leaves="none" if bare else "kept", cover="open" if bare else "tent")
    dose = leaf.doses[0] if leaf.doses else None
    row = Cuttings(
        wood=wood,
        ripeness=TIP_RIPENESS if leaf.cutting == "tip" else USUAL_RIPENESS,
        auxin=_AUXINS[dose.form] if dose else "none",
        strength=_strength(dose) if dose else 0.0,
        leaves=leaf.leaves,
        cover=_COVERS[leaf.cover_kind],
        warmth_c=(leaf.medium_c.low + leaf.medium_c.high) / 2,
        n_nodes=round((leaf.n_nodes.low + leaf.n_nodes.high) / 2),
        length_mm=(leaf.length_mm.low + leaf.length_mm.high) / 2,
        form=leaf.cutting,
    )
    return replace(row, usual=row)


def offset_of(leaf: WoodLeaf | None, wood: Wood) -> tuple[float, float]:
    """Additions of a page's row to the levels of rooting and of loss.

    Parameters
    ----------
    leaf : WoodLeaf or None
        What the handbook says of the wood; None where it has no page or the page no such wood.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.

    Returns
    -------
    tuple of two float
        Additions to the log hazards of rooting and of loss [-].

    Notes
    -----
    Two numbers cannot meet three: the medians over draws of the prior, for `usual_cuttings`, of share rooted
    by the row's patience, of the middle day among those that root, and of share lost.  Least squares in log
    odds, log days and log odds, with 0.05, 0.025 and 0.5 as what each may be off by: the first two are met
    nearly exactly, the last as far as the first two let it.  Gauss-Newton on the curve of all coefficients
    at their means, then with the same slopes on 512 draws, the same on every call.
    Without a leaf the row is a wide one for any shrub: 50, 60 and 50 % of soft, half-ripe and hard wood
    root by day 70, 120 and 210, in 3.5, 6.5 and 13 weeks, and 28, 20 and 18 % are lost.

    References
    ----------
    The handbook; the weights and the row for any shrub are our own: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rooting, loss = offset_of(load_handbook().page_of("Rosa").woods["semi-hardwood"], "semi-hardwood")
    >>> -2 < rooting < 2 and -2 < loss < 2
    True
    """
    if leaf is None:
        return _offset(usual_cuttings(None, wood), *_WITHOUT_PAGE[wood])
    row = leaf.rooted_percent[0].p50, leaf.weeks_to_root[0].p50, leaf.lost_percent[0].p50
    return _offset(usual_cuttings(leaf, wood), leaf.patience_days.value, row)


@cache
def _offset(usual: Cuttings, by_day: float, row: tuple[float, float, float]) -> tuple[float, float]:
    """Least squares on the middle curve, then the same slopes until the medians of the draws agree."""
    rooted, weeks, lost = row
    wanted = _WEIGHTS * np.array([logit(rooted / 100), math.log(7 * weeks), logit(lost / 100)])
    at, slopes = np.zeros(2), np.zeros((3, 2))
    for _ in range(_MOST_STEPS):
        found = _told(middle_clocks(usual, at[:, None] + _APART * np.eye(2, 3, 1)), by_day)
        slopes = (found[:, 1:] - found[:, :1]) / _APART
        at, moved = _nearer(at, wanted - found[:, 0], slopes)
        if moved < _NEAR_MIDDLE:
            break
    drawn = _drawn().clocks(usual, Kind("", "", usual.wood, ""))
    for _ in range(_MOST_STEPS):
        clocks = replace(drawn, level=drawn.level + at[:, None])
        at, moved = _nearer(at, wanted - np.median(_told(clocks, by_day), axis=1), slopes)
        if moved < _NEAR_MEDIAN:
            break
    return float(at[0]), float(at[1])


def _told(clocks: ClockDraws, by_day: float) -> Array:
    """Share rooted, middle day and share lost as a row tells them: on its scales, weighed; (3, n_draws)."""
    rooted, lost, _ = np.clip(fates(clocks, [by_day])[:, 0], 1e-9, 1 - 1e-9)
    days = np.log(days_to_root(clocks, by_day=by_day))
    told = np.stack([np.log(rooted / (1 - rooted)), days, np.log(lost / (1 - lost))])
    return np.asarray(_WEIGHTS[:, None] * told)


def _nearer(at: Array, away: Array, slopes: Array) -> tuple[Array, float]:
    change = np.linalg.lstsq(slopes, away, rcond=None)[0]
    change = change / max(1.0, float(np.abs(change).max()) / _LONGEST_STEP)
    return at + change, float(np.abs(change).max())


@cache
def _drawn() -> Learned:
    """Draws of the prior, always the same, each beside its mirror image so that medians are sharp."""
    drawn = prior_draws(np.random.default_rng(_SEED), _N_DRAWS)
    means = {term.name: np.array([[term.rooting[0]], [term.loss[0]]]) for term in TERMS}
    return Learned(
        {name: np.hstack([half, 2 * means[name] - half]) for name, half in drawn.coefficients.items()},
        {level: np.hstack([half, half]) for level, half in drawn.spreads.items()},
        np.tile(drawn.batch_together, 2),
        np.concatenate([drawn.noise, -drawn.noise], axis=2),
    )


def _strength(dose: Dose) -> float:
    return (dose.low + dose.high) / 2
