"""How hot leaves get under a clear bag: a rule for the round, from the day's maximum and the light."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

HeatFlag = Literal["cool", "warm", "hot"]

C_PER_W_M2: Final = 0.028
"""What each W/m2 of light at the bag adds to a dry leaf [°C m2/W]."""
EITHER_WAY_C: Final = 4.0
"""How far the rule may be out, either way [°C]."""
HOT_C: Final = 35.0
"""A leaf of this warmth is in danger [°C]."""
WARM_C: Final = 31.0
"""From here on the danger lies within what the rule may be out [°C]."""


@dataclass(frozen=True, slots=True)
class LeafHeat:
    """A dry leaf under a bag at the hottest hour [°C]: likely so warm, and how far either way."""

    low: Array
    mid: Array
    high: Array


def leaf_c(tmax_c: ArrayLike, light_w_m2: ArrayLike) -> LeafHeat:
    """Return how warm a dry leaf under a clear bag gets on a day.

    Parameters
    ----------
    tmax_c : array_like
        The day's highest temperature outside the bag [°C].
    light_w_m2 : array_like
        The day's strongest light on level ground at the bag, after any cloth or wall [W/m2].

    Returns
    -------
    LeafHeat
        ``tmax_c + 0.028 light_w_m2``, and 4 °C less and more [°C].

    Notes
    -----
    A line through the balance of `slipwright.craft.tent.hottest` at 35 °C: within 1.7 °C of it for 10
    to 32 °C outside. The balance itself was not measured on a bag: say "likely".

    References
    ----------
    Our own rule and range.

    Examples
    --------
    >>> heat = leaf_c([24, 32], [400, 360])
    >>> print(heat.low.round(1), heat.mid.round(1), heat.high.round(1))
    [31.2 38.1] [35.2 42.1] [39.2 46.1]
    """
    mid = _held("tmax_c", tmax_c, -90, 60) + C_PER_W_M2 * _held("light_w_m2", light_w_m2, 0, 1500)
    return LeafHeat(mid - EITHER_WAY_C, mid, mid + EITHER_WAY_C)


def heat_flag(mid_c: float) -> HeatFlag:
    """Return whether a leaf of a likely warmth is in danger.

    Parameters
    ----------
    mid_c : float
        Likely warmth of the leaf [°C].

    Returns
    -------
    {'cool', 'warm', 'hot'}
        Hot from 35 °C, warm from 31 °C.

    References
    ----------
    Our own thresholds: 35 °C, and 35 °C less what the rule may be out.

    Examples
    --------
    >>> [heat_flag(mid_c) for mid_c in (30.9, 31, 34.9, 35)]
    ['cool', 'warm', 'warm', 'hot']
    """
    if mid_c >= HOT_C:
        return "hot"
    return "warm" if mid_c >= WARM_C else "cool"


def shade_to_be_safe(tmax_c: ArrayLike, light_w_m2: ArrayLike) -> Array:
    """Return what share of the light must be kept off for a leaf to stay likely below 35 °C.

    Parameters
    ----------
    tmax_c : array_like
        The day's highest temperature outside the bag [°C].
    light_w_m2 : array_like
        The day's strongest light where the cloth would hang [W/m2].

    Returns
    -------
    ndarray
        Shade from 0 to 1; nan where no shade is enough [-].

    References
    ----------
    The rule of `leaf_c`, solved for the light.

    Examples
    --------
    >>> print(shade_to_be_safe([15, 25, 36], 900).round(2))
    [0.21 0.6   nan]
    """
    import numpy as np

    light = _held("light_w_m2", light_w_m2, 0, 1500)
    room = HOT_C - _held("tmax_c", tmax_c, -90, 60)
    shade = np.clip(1 - room / (C_PER_W_M2 * np.maximum(light, 1e-9)), 0, 1)
    return np.where(room > 0, shade, np.nan)


def _held(name: str, value: ArrayLike, low: float, high: float) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= low) & (found <= high)):
        raise BadArgument(name, f"lie between {low:g} and {high:g}", value)
    return found
