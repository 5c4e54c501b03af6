"""How long a pot under a bag goes without water: three classes, by how the bag is tied and drips."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from slipwright.craft.air import ea_kpa, es_kpa
from slipwright.craft.bag import USUAL_BAG, Bag
from slipwright.craft.bag_air import WATER_G_MIL, water_permeance_g_m2_d_kpa
from slipwright.craft.errors import BadArgument
from slipwright.craft.tent import day

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

Tie = Literal["tied", "loose", "open"]
Drip = Literal["returns", "half", "lost"]
RewetClass = Literal["weeks", "10-15-days", "under-a-week"]

AIR_CHANGES_PER_H: Final[dict[Tie, float]] = {"tied": 1.0, "loose": 10.0, "open": 40.0}
"""How often the air is changed: tied, tied loosely, open at the foot [1/h]."""
DRIP_LOST: Final[dict[Drip, float]] = {"returns": 0.0, "half": 0.5, "lost": 1.0}
"""Share of what settles on the film that does not run back into the pot [-]."""
TO_SPARE_G: Final = 280.0
"""Water a pot of 2.8 L can spare before it is watered: a tenth of its volume [g]."""
_UNDER_A_WEEK: Final = (7 * 10) ** 0.5
_WEEKS: Final = (15 * 21) ** 0.5
_STEPS: Final = 48
#: a clear day in June at 40° north; its night is 11 °C cooler, its dew point 3 °C below the night
_LATITUDE_DEG, _DECLINATION_DEG = 40.0, 23.4
_NIGHT_IS_COOLER_C, _DEW_IS_BELOW_C = 11.0, 3.0


def water_lost_g(
    tmax_c: float, light_w_m2: float, tie: Tie = "tied", drip: Drip = "returns", *, bag: Bag = USUAL_BAG
) -> float:
    """Return about how much water a pot under a bag loses on a clear summer's day.

    Parameters
    ----------
    tmax_c : float
        The day's highest temperature [°C].
    light_w_m2 : float
        The day's strongest light on level ground at the bag, after any cloth [W/m2].
    tie : {'tied', 'loose', 'open'}
        How the bag is closed: tied, loosely, or open at the foot.
    drip : {'returns', 'half', 'lost'}
        Whether what settles on the film runs back into the pot.
    bag : Bag
        The bag.

    Returns
    -------
    float
        Water [g/d]; the truth lies within half and double of it.

    Notes
    -----
    Vapour leaked at the tie, drip that misses the pot, and the little that goes through the film, by
    `slipwright.craft.tent.day`: night 11 °C cooler, dew point 3 °C below the night, sun of June at 40°.

    References
    ----------
    Our own balance, not measured on a bag.

    Examples
    --------
    >>> [round(water_lost_g(26, 99, "tied", drip)) for drip in ("returns", "half", "lost")]
    [2, 5, 8]
    >>> [round(water_lost_g(26, 99, tie), -1) for tie in ("loose", "open")]
    [20.0, 60.0]
    """
    import numpy as np

    if tie not in AIR_CHANGES_PER_H:
        raise BadArgument("tie", "be tied, loose or open", tie)
    if drip not in DRIP_LOST:
        raise BadArgument("drip", "be returns, half or lost", drip)
    if not -15 <= tmax_c <= 50:
        raise BadArgument("tmax_c", "lie between -15 and 50 °C", tmax_c)
    hour = (np.arange(_STEPS) + 0.5) * 24 / _STEPS
    up = _sine_of_elevation(hour)
    half = _NIGHT_IS_COOLER_C / 2
    out = tmax_c - half + half * np.cos((hour - 15) / 12 * np.pi)
    out_kpa = np.minimum(es_kpa(tmax_c - _NIGHT_IS_COOLER_C - _DEW_IS_BELOW_C), es_kpa(out))
    light = light_w_m2 * (np.clip(up, 0, None) / up.max()) ** 1.15
    under = day(
        out,
        100 * out_kpa / es_kpa(out),
        light,
        np.degrees(np.arcsin(up)),
        bag=bag,
        air_changes_per_h=AIR_CHANGES_PER_H[tie],
    )
    permeance = np.mean([water_permeance_g_m2_d_kpa(one, film_c=under.film_c) for one in WATER_G_MIL], axis=0)
    behind = np.clip(ea_kpa(under.air_c, under.rh_percent) - out_kpa, 0, None)
    through = float((permeance * behind).mean()) * bag.film_m2
    return float(under.leaked_g) + DRIP_LOST[drip] * float(under.condensed_g) + through


def days_to_rewet(lost_g: ArrayLike, to_spare_g: ArrayLike = TO_SPARE_G) -> Array:
    """Return after how many days a pot has lost what it can spare.

    Parameters
    ----------
    lost_g : array_like
        Water lost in a day [g/d].
    to_spare_g : array_like
        Water the pot can spare; a tenth of its volume [g].

    Returns
    -------
    ndarray
        Days; the truth lies within half and double of it [d].

    References
    ----------
    A division; a tenth of the volume is our own estimate.

    Examples
    --------
    >>> print(days_to_rewet([2.2, 18, 60]).round())
    [127.  16.   5.]
    """
    import numpy as np

    lost = np.asarray(lost_g, dtype=float)
    if not np.all((lost > 0) & (lost < 1e5)):
        raise BadArgument("lost_g", "be above 0", lost_g)
    return np.asarray(np.asarray(to_spare_g, dtype=float) / lost)


def rewet_class(rewet_days: float) -> RewetClass:
    """Return the class of a pot that is wetted again after so many days.

    Parameters
    ----------
    rewet_days : float
        Days until it has lost what it can spare [d].

    Returns
    -------
    {'weeks', '10-15-days', 'under-a-week'}
        The class; between two of them the nearer by ratio.

    References
    ----------
    Our own: the balance is good for classes, not for days.

    Examples
    --------
    >>> [rewet_class(rewet_days) for rewet_days in (125, 15, 5)]
    ['weeks', '10-15-days', 'under-a-week']
    """
    if not rewet_days > 0:
        raise BadArgument("rewet_days", "be above 0", rewet_days)
    if rewet_days < _UNDER_A_WEEK:
        return "under-a-week"
    return "10-15-days" if rewet_days < _WEEKS else "weeks"


def _sine_of_elevation(hour: Array) -> Array:
    import numpy as np

    lat, dec = np.radians(_LATITUDE_DEG), np.radians(_DECLINATION_DEG)
    turned = np.radians(15 * (hour - 12))
    return np.asarray(np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(turned))
