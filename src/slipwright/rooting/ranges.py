"""The handbook's 10, 50 and 90 per cent points as curves: split normals, and the normal curve.

A handbook says "60, 70, 80 in 100" or "4, 6, 8 weeks" and nothing more.  The curve through such
points that assumes least is a normal on a suitable scale with one spread below its median and
another above: logit for shares, natural logarithm for days.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Counts = NDArray[np.int64]

#: distance of the 90 per cent point of a normal from its median, in standard deviations
Z90 = 1.2815515655446004
#: shares of nought and one have no logit; the handbook never knows better than 1 in 500
SHARE_EDGE = 0.002
#: three equal points still leave a curve that can be weighed
LEAST_SD = 1e-3


class RangeError(ValueError):
    """Three points that are no range: ``value`` holds them."""

    def __init__(self, message: str, value: object) -> None:
        super().__init__(message)
        self.value = value


@dataclass(frozen=True, slots=True)
class SplitNormal:
    """A normal with one standard deviation below its median and another above."""

    median: float
    sd_low: float
    sd_high: float

    def at(self, z: Array) -> Array:
        """Values at the standard normal scores ``z``; never falling in ``z``."""
        return self.median + z * np.where(z < 0, self.sd_low, self.sd_high)

    def score(self, x: Array) -> Array:
        """Return standard normal scores of the values ``x``: the inverse of `at`."""
        away = x - self.median
        return away / np.where(away < 0, self.sd_low, self.sd_high)


def logit(share: float) -> float:
    """Log odds of a share.

    Parameters
    ----------
    share : float
        A share between 0 and 1 [-]; values nearer than 0.002 to either end count as 0.002 away.

    Returns
    -------
    float
        Log odds [-].

    Notes
    -----
    ln(s / (1 - s)), for 0.002 <= s <= 0.998.

    References
    ----------
    Definition; the edge of 0.002 is our own: common practice, no source.

    Examples
    --------
    >>> logit(0.5)
    0.0
    """
    inside = min(max(share, SHARE_EDGE), 1 - SHARE_EDGE)
    return math.log(inside / (1 - inside))


def share_of_logit(log_odds: Any) -> Array:
    """Shares that have the given log odds.

    Parameters
    ----------
    log_odds : float or array of any shape
        Log odds [-].

    Returns
    -------
    array of the same shape
        Shares between 0 and 1 [-].

    Notes
    -----
    1 / (1 + exp(-x)), for any finite x.

    References
    ----------
    Definition.

    Examples
    --------
    >>> float(share_of_logit(0.0))
    0.5
    """
    # tanh never overflows, exp(-x) does
    return np.asarray(0.5 * (1 + np.tanh(0.5 * np.asarray(log_odds, dtype=float))))


def split_normal(p10: float, p50: float, p90: float) -> SplitNormal:
    """Split normal through three points.

    Parameters
    ----------
    p10, p50, p90 : float
        The 10, 50 and 90 per cent points, on the scale the curve is wanted on [-].

    Returns
    -------
    SplitNormal
        The curve whose 10, 50 and 90 per cent points are exactly these.

    Raises
    ------
    RangeError
        If the points fall, or one is not finite.

    Notes
    -----
    x(z) = p50 + z s, with s = (p50 - p10)/1.2816 for z < 0 and (p90 - p50)/1.2816 above.  Halves of
    a spread of nought are given 0.001, so that no draw is certain.

    References
    ----------
    Fechner G.T. 1897, Kollektivmasslehre: the two-piece normal (from memory); that a handbook's
    three points are joined so is our own: common practice, no source.

    Examples
    --------
    >>> curve = split_normal(4.0, 6.0, 9.0)
    >>> [round(float(curve.at(np.array([z]))[0]), 3) for z in (-Z90, 0.0, Z90)]
    [4.0, 6.0, 9.0]
    """
    points = (p10, p50, p90)
    if not all(math.isfinite(point) for point in points):
        raise RangeError(f"p10, p50 and p90 must be finite numbers, not {points}", points)
    if not p10 <= p50 <= p90:
        raise RangeError(f"p10 <= p50 <= p90 is wanted, not {points}", points)
    return SplitNormal(p50, max((p50 - p10) / Z90, LEAST_SD), max((p90 - p50) / Z90, LEAST_SD))


def share_curve(p10: float, p50: float, p90: float) -> SplitNormal:
    """Split normal on the logit scale through three shares.

    Parameters
    ----------
    p10, p50, p90 : float
        Shares between 0 and 1 [-].

    Returns
    -------
    SplitNormal
        The curve, on the logit scale.

    Raises
    ------
    RangeError
        If the points fall, or one is not a share.

    Notes
    -----
    As `split_normal`, on log odds.

    References
    ----------
    As `split_normal`: common practice, no source.

    Examples
    --------
    >>> round(float(share_of_logit(share_curve(0.6, 0.7, 0.8).median)), 3)
    0.7
    """
    points = (p10, p50, p90)
    if not all(0 <= point <= 1 for point in points):
        raise RangeError(f"p10, p50 and p90 must be shares from 0 to 1, not {points}", points)
    return split_normal(*(logit(point) for point in points))


def normal_cdf(z: Array) -> Array:
    """Shares of a standard normal below the given scores.

    Parameters
    ----------
    z : array of any shape
        Standard normal scores [-].

    Returns
    -------
    array of the same shape
        Shares from 0 to 1 [-], in error by less than 1e-7.

    Notes
    -----
    (1 + erf(z / sqrt 2)) / 2 with erf(x) = 1 - (a1 t + ... + a5 t^5) exp(-x^2), t = 1/(1 + p x),
    x >= 0.  It spares the round the loading of a statistics library.

    References
    ----------
    Abramowitz M. and Stegun I.A. 1964, Handbook of Mathematical Functions, formula 7.1.26,
    error below 1.5e-7 in erf (from memory; tested here against ``math.erf``).

    Examples
    --------
    >>> float(normal_cdf(np.array([Z90]))[0].round(5))
    0.9
    """
    x = np.abs(z) * (1 / math.sqrt(2))
    t = 1 / (1 + 0.3275911 * x)
    poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
    tail = 0.5 * poly * np.exp(-x * x)
    return np.where(z < 0, tail, 1 - tail)
