"""The chance that a trial tells two arms apart, when units of the same arm differ."""

from __future__ import annotations

import math

import numpy as np

from slipwright.rooting._trial_limits import check_shares, check_sizes
from slipwright.rooting.ranges import Array, share_of_logit

#: a difference is told by a two-sided test that is wrong 5 times in 100 where there is none
ALPHA = 0.05
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(41)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


def power_to_tell(
    shares: tuple[float, float], *, n_units_per_arm: int, n_per_unit: int, spread: float, n_arms: int = 2
) -> float:
    """Return the chance that a trial tells two arms apart.

    Parameters
    ----------
    shares : tuple of float
        Expected shares of the two arms, over many units [-].
    n_units_per_arm : int
        Units of each arm [1].
    n_per_unit : int
        Cuttings in each unit [1].
    spread : float
        Standard deviation of units of the same arm on the logit scale [-]; 0: all cuttings alike.
    n_arms : int
        Arms of the trial, all of which tell how far units differ [1].

    Returns
    -------
    float
        Chance that a two-sided test at 5 in 100 finds a difference of the right sign [-].

    Notes
    -----
    With a spread the test is Student's t on the units' shares: their variance is that of the units'
    true shares plus mean of p (1 - p) over the cuttings of a unit, the power from the non-central t with
    n_arms (n_units - 1) degrees of freedom. Without, all cuttings of an arm are one sample:
    Phi((sqrt(n) d - z sqrt(2 p q)) / sqrt(p1 q1 + p2 q2)), p the mean of the two shares.

    References
    ----------
    Fleiss 1981, Statistical Methods for Rates and Proportions, 2nd ed. (without a spread; as R's
    power.prop.test; from memory). The t with unit variances: Student's test on the shares of units.

    Examples
    --------
    >>> round(power_to_tell((0.5, 0.7), n_units_per_arm=1, n_per_unit=93, spread=0), 3)
    0.8
    """
    check_sizes(n_units_per_arm, n_per_unit, spread)
    check_shares(shares)
    from scipy.special import nctdtr, ndtr, ndtri, stdtrit

    apart = abs(shares[1] - shares[0])
    if spread == 0:
        n = n_units_per_arm * n_per_unit
        middle = (shares[0] + shares[1]) / 2
        null = ndtri(1 - ALPHA / 2) * math.sqrt(2 * middle * (1 - middle))
        own = math.sqrt(sum(share * (1 - share) for share in shares))
        return float(ndtr((math.sqrt(n) * apart - null) / own))
    if n_units_per_arm == 1:
        return 0.0
    variance = sum(unit_variance(share, spread, n_per_unit) for share in shares)
    df = n_arms * (n_units_per_arm - 1)
    away = apart / math.sqrt(variance / n_units_per_arm)
    # beyond 30 standard errors there is nothing left to tell, and the non-central t gives out
    return float(1 - nctdtr(df, min(away, 30.0), stdtrit(df, 1 - ALPHA / 2)))


def unit_variance(share: float, spread: float, n_per_unit: int) -> float:
    """Return the variance of the share of one unit.

    Parameters
    ----------
    share : float
        Share over many units [-].
    spread : float
        Standard deviation of units on the logit scale [-].
    n_per_unit : int
        Cuttings in the unit [1].

    Returns
    -------
    float
        Variance of the units' true shares, and of counting [-].

    References
    ----------
    Definition.

    Examples
    --------
    >>> round(unit_variance(0.5, 0.0, 10), 6)
    0.025
    """
    each = share_of_logit(middle_of(share, spread) + spread * _NODES)
    between = float(_WEIGHTS @ (each - share) ** 2)
    return between + float(_WEIGHTS @ (each * (1 - each))) / n_per_unit


def middle_of(share: float, spread: float) -> float:
    """Return the logit of the middle unit where many units together have a share.

    Parameters
    ----------
    share : float
        Share over many units [-].
    spread : float
        Standard deviation of units on the logit scale [-].

    Returns
    -------
    float
        mu with E logistic(mu + spread z) = share [-].

    References
    ----------
    Definition; solved by bisection.

    Examples
    --------
    >>> round(middle_of(0.7, 1.0), 3)
    1.018
    """
    low, high = -60.0, 60.0
    for _ in range(80):
        middle = (low + high) / 2
        if float(_WEIGHTS @ share_of_logit(middle + spread * _NODES)) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def simulated_power(
    shares: tuple[float, float],
    *,
    n_units_per_arm: int,
    n_per_unit: int,
    spread: float,
    generator: np.random.Generator,
    n_draws: int = 4_000,
) -> float:
    """Return the chance that a trial of two arms tells them apart, from invented trials.

    Parameters
    ----------
    shares : tuple of float
        Expected shares of the two arms, over many units [-].
    n_units_per_arm : int
        Units of each arm, two or more [1].
    n_per_unit : int
        Cuttings in each unit [1].
    spread : float
        Standard deviation of units of the same arm on the logit scale [-].
    generator : numpy.random.Generator
        Where the trials come from.
    n_draws : int
        Trials invented [1].

    Returns
    -------
    float
        Share of them in which Student's t on the units' shares finds the difference with its sign [-].

    References
    ----------
    Our own check of `power_to_tell`.

    Examples
    --------
    >>> chance = simulated_power((0.5, 0.7), n_units_per_arm=9, n_per_unit=12, spread=0.5,
    ...                          generator=np.random.default_rng(1))
    >>> 0.6 < chance < 0.9
    True
    """
    from scipy.special import stdtrit

    means, variances = [], []
    for share in shares:
        scores = generator.standard_normal((n_draws, n_units_per_arm))
        each = share_of_logit(middle_of(share, spread) + spread * scores)
        seen = generator.binomial(n_per_unit, each) / n_per_unit
        means.append(seen.mean(axis=1))
        variances.append(seen.var(axis=1, ddof=1))
    error: Array = np.sqrt((variances[0] + variances[1]) / n_units_per_arm)
    critical = float(stdtrit(2 * (n_units_per_arm - 1), 1 - ALPHA / 2))
    away = (means[1] - means[0]) * np.sign(shares[1] - shares[0])
    return float((away > critical * error).mean())
