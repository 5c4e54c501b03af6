"""The medium: how much to mix and to wet, what a drain test says, what a pot holds once it has drained."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft._draining import MEDIA as MEDIA
from slipwright.craft._draining import Retention as Retention
from slipwright.craft._draining import retention_of_test as retention_of_test
from slipwright.craft._draining import water_after_draining as water_after_draining
from slipwright.craft._draining import water_at as water_at
from slipwright.craft._mixing import SHRINK_RANGE as SHRINK_RANGE
from slipwright.craft._mixing import MediumNeed as MediumNeed
from slipwright.craft._mixing import medium_litres as medium_litres
from slipwright.craft._mixing import water_in_bag as water_in_bag
from slipwright.craft._mixing import wetting_water_l as wetting_water_l
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

DRAIN_TEST_ERROR: Final = 0.03
"""How far a drain test with a kitchen measure may be out, either way: our own estimate [m3/m3]."""


def pot_volume_ml(top_mm: ArrayLike, bottom_mm: ArrayLike, height_mm: ArrayLike) -> Array:
    """Return what round pots hold to the rim.

    Parameters
    ----------
    top_mm : array_like
        Inner width at the rim [mm].
    bottom_mm : array_like
        Inner width at the bottom, the same as above for a straight pot [mm].
    height_mm : array_like
        Inner height [mm].

    Returns
    -------
    ndarray
        Volume [mL].

    Raises
    ------
    BadArgument
        If a length lies outside 1 to 100,000 mm.

    Notes
    -----
    V = pi h (D^2 + D d + d^2) / 12, the frustum of a cone.

    References
    ----------
    Geometry.

    Examples
    --------
    >>> print(pot_volume_ml(165, 130, 165).round())
    2833.0
    """
    import numpy as np

    lengths = {"top_mm": top_mm, "bottom_mm": bottom_mm, "height_mm": height_mm}
    for name, value in lengths.items():
        found = np.asarray(value, dtype=float)
        if not np.all((found >= 1.0) & (found <= 100_000.0)):
            raise BadArgument(name, "be a length from 1 to 100,000 mm", value)
    top, base, high = (np.asarray(value, dtype=float) for value in lengths.values())
    return np.asarray(np.pi * high * (top**2 + top * base + base**2) / 12.0 / 1000.0)


@dataclass(frozen=True)
class DrainTest:
    """What a drain test says of a medium at the height it stood in.

    Attributes
    ----------
    porosity : float
        Share of the pot that is pores [-].
    air_space : float
        Share of the pot that is air once it has drained [-].
    container_capacity : float
        Share of the pot that is water once it has drained [-].
    """

    porosity: float
    air_space: float
    container_capacity: float


def drain_test(volume_ml: float, added_ml: float, drained_ml: float) -> DrainTest:
    """Return what a drain test says: fill to a shine with the holes taped, measure, drain, measure.

    Parameters
    ----------
    volume_ml : float
        Medium in the pot [mL].
    added_ml : float
        Water that filled it until its surface shone [mL].
    drained_ml : float
        Water that ran out in an hour [mL].

    Returns
    -------
    DrainTest
        Porosity, and its parts of air and of water.

    Raises
    ------
    BadArgument
        If the volume is not above 0, more went in than there is room, or more ran out than went in.

    Notes
    -----
    Porosity = added / volume, air = drained / volume, capacity = porosity - air. The medium must be
    dry when it is filled: water it held before counts as medium. About 0.03 out either way.

    References
    ----------
    Common practice, no source; the error is our own estimate.

    Examples
    --------
    >>> drain_test(2800, 2100, 700)
    DrainTest(porosity=0.75, air_space=0.25, container_capacity=0.5)
    """
    if not (math.isfinite(volume_ml) and volume_ml > 0.0):
        raise BadArgument("volume_ml", "be above 0", volume_ml)
    if not 0.0 < added_ml <= volume_ml:
        raise BadArgument(
            "added_ml", Said("be above 0 and at most the volume ({ml} ml)", ml=f"{volume_ml:g}"), added_ml
        )
    if not 0.0 <= drained_ml <= added_ml:
        raise BadArgument(
            "drained_ml", Said("be from 0 to what was poured in ({ml} ml)", ml=f"{added_ml:g}"), drained_ml
        )
    porosity, air = added_ml / volume_ml, drained_ml / volume_ml
    return DrainTest(porosity, air, (added_ml - drained_ml) / volume_ml)
