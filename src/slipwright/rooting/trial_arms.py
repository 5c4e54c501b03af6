"""Several arms told from the first at once: the chance of all, and that of a false alarm."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from slipwright.rooting._trial_limits import check_shares, check_sizes
from slipwright.rooting.ranges import Array
from slipwright.rooting.trial_power import ALPHA, unit_variance

#: points of the first arm's mean and of the spread that the trial itself finds
_SCORES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(61)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_N_SPREADS = 64


def power_of_all(shares: Sequence[float], *, n_units_per_arm: int, n_per_unit: int, spread: float) -> float:
    """Return the chance that a trial tells every other arm from the first.

    Parameters
    ----------
    shares : sequence of float
        Expected shares of the arms, over many units, the first one's first [-].
    n_units_per_arm : int
        Units of each arm [1].
    n_per_unit : int
        Cuttings in each unit [1].
    spread : float
        Standard deviation of units of the same arm on the logit scale [-].

    Returns
    -------
    float
        Chance that the tests of `power_to_tell` find all differences, each of the right sign [-].

    Notes
    -----
    The tests hang together by the first arm's mean and by the spread, which all arms tell. Given these
    two the arms are independent: E prod_k P_k(mean, spread), by Gauss-Hermite quadrature over the mean
    and at 64 points of the spread's chi distribution.

    References
    ----------
    Dunnett C.W. 1955, Journal of the American Statistical Association 50:1096-1121 (from memory).

    Examples
    --------
    >>> size = {"n_units_per_arm": 17, "n_per_unit": 8, "spread": 0.5}
    >>> 0.5 < power_of_all((0.5, 0.7, 0.7, 0.7), **size) < power_of_all((0.5, 0.7), **size)
    True
    """
    return float(_over_first(shares, n_units_per_arm, n_per_unit, spread, _all_told))


def chance_of_false_alarm(
    share: float, n_arms: int, *, n_units_per_arm: int, n_per_unit: int, spread: float
) -> float:
    """Return the chance that a trial tells at least one arm from the first where none differs.

    Parameters
    ----------
    share : float
        Share of every arm [-].
    n_arms : int
        Arms of the trial, the first one included [1].
    n_units_per_arm : int
        Units of each arm [1].
    n_per_unit : int
        Cuttings in each unit [1].
    spread : float
        Standard deviation of units of the same arm on the logit scale [-].

    Returns
    -------
    float
        The chance; 0.05 with two arms [-].

    Notes
    -----
    As `power_of_all`: 1 - E prod_k P_k(nothing told).

    References
    ----------
    As `power_of_all`.

    Examples
    --------
    >>> size = {"n_units_per_arm": 17, "n_per_unit": 8, "spread": 0.5}
    >>> [round(chance_of_false_alarm(0.5, n, **size), 2) for n in (2, 5)]
    [0.05, 0.15]
    """
    none = _over_first([share] * n_arms, n_units_per_arm, n_per_unit, spread, _none_told)
    return 1 - float(none)


def _over_first(
    shares: Sequence[float],
    n_units_per_arm: int,
    n_per_unit: int,
    spread: float,
    chance_of: Callable[[Array, Array, Array], Array],
) -> float:
    """Mean over the first arm's mean and the spread found; apart, first and least are in an arm's own sd."""
    check_sizes(n_units_per_arm, n_per_unit, spread)
    check_shares(list(shares))
    from scipy.special import chdtri, ndtri, stdtrit

    first, others = shares[0], np.array(shares[1:])
    if spread == 0:
        n = n_units_per_arm * n_per_unit
        sds = np.array([math.sqrt(share * (1 - share) / n) for share in shares])
        middles = (first + others) / 2
        least = (ndtri(1 - ALPHA / 2) * np.sqrt(2 * middles * (1 - middles) / n))[:, None]
    else:
        df = len(shares) * (n_units_per_arm - 1)
        sds = np.sqrt([unit_variance(share, spread, n_per_unit) / n_units_per_arm for share in shares])
        if df == 0:
            return float(chance_of(*(np.array([[[one]]]) for one in (0.0, 0.0, math.inf))).item())
        found = np.sqrt(chdtri(df, (np.arange(_N_SPREADS) + 0.5) / _N_SPREADS) / df)
        least = stdtrit(df, 1 - ALPHA / 2) * np.hypot(sds[0], sds[1:])[:, None] * found
    side = np.where(others < first, -1.0, 1.0)
    own = sds[1:, None, None]
    apart = np.abs(others - first)[:, None, None] / own
    moved = side[:, None, None] * sds[0] * _SCORES[None, :, None] / own
    chances = chance_of(apart, moved, least[:, None, :] / own)
    return float(_WEIGHTS @ chances.prod(axis=0).mean(axis=1))


def _all_told(apart: Array, moved: Array, least: Array) -> Array:
    from scipy.special import ndtr

    return np.asarray(ndtr(apart - moved - least))


def _none_told(apart: Array, moved: Array, least: Array) -> Array:
    from scipy.special import ndtr

    away = apart - moved
    return np.asarray(ndtr(least - away) - ndtr(-least - away))
