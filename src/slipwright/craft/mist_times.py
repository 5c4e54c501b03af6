"""When to mist: how long a film lasts, how long a burst is, and the bursts of a day, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from slipwright.craft.air import Array

FILM_MM: Final = 0.10
"""Water that a wet leaf holds, per area of leaf: 0.05 to 0.20, from memory [mm]."""
USABLE: Final = 0.7
"""Share of the film that may go before the next burst, so that no leaf is ever dry [-]."""
CATCH: Final = 0.6
"""Share of what falls on the bed that stays on leaves: our estimate [-]."""
BEFORE_DARK_H: Final = 1.5
"""The last burst comes this long before dark, so that leaves are dry by night [h]."""
SHORTEST_MIN: Final = 1.0
"""No film is taken to last less [min]."""
_SPREAD: Final = 2.0  # half to double: what the film of 0.05 to 0.20 mm makes of it
_HOURS: Final = 24
_DAY_MIN: Final = 24 * 60.0


@dataclass(frozen=True, slots=True)
class Between:
    """Minutes from burst to burst, and half and double of it, as films of half and double have it."""

    low: float
    mid: float
    high: float


@dataclass(frozen=True, slots=True)
class MistHour:
    """One hour of a day's mist times; ``between`` is None where the mist is off."""

    hour: int
    evaporation_mm_h: float
    n_bursts: int
    between: Between | None


@dataclass(frozen=True, slots=True)
class MistDay:
    """The mist times of a day, hour by hour, and when the last burst comes at the latest."""

    hours: tuple[MistHour, ...]
    last_at_h: float | None
    lost_mm: float

    @property
    def n_bursts(self) -> int:
        """Bursts of the day."""
        return sum(hour.n_bursts for hour in self.hours)


def film_life_min(evaporation_mm_h: ArrayLike, film_mm: ArrayLike = FILM_MM, usable: float = USABLE) -> Array:
    """Return how long the film on a leaf lasts.

    Parameters
    ----------
    evaporation_mm_h : array_like
        Evaporation per area of leaf [mm/h].
    film_mm : array_like, optional
        Water the leaf holds when just wetted [mm].
    usable : float, optional
        Share of it that may go [-].

    Returns
    -------
    ndarray
        Minutes; without end (inf) where nothing evaporates [min].

    References
    ----------
    Re-misting before leaves are fully dry: Faust (2020), *Managing propagation mist*, GrowerTalks (read).
    Films of 0.05 to 0.20 mm: what models of the land take leaves to hold (from memory); hairy leaves may
    hold more, waxy ones less.

    Examples
    --------
    >>> print(film_life_min(0.21).round(6))
    20.0
    """
    import numpy as np

    rate = np.asarray(evaporation_mm_h, dtype=float)
    refill = _film(film_mm) * _share("usable", usable)
    with np.errstate(divide="ignore"):
        return np.where(rate > 0, 60 * refill / np.maximum(rate, 0), np.inf)


def interval_min(
    evaporation_mm_h: float, film_mm: float = FILM_MM, *, usable: float = USABLE, factor: float = 1.0
) -> Between | None:
    """Return how often to mist, as a range of half to double.

    Parameters
    ----------
    evaporation_mm_h : float
        Evaporation per area of leaf [mm/h].
    film_mm : float, optional
        Water the leaf holds when just wetted [mm].
    usable : float, optional
        Share of it that may go [-].
    factor : float, optional
        The bed's own, learned from what was seen there [-].

    Returns
    -------
    Between or None
        Minutes; None where the film outlasts a day.

    References
    ----------
    As `film_life_min`; half to double is what films of half and double make of it.

    Examples
    --------
    >>> between = interval_min(0.21)
    >>> print(round(between.low), round(between.mid), round(between.high))
    10 20 40
    """
    if not factor > 0:
        raise BadArgument("factor", "be above 0", factor)
    life = float(film_life_min(evaporation_mm_h, film_mm, usable))
    if life > _DAY_MIN:
        return None
    mid = max(life * factor, SHORTEST_MIN)
    return Between(mid / _SPREAD, mid, mid * _SPREAD)


