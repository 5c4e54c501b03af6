"""How many to stick, when the share that roots is known as draws."""

from __future__ import annotations

import numpy as np

from slipwright.craft.errors import BadArgument, OutOfReach
from slipwright.craft.numbers import N_TO_STICK_LIMIT, StickCount
from slipwright.rooting.ranges import Array, normal_cdf

#: more wanted than this are counted by the normal curve
_MOST_EXACT = 400
#: chances worked out at once
_AT_ONCE = 200_000
#: no draw is quite sure
_EDGE = 1e-12


def chance_of(n_wanted: int, n_stuck: int, rooted: Array) -> float:
    """Return the chance of so many rooted when so many are stuck.

    Parameters
    ----------
    n_wanted : int
        Rooted cuttings wanted, 0 or more [1].
    n_stuck : int
        Cuttings stuck, 0 or more [1].
    rooted : array of shape (n_draws,)
        Draws of the share of a batch that roots [-].

    Returns
    -------
    float
        Probability [-].

    Raises
    ------
    BadArgument
        If a number lies outside its range.

    Notes
    -----
    The mean over the draws of the binomial chance of ``n_wanted`` or more of ``n_stuck``: no curve is laid
    through the draws.  Exact up to 400 wanted (from 200 on over fewer draws, evenly chosen in order); above
    by the normal curve with half a cutting's correction, in error by less than 0.002.

    References
    ----------
    Definition.

    Examples
    --------
    >>> round(chance_of(5, 9, np.array([0.6, 0.7, 0.8])), 2)
    0.87
    """
    if n_wanted < 0:
        raise BadArgument("n_wanted", "be 0 or more", n_wanted)
    if n_stuck < 0:
        raise BadArgument("n_stuck", "be 0 or more", n_stuck)
    if n_wanted == 0 or n_wanted > n_stuck:
        return float(n_wanted == 0)
    return _chance(n_wanted, n_stuck, _chosen(rooted, n_wanted))


def number_to_stick(n_wanted: int, assurance: float, rooted: Array) -> StickCount:
    """Return the least number to stick that gives so many rooted with the assurance wished.

    Parameters
    ----------
    n_wanted : int
        Rooted cuttings wanted, 0 or more [1].
    assurance : float
        Probability wished, above 0 and below 1 [-].
    rooted : array of shape (n_draws,)
        Draws of the share of a batch that roots [-].

    Returns
    -------
    StickCount
        The number and the probability it reaches.

    Raises
    ------
    BadArgument
        If a number lies outside its range.
    OutOfReach
        If not even 1,000,000 cuttings reach the assurance.

    Notes
    -----
    `chance_of` never falls as the number stuck grows, so the least number is found by doubling and halving.

    References
    ----------
    As `chance_of`.

    Examples
    --------
    >>> number_to_stick(5, 0.8, np.array([0.6, 0.7, 0.8])).n_to_stick
    9
    """
    if n_wanted < 0:
        raise BadArgument("n_wanted", "be 0 or more", n_wanted)
    if not 0.0 < assurance < 1.0:
        raise BadArgument("assurance", "lie above 0 and below 1", assurance)
    if n_wanted == 0:
        return StickCount(0, 1.0)
    if n_wanted > N_TO_STICK_LIMIT:
        raise OutOfReach(n_wanted, assurance, N_TO_STICK_LIMIT, 0.0)
    shares = _chosen(rooted, n_wanted)
    few, many = n_wanted - 1, n_wanted
    while (p_many := _chance(n_wanted, many, shares)) < assurance:
        if many >= N_TO_STICK_LIMIT:
            raise OutOfReach(n_wanted, assurance, many, p_many)
        few, many = many, min(2 * many, N_TO_STICK_LIMIT)
    while many - few > 1:
        middle = (few + many) // 2
        p_middle = _chance(n_wanted, middle, shares)
        if p_middle < assurance:
            few = middle
        else:
            many, p_many = middle, p_middle
    return StickCount(many, p_many)


def _chosen(rooted: Array, n_wanted: int) -> Array:
    """Draws in order, so many that all their chances can be worked out at once."""
    most = max(_AT_ONCE // max(n_wanted, 1), _AT_ONCE // _MOST_EXACT)
    ordered = np.sort(np.clip(rooted, _EDGE, 1 - _EDGE))
    if len(ordered) <= most:
        return np.asarray(ordered)
    return np.asarray(ordered[((np.arange(most) + 0.5) * len(ordered) / most).astype(int)])


def _chance(n_wanted: int, n_stuck: int, shares: Array) -> float:
    if n_wanted > _MOST_EXACT:
        sd = np.sqrt(n_stuck * shares * (1 - shares))
        return float(normal_cdf((n_stuck * shares - n_wanted + 0.5) / sd).mean())
    fewer = np.arange(n_wanted)
    ways = np.concatenate([[0.0], np.cumsum(np.log((n_stuck - fewer[:-1]) / (fewer[:-1] + 1.0)))])
    log_chance = ways + np.log(shares)[:, None] * fewer + np.log1p(-shares)[:, None] * (n_stuck - fewer)
    return float(1 - np.minimum(np.exp(log_chance).sum(axis=1), 1).mean())
