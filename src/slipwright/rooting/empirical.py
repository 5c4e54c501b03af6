"""What the looks alone say: shares rooted and lost by each day somebody looked, without a model."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.ranges import Array


@dataclass(frozen=True, slots=True)
class EmpiricalCurve:
    """Shares by the days of the looks, and how far they may be off; all arrays of shape (n_days,)."""

    days: Array
    n_at_risk: Array
    p_rooted: Array
    p_lost: Array
    p_waiting: Array
    se_rooted: Array
    se_lost: Array


def empirical_curve(batches: Sequence[BatchCounts]) -> EmpiricalCurve:
    """Shares of cuttings rooted, lost and waiting by each day of a look, as counted.

    Parameters
    ----------
    batches : sequence of BatchCounts
        One batch, or several thought to be alike, their days counted from sticking.

    Returns
    -------
    EmpiricalCurve
        Days [days], how many were at risk [1], shares and their standard errors [-].

    Notes
    -----
    Aalen and Johansen's estimator: with S waiting before a day and n at risk, rooted grows by S r/n and lost
    by S l/n. Removed ones, those thrown away as given up, and a batch after its last look are censored: they
    count until then and say nothing of what comes after. What rooted or was lost since the look before is
    placed on the day of the look. The standard error is by the delta method from a multinomial a day,
    which is Greenwood's where only one fate is told apart, and equals the infinitesimal jackknife.
    A look that did not count both rooted and lost (or one of them and what waits) waits for one that did.
    Numbers that do not add up are cut to what was at risk.

    References
    ----------
    Aalen O.O. and Johansen S. 1978, An empirical transition matrix for non-homogeneous Markov chains based
    on censored observations, Scandinavian Journal of Statistics 5, 141-150 (from memory).

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import LookCounts
    >>> looks = (LookCounts(date(2026, 6, 11), 2, 4), LookCounts(date(2026, 6, 18), 9, 5))
    >>> curve = empirical_curve([BatchCounts(date(2026, 6, 1), 60, looks)])
    >>> curve.p_rooted.round(4).tolist(), curve.se_rooted.round(4).tolist()
    ([0.0333, 0.1833], [0.0232, 0.05])
    """
    return curve_of(np.concatenate([np.empty((0, 5)), *(risk_sets(batch) for batch in batches)]))


def risk_sets(counts: BatchCounts) -> Array:
    """Return what was at risk in a batch from one look that counted all to the next, and what became of it.

    Parameters
    ----------
    counts : BatchCounts
        One batch.

    Returns
    -------
    array of shape (n_rows, 5)
        Day of the look before and of the look [days], at risk, rooted, lost [1].

    References
    ----------
    As `empirical_curve`.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import LookCounts
    >>> looks = (LookCounts(date(2026, 6, 11), 2, 4), LookCounts(date(2026, 6, 18), 9, 5))
    >>> risk_sets(BatchCounts(date(2026, 6, 1), 60, looks)).astype(int).tolist()
    [[0, 10, 60, 2, 4], [10, 17, 54, 9, 5]]
    """
    return np.array(list(_risk_sets(counts)), dtype=float).reshape(-1, 5)


def curve_of(at_risk: Array) -> EmpiricalCurve:
    """Return the shares that the risk sets of some batches make.

    Parameters
    ----------
    at_risk : array of shape (n_rows, 5)
        As `risk_sets` returns it, batch after batch [1].

    Returns
    -------
    EmpiricalCurve
        As `empirical_curve`.

    References
    ----------
    As `empirical_curve`.

    Examples
    --------
    >>> curve_of(np.array([[0, 10, 60, 2, 4], [10, 17, 54, 9, 5]], dtype=float)).p_rooted.round(4).tolist()
    [0.0333, 0.1833]
    """
    since, on, n_stood, new_rooted, new_lost = at_risk.T
    days, at = np.unique(on, return_inverse=True)
    n_at_risk, rooted, lost = np.zeros((3, len(days) + 1))
    np.add.at(rooted, at, new_rooted)
    np.add.at(lost, at, new_lost)
    # each counts from the first day after it was last looked at, up to its own day
    np.add.at(n_at_risk, np.minimum(np.searchsorted(days, since, side="right"), at + 1), n_stood)
    np.add.at(n_at_risk, at + 1, -n_stood)
    n_at_risk, rooted, lost = np.cumsum(n_at_risk)[:-1], rooted[:-1], lost[:-1]
    hazards = np.stack([rooted, lost]) / np.maximum(n_at_risk, 1)
    stays = 1 - hazards.sum(0)
    before = np.concatenate([[1.0], np.cumprod(stays)])[:-1]
    by = np.cumsum(before * hazards, 1)
    errors = [_standard_errors(clock, by[clock], hazards, before, stays, n_at_risk) for clock in (0, 1)]
    return EmpiricalCurve(days, n_at_risk, by[0], by[1], before * stays, *errors)


def _risk_sets(batch: BatchCounts) -> Iterable[tuple[float, float, int, int, int]]:
    waiting, since = batch.n_stuck, 0.0
    rooted = lost = 0  # counted at looks that did not count all
    for look in batch.looks:
        removed = look.n_removed or 0
        new_rooted, new_lost = look.n_rooted, look.n_lost
        if look.cause == "given-up" and new_lost is not None:
            removed, new_lost = removed + new_lost, 0
        if look.n_waiting is not None and (new_rooted is None) != (new_lost is None):
            counted = rooted + lost + (new_rooted or 0) + (new_lost or 0)
            rest = max(waiting - counted - removed - look.n_waiting, 0)
            new_rooted, new_lost = (rest, new_lost) if new_rooted is None else (new_rooted, rest)
        rooted, lost = rooted + (new_rooted or 0), lost + (new_lost or 0)
        if new_rooted is None or new_lost is None:
            waiting = max(waiting - removed, 0)
            continue
        rooted = min(rooted, waiting)
        lost = min(lost, waiting - rooted)
        day = float((look.on - batch.stuck_on).days)
        yield since, day, waiting, rooted, lost
        waiting, since = max(waiting - rooted - lost - removed, 0), day
        rooted = lost = 0


def _standard_errors(
    clock: int, by: Array, hazards: Array, before: Array, stays: Array, n_at_risk: Array
) -> Array:
    """Find the errors of the shares of one fate: slopes in each day's hazards, times their covariance."""
    later = np.triu(by[None, :] - by[:, None])  # from each day on, by each day
    reached = np.triu(np.ones_like(later))
    through = -later / np.where(stays > 0, stays, 1)[:, None]
    own = through + reached * before[:, None]
    slopes = np.stack([own, through] if clock == 0 else [through, own])
    spread = np.einsum("kj,kjt->jt", hazards, slopes**2) - np.einsum("kj,kjt->jt", hazards, slopes) ** 2
    return np.asarray(np.sqrt(np.maximum((spread / np.maximum(n_at_risk, 1)[:, None]).sum(0), 0.0)))