def burst_s(
    rate_mm_per_min: float, film_mm: float = FILM_MM, *, catch: float = CATCH, usable: float = USABLE
) -> float:
    """Return how long a burst lasts that puts back what went.

    Parameters
    ----------
    rate_mm_per_min : float
        What the nozzles give, by a catch-can test [mm/min].
    film_mm : float, optional
        Water the leaf holds when just wetted [mm].
    catch : float, optional
        Share of what falls on the bed that stays on leaves [-].
    usable : float, optional
        Share of the film that went [-].

    Returns
    -------
    float
        Seconds [s].

    References
    ----------
    Arithmetic; that six tenths stay on leaves is our estimate.

    Examples
    --------
    >>> print(round(burst_s(0.25)))
    28
    """
    if not 0 < rate_mm_per_min <= 100:
        raise BadArgument("rate_mm_per_min", "lie above 0 and up to 100 mm/min", rate_mm_per_min)
    refill = float(_film(film_mm)) * _share("usable", usable)
    return 60 * refill / (rate_mm_per_min * _share("catch", catch))


def can_rate_mm_per_min(caught_ml: float, can_diameter_mm: float, minutes: float) -> float:
    """Return what the nozzles give, from water caught in a straight-sided can among the pots.

    Parameters
    ----------
    caught_ml : float
        Water in the can; the mean of several cans [ml].
    can_diameter_mm : float
        Inside width of its mouth [mm].
    minutes : float
        How long the mist ran [min].

    Returns
    -------
    float
        Depth of water by time [mm/min].

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> print(round(can_rate_mm_per_min(20, 100, 10), 3))
    0.255
    """
    from math import pi

    for name, value in (
        ("caught_ml", caught_ml),
        ("can_diameter_mm", can_diameter_mm),
        ("minutes", minutes),
    ):
        if not 0 < value < 1e6:
            raise BadArgument(name, "be above 0", value)
    return 1000 * caught_ml / (pi * can_diameter_mm**2 / 4) / minutes


def day_programme(
    evaporation_mm_h: Sequence[float] | Array,
    dawn_h: float,
    dusk_h: float,
    *,
    film_mm: float = FILM_MM,
    usable: float = USABLE,
    factor: float = 1.0,
) -> MistDay:
    """Return the mist times of a day by adding up, from dawn on, what goes from the leaves.

    A burst falls when the film is used. An hour with none is off, as is the night: the last burst comes
    an hour and a half before dark.

    Parameters
    ----------
    evaporation_mm_h : sequence of float
        Evaporation per area of leaf, of the 24 hours of the day [mm/h].
    dawn_h : float
        When it grows light, by the clock of the hours given [h].
    dusk_h : float
        When it grows dark, by the same clock [h].
    film_mm : float, optional
        Water the leaf holds when just wetted [mm].
    usable : float, optional
        Share of it that may go [-].
    factor : float, optional
        The bed's own, learned from what was seen there [-].

    Returns
    -------
    MistDay
        The hours, when the last burst may be [h], and what the leaves lose by then [mm].

    References
    ----------
    As `film_life_min`. Last mist an hour or two before dark: common practice, no source.

    Examples
    --------
    >>> day = day_programme([0.0] * 8 + [0.42] * 8 + [0.0] * 8, 6, 20)
    >>> print(day.n_bursts, round(day.hours[9].between.mid), day.hours[3].between)
    48 10 None
    """
    rates = [float(rate) for rate in evaporation_mm_h]
    if len(rates) != _HOURS:
        raise BadArgument("evaporation_mm_h", "have 24 hours", len(rates))
    if not 0 <= dawn_h <= dusk_h <= _HOURS:
        raise BadArgument("dusk_h", "lie between dawn and 24 h", (dawn_h, dusk_h))
    last_h = dusk_h - BEFORE_DARK_H
    refill = float(_film(film_mm)) * _share("usable", usable) * factor
    hours, used, lost = [], 0.0, 0.0
    for hour, rate in enumerate(rates):
        lit = max(min(hour + 1.0, last_h) - max(float(hour), dawn_h), 0.0)
        gone = max(rate, 0.0) * lit
        used, lost = used + gone, lost + gone
        n_bursts = int(used / refill + 1e-9)
        used = max(used - n_bursts * refill, 0.0)
        between = interval_min(rate, film_mm, usable=usable, factor=factor) if n_bursts else None
        hours.append(MistHour(hour, rate, n_bursts, between))
    return MistDay(tuple(hours), last_h if last_h > dawn_h else None, lost)


def _film(film_mm: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(film_mm, dtype=float)
    if not np.all((found > 0) & (found <= 1)):
        raise BadArgument("film_mm", "lie above 0 and up to 1 mm", film_mm)
    return found


def _share(name: str, value: float) -> float:
    if not 0 < value <= 1:
        raise BadArgument(name, "lie above 0 and up to 1", value)
    return value
