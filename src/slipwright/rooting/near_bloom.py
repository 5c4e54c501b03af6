"""How near to bloom cuttings were taken: 1 in bloom, falling to 0 over a month on either side."""

from __future__ import annotations

import math

import numpy as np

from slipwright.rooting.ranges import Array, normal_cdf

#: days from bloom after which nothing is felt of it any more: common practice, no source
MONTH_DAYS = 30.0


def bloom_of_days(days_from_bloom: Array | float) -> Array:
    """Return how near to bloom a distance from it is.

    Parameters
    ----------
    days_from_bloom : array or float
        Days from bloom, below 0 before it, 0 in it [days].

    Returns
    -------
    ndarray
        1 in bloom to 0 a month away [-].

    Notes
    -----
    max(0, 1 - |d| / 30).

    References
    ----------
    Our own; a month: common practice, no source.

    Examples
    --------
    >>> bloom_of_days([0, -15, 40]).tolist()
    [1.0, 0.5, 0.0]
    """
    away = np.abs(np.asarray(days_from_bloom, dtype=np.float64))
    return np.asarray(np.maximum(0.0, 1 - away / MONTH_DAYS))


def bloom_of_forecast(
    day: Array | float,
    first_day: Array | float,
    last_day: Array | float,
    *,
    first_sd_days: Array | float,
    last_sd_days: Array | float,
) -> Array:
    """Return how near to bloom a day is, averaged over what is not known of first and last flower.

    Parameters
    ----------
    day : array or float
        The day, on any scale [days].
    first_day, last_day : array or float
        Mean day of first and of last flower, on the same scale [days].
    first_sd_days, last_sd_days : array or float
        Their standard deviations, above 0 [days].

    Returns
    -------
    ndarray
        1 in bloom to 0 far from it [-].

    Notes
    -----
    The mean of `bloom_of_days` over first and last flower, each normal: E[(1 - x/30) 1(0 < x < 30)] of the
    days x that bloom lies ahead, and of those since it was over, and the chance to be in bloom.

    References
    ----------
    Partial moments of the normal distribution.

    Examples
    --------
    >>> sure = {"first_sd_days": 0.01, "last_sd_days": 0.01}
    >>> bloom_of_forecast(np.array([90, 110, 145, 180]), 120, 130, **sure).round(2).tolist()
    [0.0, 0.67, 0.5, 0.0]
    """
    ahead = np.asarray(first_day, dtype=np.float64) - day
    since = np.asarray(day, dtype=np.float64) - last_day
    first_sd, last_sd = np.asarray(first_sd_days, np.float64), np.asarray(last_sd_days, np.float64)
    inside = np.clip(1 - normal_cdf(ahead / first_sd) - normal_cdf(since / last_sd), 0.0, 1.0)
    return np.asarray(np.minimum(inside + _nearing(ahead, first_sd) + _nearing(since, last_sd), 1.0))


def _nearing(mean: Array, sd: Array) -> Array:
    """Mean of 1 - x/30 where x, normal, lies between 0 and 30, and of nought where it does not."""
    low, high = -mean / sd, (MONTH_DAYS - mean) / sd
    chance = normal_cdf(high) - normal_cdf(low)
    return np.asarray(chance * (1 - mean / MONTH_DAYS) + sd / MONTH_DAYS * (_density(high) - _density(low)))


def _density(score: Array) -> Array:
    return np.asarray(np.exp(-(score**2) / 2) / math.sqrt(2 * math.pi))
