"""What passes through the film of a bag, and whether the cuttings in it have air enough."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.air import es_kpa
from slipwright.craft.bag import USUAL_BAG, Bag
from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

#: what a film of polyethylene 1 mil (0.0254 mm) thick lets through, least and most
WATER_G_MIL: Final = (1.0, 2.0)  # g a day through 100 in2, 38 °C and 90 % outside dry air
O2_CM3_MIL: Final = (300.0, 600.0)  # cm3 a day through 100 in2 for 1 atm, 25 °C
CO2_CM3_MIL: Final = (1200.0, 3000.0)
USUAL_MIL: Final = 2.0
TESTED_C: Final = 37.8
TESTED_RH_PERCENT: Final = 90.0
_M2_PER_100_IN2: Final = 0.064516
_WATER_J_PER_MOL: Final = 33_000.0
_GAS_J_PER_MOL_K: Final = 8.314462618
_ZERO_K: Final = 273.15
_CO2_G_PER_MOL: Final = 44.009
_LITRE_ATM_PER_MOL_K: Final = 0.082057
#: a bag whose oxygen may fall by more points than this of the air's 21 has not enough
TOLERABLE_O2_POINTS: Final = 8.0


def water_permeance_g_m2_d_kpa(
    g_mil_per_100_in2_d: ArrayLike, film_mil: ArrayLike = USUAL_MIL, film_c: ArrayLike = TESTED_C
) -> Array:
    """Return how much water a film lets through.

    Parameters
    ----------
    g_mil_per_100_in2_d : array_like
        What it let through in the test at 37.8 °C with 90 % on one side: 1 to 2 for polyethylene of low
        density [g mil/(100 in2 d)].
    film_mil : array_like
        Thickness, 1 mil being 0.0254 mm [mil].
    film_c : array_like
        Temperature of the film [°C].

    Returns
    -------
    ndarray
        Water by area, time and difference in vapour pressure [g/(m2 d kPa)].

    Notes
    -----
    Away from 37.8 °C by Arrhenius with 33 kJ/mol, which is assumed.

    References
    ----------
    1 to 2 g mil/(100 in2 d): *Biosystems Engineering*, chapter on food packages, table 11.2.

    Examples
    --------
    >>> print(water_permeance_g_m2_d_kpa([1, 2], [1, 2]).round(3))
    [2.628 2.628]
    >>> print(water_permeance_g_m2_d_kpa(2, 2, 25).round(2))
    1.52
    """
    import numpy as np

    kelvin = _above("film_c", np.asarray(film_c, dtype=float) + _ZERO_K)
    tested_kpa = es_kpa(TESTED_C) * TESTED_RH_PERCENT / 100
    at_test = (
        _above("g_mil_per_100_in2_d", g_mil_per_100_in2_d)
        / _above("film_mil", film_mil)
        / _M2_PER_100_IN2
        / tested_kpa
    )
    cooler = _WATER_J_PER_MOL / _GAS_J_PER_MOL_K * (1 / (TESTED_C + _ZERO_K) - 1 / kelvin)
    return np.asarray(at_test * np.exp(cooler))


def respired_ml_d(mg_co2_per_kg_h: ArrayLike, cuttings_g: ArrayLike, air_c: ArrayLike = 25.0) -> Array:
    """Return how much carbon dioxide cuttings breathe out in a day, and so about how much oxygen in.

    Parameters
    ----------
    mg_co2_per_kg_h : array_like
        Rate of respiration; about 100 for fresh leafy cuttings, falling fast in two days [mg/(kg h)].
    cuttings_g : array_like
        Fresh weight of the cuttings [g].
    air_c : array_like
        Temperature at which the gas is measured, at 1 atm [°C].

    Returns
    -------
    ndarray
        Gas [mL/d].

    References
    ----------
    Law of the ideal gas; the rate of 100 from memory.

    Examples
    --------
    >>> print(respired_ml_d(100, 25).round(2))
    33.35
    """
    import numpy as np

    mol = (
        np.asarray(mg_co2_per_kg_h, dtype=float) / 1000 * np.asarray(cuttings_g, dtype=float) / 1000 * 24
    ) / _CO2_G_PER_MOL
    return np.asarray(mol * _LITRE_ATM_PER_MOL_K * (np.asarray(air_c, dtype=float) + _ZERO_K) * 1000)


@dataclass(frozen=True, slots=True)
class Breath:
    """The air in a bag at worst: points of oxygen lost and of carbon dioxide gained, least and most."""

    o2_lost: tuple[float, float]
    co2_gained: tuple[float, float]

    @property
    def is_enough(self) -> bool:
        """Whether the oxygen left is likely enough."""
        return self.o2_lost[1] <= TOLERABLE_O2_POINTS


def breath(
    cuttings_g: float,
    *,
    air_changes_per_h: float = 1.0,
    mg_co2_per_kg_h: float = 100.0,
    film_mil: float = USUAL_MIL,
    bag: Bag = USUAL_BAG,
) -> Breath:
    """Return how the air in a bag in the dark comes to differ from that outside.

    Parameters
    ----------
    cuttings_g : float
        Fresh weight of the cuttings; ten leafy ones weigh about 25 g, our guess [g].
    air_changes_per_h : float
        How often the air in the bag is changed: 0 welded, 1 tied [1/h].
    mg_co2_per_kg_h : float
        Rate of respiration [mg/(kg h)].
    film_mil : float
        Thickness of the film, 1 mil being 0.0254 mm [mil].
    bag : Bag
        The bag.

    Returns
    -------
    Breath
        Points of 100 in the air, for the least and the most that such film lets through.

    Notes
    -----
    What is breathed equals what film and tie let through; so long in the dark that it no longer changes.
    Respiration of the medium is not in it. Eight points of oxygen lost are taken as tolerable.

    References
    ----------
    Polyethylene at 25 °C, O2 300 to 600 and CO2 1200 to 3000 cm3 mil/(100 in2 d atm): *Biosystems
    Engineering*, chapter on food packages, table 11.2. What is tolerable is our own estimate.

    Examples
    --------
    >>> welded, tied = breath(25, air_changes_per_h=0), breath(25)
    >>> [round(points, 1) for points in welded.o2_lost], welded.is_enough
    ([3.3, 6.5], True)
    >>> [round(points, 3) for points in tied.co2_gained]
    [0.014, 0.015]
    >>> breath(50, air_changes_per_h=0, mg_co2_per_kg_h=150).is_enough
    False
    """
    for name, value in (("cuttings_g", cuttings_g), ("mg_co2_per_kg_h", mg_co2_per_kg_h)):
        if not 0 <= value < 1e6:
            raise BadArgument(name, "be 0 or more", value)
    if not 0 <= air_changes_per_h <= 200:
        raise BadArgument("air_changes_per_h", "lie between 0 and 200", air_changes_per_h)
    _above("film_mil", film_mil)
    breathed = float(respired_ml_d(mg_co2_per_kg_h, cuttings_g))
    by_tie = air_changes_per_h * 24 * bag.air_m3 * 1e6

    def points(cm3_mil: tuple[float, float]) -> tuple[float, float]:
        by_film = [one / film_mil * bag.film_m2 / _M2_PER_100_IN2 for one in cm3_mil]
        most, least = (min(100 * breathed / (by_tie + one), 100.0) for one in by_film)
        return least, most

    return Breath(points(O2_CM3_MIL), points(CO2_CM3_MIL))


def _above(name: str, value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found > 0) & (found < 1e6)):
        raise BadArgument(name, "be above 0", value)
    return found
