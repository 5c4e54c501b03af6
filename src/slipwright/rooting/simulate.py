"""Invented batches: what a batch of cuttings does by two clocks, one of rooting and one of loss.

For demonstrations and for tests, never for advice.  The clocks are those of `slipwright.rooting.learned`;
what is true of the invented world are the means of what is believed before any record
(`slipwright.rooting.cuttings.TERMS`), but for a few terms, so that a fit to it has something to find.

Every number here is our own assumption, tuned so that the curves follow rules of thumb: common practice,
no source.  The rules: a rose or a like shrub of half-ripe wood with hormone roots in four to eight weeks,
about 8 in 10; soft wood sooner; bare dormant wood in three months or more; soft tips rot, woody bases are
slow; leafy cuttings without a cover are lost.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.cells import GRID_DAYS
from slipwright.rooting.curves import middle_clocks
from slipwright.rooting.cuttings import PRIOR_MEANS, Cuttings
from slipwright.rooting.ranges import Array
from slipwright.rooting.spreads import SPREADS

#: mean of a half-normal with scale 1
_HALF_NORMAL_MEAN = math.sqrt(2 / math.pi)
_LEAST_HAZARD = 1e-12

#: term: what it adds to the log hazard of rooting, and to that of loss, in the invented world
_TRUE = PRIOR_MEANS | {
    "hardwood": (-1.80, -0.80),
    "time_hardwood": (0.0, 0.30),
    "nodes": (0.10, -0.15),
    "short_without_mist": (0.0, 0.0),
}


@dataclass(frozen=True, slots=True)
class Hazards:
    """Chances a day of rooting and of loss, one of each a cell of `GRID_DAYS` [1/day]."""

    rooting: Array
    loss: Array


def hazards_of(cuttings: Cuttings, effect: tuple[float, float] = (0.0, 0.0)) -> Hazards:
    """Hazards of rooting and of loss of one batch.

    Parameters
    ----------
    cuttings : Cuttings
        What was stuck.
    effect : tuple of two float
        What genus, taxon, season and batch add to the log hazards of rooting and of loss [-].

    Returns
    -------
    Hazards
        Per day, one a cell of the grid [1/day].

    Raises
    ------
    ValueError
        If ripeness or bloom lie outside 0 to 1, or the strength is below 0; all three must be known.

    Notes
    -----
    ln h = sum of terms + effect + g1 a + g2 a^2 with a = ln(max(middle of the cell, 5 days) / 42 days).
    With g1 = 2 and g2 = -0.5 the hazard of rooting climbs, peaks and falls; that of loss falls slowly.
    Strengths up to 20000 ppm and 5 to 30 °C; beyond that the parabolas mean nothing.

    References
    ----------
    Our own assumptions, tuned to rules of thumb: common practice, no source. Hazards by cause that are
    constant in pieces: D. R. Cox, D. Oakes, Analysis of Survival Data, 1984, from memory.

    Examples
    --------
    >>> hazards = hazards_of(Cuttings())
    >>> float(hazards.rooting[9].round(3)), float(hazards.loss[9].round(4))
    (0.055, 0.0033)
    """
    if not all(share is not None and 0 <= share <= 1 for share in (cuttings.ripeness, cuttings.bloom)):
        raise ValueError("ripeness and bloom must lie from 0 to 1")
    if cuttings.strength is None or cuttings.strength < 0:
        raise ValueError(f"strength must not be below 0, not {cuttings.strength}")
    rooting, loss = np.exp(middle_clocks(cuttings, effect, _TRUE).log_hazards()[:, :, 0])
    return Hazards(rooting, loss)


def chances(hazards: Hazards, from_day: float, to_day: float) -> tuple[float, float, float]:
    """Chances that a cutting that waits on one day has rooted, is lost, or waits still on another.

    Parameters
    ----------
    hazards : Hazards
        Rooting and loss of its batch [1/day].
    from_day, to_day : float
        Days after sticking [days].

    Returns
    -------
    tuple of three float
        Rooted, lost, waiting; they sum to 1 [-].

    Raises
    ------
    ValueError
        If the days are below 0 or run backwards.

    Notes
    -----
    Within a cell of length t with hazards r and l, H = r + l: rooted r/H (1 - exp(-H t)), lost
    l/H (1 - exp(-H t)), waiting exp(-H t). A stretch over several cells is split at their edges, each
    part weighted by what waits at its start. The last cell of the grid goes on for ever.

    References
    ----------
    The competing risks of a hazard that is constant in pieces; definition.

    Examples
    --------
    >>> [round(chance, 2) for chance in chances(hazards_of(Cuttings(auxin="dip", strength=3000)), 0, 56)]
    [0.8, 0.16, 0.04]
    """
    if not 0 <= from_day <= to_day:
        raise ValueError(f"days must run on from 0, not from {from_day} to {to_day}")
    inner = [edge for edge in GRID_DAYS[1:-1] if from_day < edge < to_day]
    rooted = lost = 0.0
    waiting = 1.0
    for begin, end in pairwise([from_day, *inner, to_day]):
        cell = min(int(np.searchsorted(GRID_DAYS, begin, side="right")) - 1, len(hazards.rooting) - 1)
        rate, loss = float(hazards.rooting[cell]), float(hazards.loss[cell])
        both = max(rate + loss, _LEAST_HAZARD)
        gone = -math.expm1(-both * (end - begin))
        rooted += waiting * gone * rate / both
        lost += waiting * gone * loss / both
        waiting *= 1 - gone
    return rooted, lost, waiting


def drawn_effects(generator: np.random.Generator, kinds: Sequence[tuple[str, str, str]]) -> Array:
    """Draw what genus, taxon, a taxon's season and the batch itself add to the log hazards.

    Parameters
    ----------
    generator : numpy.random.Generator
        Where the draws come from.
    kinds : sequence of (genus, taxon, season)
        One for each batch.

    Returns
    -------
    array of shape (n_batches, 2)
        Additions to the log hazards of rooting and of loss [-].

    Notes
    -----
    Normal effects, mean 0, drawn once for each genus, taxon of it and season of that, in the order they
    first appear, and once a batch. The standard deviations are means of half-normals with the scales of
    `slipwright.rooting.spreads.SPREADS`. The two clocks are drawn apart.

    References
    ----------
    Our own assumptions: common practice, no source.

    Examples
    --------
    >>> rose = ("Rosa", "Rosa 'Ice Lantern'", "2014")
    >>> drawn_effects(np.random.default_rng(1), [rose, rose]).shape
    (2, 2)
    """
    known: dict[tuple[str, ...], Array] = {}
    found = np.zeros((len(kinds), 2))
    for row, kind in enumerate(kinds):
        for depth, scale in enumerate(("genus", "taxon", "season"), 1):
            shared = kind[:depth]
            if shared not in known:
                known[shared] = _drawn(generator, scale)
            found[row] += known[shared]
        found[row] += _drawn(generator, "batch")
    return found


def _drawn(generator: np.random.Generator, scale: str) -> Array:
    drawn: Array = generator.standard_normal(2) * _HALF_NORMAL_MEAN * np.array(SPREADS[scale])
    return drawn


def drawn_counts(
    generator: np.random.Generator,
    hazards: Hazards,
    n_stuck: int,
    look_days: Sequence[float],
    *,
    from_day: float = 0.0,
) -> NDArray[np.int64]:
    """Draw what each look at a batch finds new.

    Parameters
    ----------
    generator : numpy.random.Generator
        Where the draws come from.
    hazards : Hazards
        Rooting and loss of the batch [1/day].
    n_stuck : int
        Cuttings stuck, or waiting on ``from_day`` [1].
    look_days : sequence of float
        Days after sticking of the looks, none before the one before it [days].
    from_day : float
        Day of the look before the first [days].

    Returns
    -------
    array of shape (n_looks, 3)
        Newly rooted, newly lost, and waiting after the look [1].

    Raises
    ------
    ValueError
        If fewer than none were stuck, or the days run backwards.

    Notes
    -----
    Of those at risk at one look, a multinomial draw by the `chances` until the next. Cuttings of a batch
    are independent given its hazards.

    References
    ----------
    Definition.

    Examples
    --------
    >>> counts = drawn_counts(np.random.default_rng(3), hazards_of(Cuttings()), 12, [7, 14, 35, 60])
    >>> int(counts[:, :2].sum() + counts[-1, 2])
    12
    """
    if n_stuck < 0:
        raise ValueError(f"n_stuck must not be below 0, not {n_stuck}")
    waiting, before = n_stuck, from_day
    found = np.zeros((len(look_days), 3), dtype=np.int64)
    for row, day in enumerate(look_days):
        found[row] = generator.multinomial(waiting, chances(hazards, before, day))
        waiting, before = int(found[row, 2]), day
    return found
