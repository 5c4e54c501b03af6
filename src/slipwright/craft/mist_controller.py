"""The short form of a wet leaf's balance: two figures a controller adds up by."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from slipwright.craft._wet_leaf import within
from slipwright.craft.air import vpd_kpa

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from slipwright.craft.air import Array

#: the short form by wind: m/s, mm/h per W m-2, mm/h per kPa
_SHORT: Final = (
    (0.1, 0.25, 0.5, 1.0),
    (0.00034, 0.00037, 0.00039, 0.00043),
    (0.125, 0.160, 0.197, 0.249),
)


def short_form(wind_m_s: ArrayLike) -> tuple[Array, Array]:
    """Return the two figures a controller goes by: E [mm/h] = a S [W/m2] + b VPD [kPa], at the leaf.

    Parameters
    ----------
    wind_m_s : array_like
        Wind at the leaf; below 0.1 and above 1 m/s the nearest is taken [m/s].

    Returns
    -------
    tuple of ndarray
        a [mm/h per W/m2] and b [mm/h per kPa].

    Notes
    -----
    A straight line through what `wet_leaf` gives with 18 to 34 °C, 35 to 90 % humidity and up to
    450 W/m2; it misses by 0.02 to 0.05 mm/h (root mean square), on a mean of 0.2 to 0.4. Between winds
    it is drawn straight. 1 kPa weighs as much as 370 to 580 W/m2.

    References
    ----------
    Our own fit.

    Examples
    --------
    >>> a, b = short_form(0.25)
    >>> print(a, b)
    0.00037 0.16
    """
    import numpy as np

    wind = within("wind_m_s", wind_m_s, 0, 30, "m/s")
    return np.interp(wind, *_SHORT[:2]), np.interp(wind, _SHORT[0], _SHORT[2])


def short_form_mm_h(
    air_c: ArrayLike, rh_percent: ArrayLike, sun_w_m2: ArrayLike, wind_m_s: ArrayLike
) -> Array:
    """Return how fast the film goes by the two figures of `short_form`.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air beside the leaf [°C].
    rh_percent : array_like
        Relative humidity there [%].
    sun_w_m2 : array_like
        Light that falls on the leaf [W/m2].
    wind_m_s : array_like
        Wind at the leaf [m/s].

    Returns
    -------
    ndarray
        Evaporation per m2 of leaf [mm/h].

    References
    ----------
    Our own fit.

    Examples
    --------
    >>> print(short_form_mm_h(25, 60, 200, 0.25).round(3))
    0.277
    """
    a, b = short_form(wind_m_s)
    return a * within("sun_w_m2", sun_w_m2, 0, 1500, "W/m2") + b * vpd_kpa(air_c, rh_percent)
