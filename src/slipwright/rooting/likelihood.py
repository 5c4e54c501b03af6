"""How well two clocks explain what was found: the log likelihood of looks, its slopes and its curvature.

A batch touches the likelihood through six numbers only, whatever is known of it: level, slope and bend of
the log hazard of rooting, and the same of loss.  All arrays carry a leading axis of points, so that many
settings of the spreads, or many draws, are worked through at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import LOST, ROOTED, WAITING, Index, Segments

#: level, slope, bend of rooting, then of loss
N_NUMBERS = 6
#: log hazards a day are held within these: once in 10^13 days, 10^6 times a day
LEAST_LOG, MOST_LOG = -30.0, 14.0


@dataclass(frozen=True, slots=True)
class Jet:
    """Log likelihood by batch, its slopes and curvature in the six numbers of each batch.

    ``value`` has the shape (n_points, n_batches), ``slope`` (6, n_points, n_batches) and ``curve``
    (6, 6, n_points, n_batches).
    """

    value: Array
    slope: Array | None = None
    curve: Array | None = None


def log_likelihood(segments: Segments, numbers: Array) -> Array:
    """Log likelihood of what was found of each batch.

    Parameters
    ----------
    segments : Segments
        What was found.
    numbers : array of shape (6, n_points, n_batches)
        Level, slope and bend of ln hazard of rooting and of loss, hazards a day [1/day].

    Returns
    -------
    array of shape (n_points, n_batches)
        Log likelihood [-]; without the multinomial's constant.

    Notes
    -----
    With hazards r and l in a segment of t days and H = r + l: rooted r/H (1 - exp(-H t)), lost
    l/H (1 - exp(-H t)), waiting exp(-H t), each times what waits at the start of the segment.  All
    in logarithms, so that nothing underflows.

    References
    ----------
    Competing risks with hazards constant in pieces: definition; Cox D.R. and Oakes D. 1984, Analysis of
    Survival Data (from memory).

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import BatchCounts, LookCounts
    >>> from slipwright.rooting.spells import segments_of
    >>> seen = segments_of([BatchCounts(date(2026, 9, 1), 9, (LookCounts(date(2026, 9, 8), 3, 0),))])
    >>> level = np.log([0.05, 0.01])
    >>> numbers = np.array([level[0], 0, 0, level[1], 0, 0]).reshape(6, 1, 1)
    >>> float(log_likelihood(seen, numbers)[0, 0].round(3))
    -6.277
    """
    return jet_of(segments, numbers, order=0).value


def jet_of(segments: Segments, numbers: Array, *, order: int = 2) -> Jet:
    """Log likelihood with its slopes (``order`` 1) and curvature (``order`` 2).

    Parameters
    ----------
    segments : Segments
        What was found.
    numbers : array of shape (6, n_points, n_batches)
        As `log_likelihood`.
    order : {0, 1, 2}
        How many derivatives [1].

    Returns
    -------
    Jet
        Value and derivatives, exact.

    Notes
    -----
    A fate's chance is a sum of parts w; its slope is the mean of the parts' slopes g weighted by w, and
    its curvature the mean of their curvatures plus the variance of g.

    References
    ----------
    As `log_likelihood`.

    Examples
    --------
    >>> from slipwright.rooting.spells import segments_of
    >>> jet_of(segments_of([]), np.zeros((6, 1, 0))).value.shape
    (1, 0)
    """
    n_points, n_batches = numbers.shape[1:]
    if not len(segments.batch):
        empty = np.zeros((n_points, n_batches))
        return Jet(
            empty,
            np.zeros((N_NUMBERS, *empty.shape)) if order else None,
            np.zeros((N_NUMBERS, N_NUMBERS, *empty.shape)) if order > 1 else None,
        )
    pieces = _Pieces(segments, numbers)
    value = pieces.by_batch(segments.fate_n * pieces.log_fate, segments.fate_runs)
    slope = pieces.slope() if order else None
    curve = pieces.curve() if order > 1 else None
    return Jet(value, slope, curve)


class _Pieces:
    """The likelihood at some numbers, piece by piece; segments on the last axis."""

    def __init__(self, segments: Segments, numbers: Array) -> None:
        self.seen = segments
        self.n_batches = segments.n_batches
        at = segments.batch
        self.a = segments.times[segments.cell]
        self.a2 = self.a * self.a
        z = numbers[:, :, at]
        log_r = z[0] + z[1] * self.a + z[2] * self.a2
        log_l = z[3] + z[4] * self.a + z[5] * self.a2
        self.log_r, self.log_l = (np.clip(log, LEAST_LOG, MOST_LOG) for log in (log_r, log_l))
        #: whether a hazard moves with the numbers: one held at its bounds does not
        self.free_r, self.free_l = self.log_r == log_r, self.log_l == log_l
        self.r_days = np.exp(self.log_r) * segments.days
        self.l_days = np.exp(self.log_l) * segments.days
        self.x = self.r_days + self.l_days
        before = self.run_up(self.x)
        log_gone = np.log(-np.expm1(-self.x)) + np.log(segments.days) - np.log(self.x) - before
        self.parts = np.where(
            segments.part_kind == WAITING,
            -(before + self.x)[:, segments.part_segment],
            np.where(segments.part_kind == ROOTED, self.log_r[:, segments.part_segment], 0)
            + np.where(segments.part_kind == LOST, self.log_l[:, segments.part_segment], 0)
            + log_gone[:, segments.part_segment],
        )
        first, of = segments.fate_first, segments.part_fate
        most = np.maximum.reduceat(self.parts, first, axis=1)
        share = np.exp(self.parts - most[:, of])
        total = np.add.reduceat(share, first, axis=1)
        self.log_fate = most + np.log(total)
        #: how much of a fate's chance lies in each part
        self.share = share / total[:, of]

    def run_up(self, by_segment: Array) -> Array:
        """Sum over the earlier segments of the same spell."""
        total = np.zeros_like(by_segment)
        for chosen in self.seen.by_place[1:]:
            total[..., chosen] = total[..., chosen - 1] + by_segment[..., chosen - 1]
        return total

    def run_down(self, by_segment: Array) -> Array:
        """Sum over the later segments of the same spell."""
        total = np.zeros_like(by_segment)
        for chosen in reversed(self.seen.by_place[1:]):
            total[..., chosen - 1] = total[..., chosen] + by_segment[..., chosen]
        return total

    def by_batch(self, values: Array, runs: tuple[Index, Index]) -> Array:
        """Sum up what belongs to each batch; ``runs`` says where a batch begins, and which."""
        first, batch = runs
        sums = np.add.reduceat(values, first, axis=-1)
        if len(batch) == self.n_batches:
            return np.asarray(sums)
        found = np.zeros((*values.shape[:-1], self.n_batches))
        found[..., batch] = sums
        return found

    def _of_kind(self, kind: int, weight: Array) -> Array:
        parts, first, segment = self.seen.parts_of_kind[kind]
        total: Array = np.zeros_like(self.x)
        if len(parts):
            total[:, segment] = np.add.reduceat(weight[:, parts], first, axis=1)
        return total

    def _weigh(self) -> None:
        """Work out what slopes and curvature share."""
        weight = self.share * self.seen.fate_n[self.seen.part_fate]
        self.rooted, lost, waiting = (self._of_kind(kind, weight) for kind in (ROOTED, LOST, WAITING))
        self.gone, self.lost = self.rooted + lost, lost
        #: cuttings whose fate came after a segment
        self.after = self.run_down(self.gone + waiting) + waiting
        with np.errstate(over="ignore"):
            self.y = self.x / np.expm1(self.x)
        # slope of ln((1 - exp(-x)) / H) in ln H, and shares of the two clocks in H
        self.phi = self.y - 1
        self.of_r, self.of_l = self.r_days / self.x, self.l_days / self.x

    def slope(self) -> Array:
        """Slopes in the six numbers, (6, n_points, n_batches)."""
        self._weigh()
        by_r = self.free_r * (self.rooted + self.gone * self.phi * self.of_r - self.after * self.r_days)
        by_l = self.free_l * (self.lost + self.gone * self.phi * self.of_l - self.after * self.l_days)
        powers = np.stack([np.ones_like(self.a), self.a, self.a2])[:, None]
        slopes = np.concatenate([by_r * powers, by_l * powers])
        return self.by_batch(slopes, self.seen.segment_runs)

    def curve(self) -> Array:
        """Curvature in the six numbers, (6, 6, n_points, n_batches); after `slope`."""
        both = self.of_r * self.of_l
        bend = self.y - self.y * self.x / -np.expm1(-self.x)
        rr = self.gone * (bend * self.of_r**2 + self.phi * both) - self.after * self.r_days
        ll = self.gone * (bend * self.of_l**2 + self.phi * both) - self.after * self.l_days
        rl = self.gone * (bend - self.phi) * both
        rr, rl, ll = rr * self.free_r, rl * (self.free_r & self.free_l), ll * self.free_l
        powers = np.stack([np.ones_like(self.a), self.a, self.a2, self.a * self.a2, self.a2 * self.a2])
        found = np.empty((N_NUMBERS, N_NUMBERS, *self.x.shape[:1], self.n_batches))
        for row, column, by in ((0, 0, rr), (0, 3, rl), (3, 3, ll)):
            moments = self.by_batch(by * powers[:, None], self.seen.segment_runs)
            for i in range(3):
                found[row + i, column : column + 3] = moments[i : i + 3]
        found[3:, :3] = found[:3, 3:].swapaxes(0, 1)
        self._add_spread_of_parts(found)
        return found

    def _add_spread_of_parts(self, found: Array) -> None:
        """Add the variance of the slopes of each fate's parts."""
        parts, first, fate = self.seen.mixed
        if not len(parts):
            return
        segment, kind = self.seen.part_segment[parts], self.seen.part_kind[parts]
        waits, roots, dies = kind == WAITING, kind == ROOTED, kind == LOST
        share = self.share[:, parts]
        phi = np.where(waits, 0.0, self.phi[:, segment])
        free_r, free_l = self.free_r[:, segment], self.free_l[:, segment]
        own = np.stack(
            [free_r * (phi * self.of_r[:, segment] + roots), free_l * (phi * self.of_l[:, segment] + dies)]
        )
        powers = np.stack([np.ones_like(self.a), self.a, self.a2])[:, None]
        hazards = np.concatenate([self.r_days * self.free_r * powers, self.l_days * self.free_l * powers])
        reached = self.run_up(hazards)[..., segment] + np.where(waits, hazards[..., segment], 0)
        slopes = (own[:, None] * powers[..., segment]).reshape(reached.shape) - reached
        slopes -= np.add.reduceat(share * slopes, first, axis=-1)[..., fate]
        weight = share * self.seen.fate_n[self.seen.part_fate[parts]]
        for i in range(N_NUMBERS):
            both = self.by_batch(weight * slopes[i] * slopes[i:], self.seen.mixed_runs)
            found[i, i:] += both
            found[i + 1 :, i] += both[1:]
