"""The light of a day: from what is known of the sky, and what of it reaches cuttings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from slipwright.craft._almanac import within
from slipwright.craft._radiation import (
    BRIGHTEST_W_M2,
    METHODS,
    Method,
    clear_sky_mj_m2,
    from_cloud,
    from_sunshine,
    from_temperatures,
    hourly_w_m2,
)
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

__all__ = [
    "BRIGHTEST_W_M2",
    "METHODS",
    "Dli",
    "Method",
    "clear_sky_mj_m2",
    "cloth_said",
    "dli_mol_m2",
    "dli_range",
    "from_cloud",
    "from_sunshine",
    "from_temperatures",
    "hourly_w_m2",
    "shade_needed",
]

PAR_SHARE: Final = 0.45
"""Share of sunlight that plants can use: 0.42 under clear sky to 0.50 under cloud, from memory [-]."""
PAR_SHARE_LOW, PAR_SHARE_HIGH = 0.42, 0.50
MOL_PER_MJ: Final = 4.57
"""Light of the sun that plants can use, counted: 4.57 µmol a joule [mol/MJ]."""
WANTED_MOL_M2: Final = (5.0, 10.0)
"""What leafy cuttings want in a day [mol/m²]: Faust 2020; Currey, Hutchinson and Lopez 2012 (8 to 10)."""
CLOTH_OFF: Final = 0.05
"""A cloth shades so much more or less than is written on it, our estimate [-]."""


def dli_mol_m2(
    radiation_mj_m2: ArrayLike,
    shade: ArrayLike = 0.0,
    transmission: ArrayLike = 1.0,
    par_share: ArrayLike = PAR_SHARE,
) -> Array:
    """Return the light of a day that plants can use, under cloth and cover: the daily light integral.

    Parameters
    ----------
    radiation_mj_m2 : array_like
        Radiation of the sun on level ground in the open [MJ/m²].
    shade : array_like, optional
        Share of the light a cloth holds back, 0 to 1 [-].
    transmission : array_like, optional
        Share of the light that comes through glass, film or tent, 0 to 1 [-].
    par_share : array_like, optional
        Share of the radiation that plants can use [-].

    Returns
    -------
    ndarray
        Daily light integral [mol/m²].

    Notes
    -----
    ``DLI = 4.57 f Rs (1 - shade) transmission``: 2.06 mol a megajoule, 1.9 to 2.3. A wall or a tree
    cannot be reckoned: hold a light meter inside and outside at midday, and give the share as shade.

    References
    ----------
    4.57 µmol a joule of sunlight between 400 and 700 nm: textbook matter, from memory.

    Examples
    --------
    >>> print(dli_mol_m2(20, shade=0.5, transmission=0.9).round(1))
    18.5
    """
    light = within("radiation_mj_m2", radiation_mj_m2, 0, 60, "MJ/m²")
    through = (1 - within("shade", shade, 0, 1)) * within("transmission", transmission, 0, 1)
    return light * within("par_share", par_share, 0, 1) * MOL_PER_MJ * through


class Dli(NamedTuple):
    """A daily light integral and how far it may well lie to either side [mol/m²]."""

    low: Array
    mid: Array
    high: Array


def dli_range(
    radiation_mj_m2: ArrayLike,
    day_share: ArrayLike,
    shade: ArrayLike = 0.0,
    transmission: ArrayLike = 1.0,
) -> Dli:
    """Return the light plants can use with its range: the sky's, the light's colour and the cloth's.

    Parameters
    ----------
    radiation_mj_m2 : array_like
        Radiation of the sun on level ground in the open [MJ/m²].
    day_share : array_like
        How far the radiation may be off, as a share of it: of :data:`METHODS`, or less for a week [-].
    shade : array_like, optional
        Share of the light a cloth holds back; 0 is no cloth [-].
    transmission : array_like, optional
        Share of the light that comes through glass, film or tent [-].

    Returns
    -------
    Dli
        Low, middle and high [mol/m²].

    Notes
    -----
    The three shares, of the radiation, of 0.42 to 0.50 about 0.45, and of 5 points of cloth, are taken
    as independent: the root of their squares. By the misses of :data:`METHODS` about 8 days in 10 lie
    inside.

    References
    ----------
    Ours, from the misses of :data:`METHODS`.

    Examples
    --------
    >>> print([round(float(one), 1) for one in dli_range(20, 0.22, shade=0.5)])
    [15.4, 20.6, 26.0]
    """
    import numpy as np

    mid = dli_mol_m2(radiation_mj_m2, shade, transmission)
    sky, cloth = within("day_share", day_share, 0, 1), np.asarray(shade, dtype=float)
    off = np.where(cloth > 0, CLOTH_OFF / np.maximum(1 - cloth, CLOTH_OFF), 0.0)
    below, above = 1 - PAR_SHARE_LOW / PAR_SHARE, PAR_SHARE_HIGH / PAR_SHARE - 1
    low = mid * np.clip(1 - np.sqrt(sky**2 + below**2 + off**2), 0, None)
    return Dli(low, mid, mid * (1 + np.sqrt(sky**2 + above**2 + off**2)))


def shade_needed(
    radiation_mj_m2: ArrayLike, target_mol_m2: ArrayLike, transmission: ArrayLike = 1.0
) -> Array:
    """Return how much of the light a cloth must hold back for plants to have what is wanted.

    Parameters
    ----------
    radiation_mj_m2 : array_like
        Radiation of the sun on level ground in the open [MJ/m²].
    target_mol_m2 : array_like
        Light wanted in a day, above 0; 5 to 10 for leafy cuttings [mol/m²].
    transmission : array_like, optional
        Share of the light that comes through glass, film or tent [-].

    Returns
    -------
    ndarray
        Shade, 0 where there is no more light than wanted [-].

    References
    ----------
    :func:`dli_mol_m2`, solved for the shade.

    Examples
    --------
    >>> print(shade_needed(30.6, [5, 10]).round(2))
    [0.92 0.84]
    """
    import numpy as np

    wanted = within("target_mol_m2", target_mol_m2, 0, 1000, "mol/m²")
    if np.any(wanted <= 0):
        raise BadArgument("target_mol_m2", "be above 0", target_mol_m2)
    bare = dli_mol_m2(radiation_mj_m2, 0.0, transmission)
    return np.asarray(1 - np.minimum(wanted / np.maximum(bare, wanted), 1))


def cloth_said(radiation_mj_m2: float, shade: float = 0.0, transmission: float = 1.0) -> str:
    """Return what to say of a cloth on a day: too thin, too thick, or nothing.

    Parameters
    ----------
    radiation_mj_m2 : float
        Radiation of the sun on level ground in the open [MJ/m²].
    shade : float, optional
        Share of the light the cloth holds back; 0 is no cloth [-].
    transmission : float, optional
        Share of the light that comes through glass, film or tent [-].

    Returns
    -------
    str
        One sentence or two, empty where the light is right.

    Notes
    -----
    Within 5 points of the shade needed nothing is said, for no cloth is better known than that.

    References
    ----------
    The light wanted: :data:`WANTED_MOL_M2`.

    Examples
    --------
    >>> cloth_said(30.6, shade=0.5)
    'Too bright for leafy cuttings: in all, hold back 84 to 92 %, by a denser cloth or two.'
    """
    low, high = WANTED_MOL_M2
    least = float(shade_needed(radiation_mj_m2, high, transmission))
    most = float(shade_needed(radiation_mj_m2, low, transmission))
    if shade < least - CLOTH_OFF:
        return Said(
            "Too bright for leafy cuttings: in all, hold back {least} to {most} %, by a denser cloth or two.",
            least=round(100 * least),
            most=round(100 * most),
        )
    if shade > most + CLOTH_OFF:
        return Said(
            "Dim for leafy cuttings: a thinner cloth will do, {most} % at most.", most=round(100 * most)
        )
    if not shade and float(dli_mol_m2(radiation_mj_m2, 0.0, transmission)) < low:
        return Said("Dim for leafy cuttings even without cloth.")
    return ""
