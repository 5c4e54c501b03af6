"""Cold and warmth of a winter, hour by hour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

#: upper bound of each step [°C] and what an hour in it counts; above the last, the last
_UTAH: Final = ((1.4, 0.0), (2.4, 0.5), (9.1, 1.0), (12.4, 0.5), (15.9, 0.0), (18.0, -0.5))
_UTAH_ABOVE: Final = -1.0
_A0, _A1, _E0, _E1 = 1.395e5, 2.567e18, 4153.5, 12888.8
_SLOPE, _TF_K, _KELVIN = 1.6, 277.0, 273.0
_GDH_BASE_C, _GDH_BEST_C, _GDH_END_C = 4.0, 25.0, 36.0


def chill_hours(air_c: ArrayLike) -> Array:
    """Return how many hours lay from 0 to 7.2 °C.

    Parameters
    ----------
    air_c : array_like
        Temperature hour by hour along the last axis [°C].

    Returns
    -------
    ndarray
        Hours of cold [h].

    References
    ----------
    Weinberger (1950), with hours below freezing left out; bounds as in the R package chillR 0.77.

    Examples
    --------
    >>> print(chill_hours([-1, 0, 5, 7.2, 8]))
    3
    """
    import numpy as np

    hours = _hours(air_c)
    return np.asarray(((hours >= 0) & (hours <= 7.2)).sum(axis=-1))


def utah_units(air_c: ArrayLike) -> Array:
    """Return chill units: an hour from 2.5 to 9.1 °C counts in full, warm hours take away.

    Parameters
    ----------
    air_c : array_like
        Temperature hour by hour along the last axis [°C].

    Returns
    -------
    ndarray
        Chill units [1]; below 0 where warmth outweighed cold.

    References
    ----------
    Richardson, Seeley & Walker (1974), HortScience 9:331-332, from memory; steps as in the R package
    chillR 0.77.

    Examples
    --------
    >>> print(utah_units([1, 2, 5, 11, 14, 17, 20]))
    0.5
    """
    import numpy as np

    hours = _hours(air_c)
    bounds = [bound for bound, _ in _UTAH]
    counts = np.array([count for _, count in _UTAH] + [_UTAH_ABOVE])
    return np.asarray(counts[np.searchsorted(bounds, hours, side="left")].sum(axis=-1))


def chill_portions(air_c: ArrayLike) -> Array:
    """Return chill portions of the dynamic model: cold that mild days can no longer undo.

    Parameters
    ----------
    air_c : array_like
        Temperature hour by hour along the last axis, without gaps [°C].

    Returns
    -------
    ndarray
        Chill portions [1].

    Notes
    -----
    Made for peach buds. For most plants cuttings are taken from no need is known, so portions are for
    information: they compare winters, and decide nothing here.

    References
    ----------
    Fishman, Erez & Couvillon (1987), J. Theor. Biol. 124:473-483, from memory; constants and the order of
    the steps as in the R package chillR 0.77.

    Examples
    --------
    >>> print(chill_portions([8.0] * 1440).round(3))
    49.82
    """
    import numpy as np

    kelvin = _hours(air_c) + _KELVIN
    steep = np.exp(_SLOPE * _TF_K * (kelvin - _TF_K) / kelvin)
    fixed = steep / (1 + steep)
    settles_at = _A0 / _A1 * np.exp((_E1 - _E0) / kelvin)
    stays = np.exp(-_A1 * np.exp(-_E1 / kelvin))
    portions = np.zeros(kelvin.shape[:-1])
    made = np.zeros(kelvin.shape[:-1])
    for hour in range(kelvin.shape[-1]):
        left = np.where(made >= 1, made * (1 - fixed[..., max(hour - 1, 0)]), made)
        made = settles_at[..., hour] - (settles_at[..., hour] - left) * stays[..., hour]
        portions = portions + np.where(made >= 1, made * fixed[..., hour], 0)
    return np.asarray(portions)


def growing_degree_hours(air_c: ArrayLike) -> Array:
    """Return growing degree hours: warmth from 4 °C, most at 25 °C, none from 36 °C.

    Parameters
    ----------
    air_c : array_like
        Temperature hour by hour along the last axis [°C].

    Returns
    -------
    ndarray
        Growing degree hours [°C h].

    References
    ----------
    Anderson, Richardson & Kesner (1986), Acta Hortic. 184:71-78, from memory; form as in the R package
    chillR 0.77.

    Examples
    --------
    >>> print(growing_degree_hours([3, 14.5, 25, 36]).round(6))
    31.5
    """
    import numpy as np

    hours = _hours(air_c)
    span = _GDH_BEST_C - _GDH_BASE_C
    rising = span / 2 * (1 - np.cos(np.pi * (hours - _GDH_BASE_C) / span))
    falling = span * (1 - np.sin(np.pi / 2 * (hours - _GDH_BEST_C) / (_GDH_END_C - _GDH_BEST_C)))
    within = np.where(hours <= _GDH_BEST_C, rising, falling)
    counts = (hours >= _GDH_BASE_C) & (hours <= _GDH_END_C)
    return np.asarray(np.where(counts, within, 0).sum(axis=-1))


def _hours(value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if found.ndim == 0:
        raise BadArgument("air_c", "hold temperatures hour by hour", value)
    if not np.all((found >= -90) & (found <= 60)):
        raise BadArgument("air_c", "lie between -90 and 60 °C, every hour known", value)
    return found
