"""How near a day lies to bloom."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]


def p_clear(
    day: ArrayLike,
    first_day: ArrayLike,
    last_day: ArrayLike,
    *,
    first_sd_days: ArrayLike,
    last_sd_days: ArrayLike,
    gap_before_days: float,
    gap_after_days: float,
) -> Array:
    """Return the chance that a day lies clear of bloom by the gaps before and after.

    Parameters
    ----------
    day : array_like
        The days, on any scale [d].
    first_day, last_day : array_like
        Mean day of first and of last flower, on the same scale [d].
    first_sd_days, last_sd_days : array_like
        Their standard deviations [d].
    gap_before_days, gap_after_days : float
        Days to keep clear [d].

    Returns
    -------
    ndarray
        Chance; 1 where the gaps swallow the bloom [-].

    Notes
    -----
    P(before first flower less the gap) + P(after last flower and the gap), each normal.

    References
    ----------
    Normal distribution.

    Examples
    --------
    >>> chance = p_clear([82, 120, 158], 120, 120, first_sd_days=6, last_sd_days=6,
    ...                  gap_before_days=30, gap_after_days=30)
    >>> print(chance.round(2))
    [0.91 0.   0.91]
    """
    import numpy as np
    from scipy.special import ndtr

    at = np.asarray(day, float)
    before = ndtr((np.asarray(first_day) - gap_before_days - at) / _sd(first_sd_days))
    after = ndtr((at - gap_after_days - np.asarray(last_day)) / _sd(last_sd_days))
    return np.asarray(np.minimum(before + after, 1.0))


def p_in_bloom(
    day: ArrayLike,
    first_day: ArrayLike,
    last_day: ArrayLike,
    *,
    first_sd_days: ArrayLike,
    last_sd_days: ArrayLike,
) -> Array:
    """Return the chance that a day lies between first and last flower.

    Parameters
    ----------
    day : array_like
        The days, on any scale [d].
    first_day, last_day : array_like
        Mean day of first and of last flower, on the same scale [d].
    first_sd_days, last_sd_days : array_like
        Their standard deviations [d].

    Returns
    -------
    ndarray
        Chance [-].

    References
    ----------
    Normal distribution.

    Examples
    --------
    >>> print(p_in_bloom([100, 130], 120, 141, first_sd_days=6, last_sd_days=8).round(2))
    [0.   0.88]
    """
    import numpy as np
    from scipy.special import ndtr

    at = np.asarray(day, float)
    begun = ndtr((at + 0.5 - np.asarray(first_day)) / _sd(first_sd_days))
    over = ndtr((at - 0.5 - np.asarray(last_day)) / _sd(last_sd_days))
    return np.asarray(np.clip(begun - over, 0.0, 1.0))


def first_clear_day(last_day: ArrayLike, sd_days: ArrayLike, gap_days: float, p: float = 0.9) -> Array:
    """Return from when on a day lies clear of bloom with a wished chance.

    Parameters
    ----------
    last_day : array_like
        Mean day of last flower, on any scale [d].
    sd_days : array_like
        Its standard deviation [d].
    gap_days : float
        Days to keep clear [d].
    p : float
        The chance wished, above 0 and below 1 [-].

    Returns
    -------
    ndarray
        The day, on the same scale [d].

    References
    ----------
    Normal quantile: the gap and 1.28 standard deviations at nine in ten.

    Examples
    --------
    >>> print(first_clear_day(120, 6, 30).round(3))
    157.689
    """
    import numpy as np
    from scipy.special import ndtri

    if not 0 < p < 1:
        raise BadArgument("p", "lie above 0 and below 1", p)
    return np.asarray(np.asarray(last_day, float) + gap_days + ndtri(p) * np.asarray(sd_days, float))


def _sd(sd_days: ArrayLike) -> Array:
    import numpy as np

    sd = np.asarray(sd_days, float)
    if not np.all(sd > 0):
        raise BadArgument("sd_days", "be above 0", sd_days)
    return sd
