"""How firm wood becomes, day by day: from the calendar, the heat since buds broke, and the hand.

An *edge* is the day a kind of wood begins or ceases to be right. All functions give the chance that an
edge has been passed by each of some days, so that a window is the product of "begun" and "not over".
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

#: spread of the heat an edge needs by the handbook, and of a year about a plant's own: our guesses
PRIOR_CV: Final = 0.3
OWN_CV: Final = 0.1
#: the 14 days of a season's edge, parted into a plant's and a year's: common practice, no source [d]
PLANT_SD_DAYS: Final = 10.0
YEAR_SD_DAYS: Final = math.sqrt(14.0**2 - PLANT_SD_DAYS**2)
#: how exactly the hand or the eye dates an edge, and how often it errs: common practice, no source
HAND_SD_DAYS: Final = 5.0
HAND_ERRS: Final = 0.02
#: new wood after cutting back is usually right in 6 to 10 weeks: common practice, no source [d]
NEW_WOOD_DAYS: Final = 56.0
NEW_WOOD_SD_DAYS: Final = 14.0 / 1.2815515655446004
#: shoots of most hardy plants stand still below this, as a mean of 14 days: common practice, no source [°C]
STILL_BELOW_C: Final = 7.5
_STILL_SD_C: Final = 1.5


@dataclass(frozen=True, slots=True)
class Need:
    """How much heat an edge needs: log-normal.

    Attributes
    ----------
    c_d : float
        Median [°C d].
    log_sd : float
        Standard deviation of its logarithm: how well the plant's own median is known [-].
    n_own : int
        Own records [1].
    """

    c_d: float
    log_sd: float
    n_own: int

    @property
    def sd_c_d(self) -> float:
        """How well the median is known [°C d]."""
        return self.c_d * self.log_sd


@dataclass(frozen=True, slots=True)
class Edge:
    """The day of an edge: normal.

    Attributes
    ----------
    after_book_days : float
        Mean, after the handbook's day [d].
    sd_days : float
        Standard deviation of a coming season's [d].
    n_own : int
        Own records [1].
    """

    after_book_days: float
    sd_days: float
    n_own: int


def need_of(
    own_need_c_d: ArrayLike, prior_need_c_d: float, *, prior_cv: float = PRIOR_CV, own_cv: float = OWN_CV
) -> Need:
    """Return how much heat since bud break an edge needs, from the handbook and own records.

    Parameters
    ----------
    own_need_c_d : array_like
        Heat at which it was passed in other years [°C d].
    prior_need_c_d : float
        Heat of usual years up to the handbook's day [°C d].
    prior_cv, own_cv : float
        Spread of the logarithm, of the prior and of one own year [-].

    Returns
    -------
    Need
        Median and spread.

    Raises
    ------
    BadArgument
        If a need or a spread is not above 0.

    Notes
    -----
    Normal in the logarithm: ln need ~ N(ln prior, prior_cv^2), each record N(ln need, own_cv^2). No open
    records were found to test it on; both spreads are guesses, so it says weeks and never a day.

    References
    ----------
    Conjugate normal formula; the spreads are our own guesses.

    Examples
    --------
    >>> one = need_of([480], 600)
    >>> round(one.c_d), round(one.sd_c_d)
    (491, 47)
    """
    import numpy as np

    own = np.asarray(own_need_c_d, float)
    for name, value in (("prior_need_c_d", prior_need_c_d), ("prior_cv", prior_cv), ("own_cv", own_cv)):
        if not value > 0:
            raise BadArgument(name, "be above 0", value)
    if not np.all(own > 0):
        raise BadArgument("own_need_c_d", "be above 0", own_need_c_d)
    precision = prior_cv**-2 + own.size * own_cv**-2
    told = prior_cv**-2 * math.log(prior_need_c_d) + own_cv**-2 * float(np.log(own).sum())
    return Need(math.exp(told / precision), precision**-0.5, own.size)


def edge_of(own_after_days: ArrayLike, own_sd_days: ArrayLike = HAND_SD_DAYS) -> Edge:
    """Return the day of an edge from the handbook's day and own records of other years.

    Parameters
    ----------
    own_after_days : array_like
        Days after the handbook's on which it was passed in other years [d].
    own_sd_days : array_like
        How exactly each was dated, as a standard deviation [d].

    Returns
    -------
    Edge
        Mean and spread of a coming season; 14 days without records.

    Notes
    -----
    A plant's own edge lies N(0, 10 d) from the handbook's, a season's N(0, 9.8 d) from the plant's.

    References
    ----------
    Conjugate normal formula; 14 days: common practice, no source.

    Examples
    --------
    >>> edge_of([]).sd_days, round(edge_of([12, 14, 10]).after_book_days, 1)
    (14.0, 8.6)
    """
    import numpy as np

    own = np.asarray(own_after_days, float)
    spread = np.broadcast_to(np.asarray(own_sd_days, float), own.shape)
    weight = 1 / (YEAR_SD_DAYS**2 + spread**2)
    precision = PLANT_SD_DAYS**-2 + float(weight.sum())
    mean = float((weight * own).sum()) / precision
    return Edge(mean, math.sqrt(1 / precision + YEAR_SD_DAYS**2), own.size)


def passed_by_day(day: ArrayLike, edge_day: ArrayLike, sd_days: ArrayLike) -> Array:
    """Return the chance that a normal edge has been passed by the middle of days.

    Parameters
    ----------
    day : array_like
        The days, on any scale [d].
    edge_day : array_like
        Mean day of the edge, its beginning, on the same scale [d].
    sd_days : array_like
        Its standard deviation, above 0 [d].

    Returns
    -------
    ndarray
        Chance [-].

    References
    ----------
    Normal distribution.

    Examples
    --------
    >>> print(passed_by_day([86, 99.5, 114], 100, 14).round(2))
    [0.17 0.5  0.85]
    """
    import numpy as np
    from scipy.special import ndtr

    return np.asarray(ndtr((np.asarray(day, float) + 0.5 - np.asarray(edge_day, float)) / sd_days))


def passed_by_heat(heat_c_d: ArrayLike, need: Need, *, own_cv: float = OWN_CV) -> Array:
    """Return the chance that an edge has been passed by each day, by the heat up to it.

    Parameters
    ----------
    heat_c_d : array_like
        Heat since bud break, a row for each way the year may go on, a column a day [°C d].
    need : Need
        How much it needs.
    own_cv : float
        How one year strays from the plant's median, spread of the logarithm [-].

    Returns
    -------
    ndarray
        Chance by day, the mean of the rows [-].

    References
    ----------
    Log-normal distribution.

    Examples
    --------
    >>> print(passed_by_heat([[300, 491, 700]], need_of([480], 600)).round(2))
    [0.   0.5  0.99]
    """
    import numpy as np
    from scipy.special import ndtr

    heat = np.atleast_2d(np.asarray(heat_c_d, float))
    with np.errstate(divide="ignore"):
        z = np.log(np.maximum(heat, 0.0) / need.c_d) / math.hypot(need.log_sd, own_cv)
    return np.asarray(ndtr(z).mean(axis=0))


def given_seen(
    passed: ArrayLike, day: ArrayLike, seen_day: float, *, was_passed: bool, sd_days: float = HAND_SD_DAYS
) -> Array:
    """Return the chance of an edge by day once it was seen on a day whether it had been passed.

    Parameters
    ----------
    passed : array_like
        Chance that it has been passed by each day, before that [-].
    day : array_like
        The days, one after the other [d].
    seen_day : float
        The day of the record [d].
    was_passed : bool
        What was seen.
    sd_days : float
        How exactly the hand tells it [d].

    Returns
    -------
    ndarray
        Chance afterwards: nowhere lower if it was passed and nowhere higher if not [-].

    Notes
    -----
    Bayes on the day of the edge, whose likelihood falls from .98 to .02 about the day of the record; the
    hand errs once in fifty. Mass before the first and after the last day counts with them.

    References
    ----------
    Bayes; both figures: common practice, no source.

    Examples
    --------
    >>> import numpy as np
    >>> day = np.arange(60, 140)
    >>> before = passed_by_day(day, 100, 14)
    >>> print(given_seen(before, day, 85, was_passed=True)[[20, 40]].round(2))
    [0.45 0.94]
    """
    import numpy as np
    from scipy.special import ndtr

    chance, at = np.asarray(passed, float), np.asarray(day, float)
    mass = np.diff(chance, prepend=0.0, append=1.0)
    where = np.append(at, at[-1] + 1) if len(at) else at
    side = 1.0 if was_passed else -1.0
    like = HAND_ERRS + (1 - 2 * HAND_ERRS) * ndtr(side * (seen_day - where) / sd_days)
    told = np.maximum(mass, 0.0) * like
    return np.asarray(np.cumsum(told)[:-1] / told.sum())


def new_wood(day: ArrayLike, cut_back_day: float) -> Array:
    """Return the chance that wood is there to take after a plant was cut back.

    Parameters
    ----------
    day : array_like
        The days [d].
    cut_back_day : float
        The day it was cut back [d].

    Returns
    -------
    ndarray
        1 before that day; after it normal, .1 at 6 weeks and .9 at 10 [-].

    References
    ----------
    Six to ten weeks: common practice, no source.

    Examples
    --------
    >>> print(new_wood([-1, 0, 42, 56, 70], 0).round(2))
    [1.  0.  0.1 0.5 0.9]
    """
    import numpy as np
    from scipy.special import ndtr

    since = np.asarray(day, float) - cut_back_day
    grown = ndtr((since - NEW_WOOD_DAYS) / NEW_WOOD_SD_DAYS)
    return np.asarray(np.where(since < 0, 1.0, grown))


def growth_still(mean_of_14_days_c: ArrayLike) -> Array:
    """Return the chance that shoots have stopped growing in winter, by the warmth of two weeks.

    Parameters
    ----------
    mean_of_14_days_c : array_like
        Mean temperature of the 14 days before; nan where not known [°C].

    Returns
    -------
    ndarray
        Chance; 0 where nothing is known [-].

    References
    ----------
    7.5 °C: common practice, no source.

    Examples
    --------
    >>> print(growth_still([3, 7.5, 12]).round(2))
    [1.  0.5 0. ]
    """
    import numpy as np
    from scipy.special import ndtr

    mean = np.asarray(mean_of_14_days_c, float)
    return np.asarray(np.nan_to_num(ndtr((STILL_BELOW_C - mean) / _STILL_SD_C), nan=0.0))
