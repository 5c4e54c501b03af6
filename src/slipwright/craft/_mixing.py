"""How much medium to mix, and the water to work into it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Mapping

SHRINK_RANGE: Final = (0.05, 0.20)
"""Share of the summed volumes that a mix of fine and coarse parts loses: our own estimate [-]."""
#: water in what comes out of the bag, by volume, from memory: bagged peat 0.15 to 0.25, dry perlite 0.01
_MOIST_IN_BAG: Final = {"peat": 0.20, "coir": 0.20, "bark": 0.20, "compost": 0.20, "leafmould": 0.20}
_DRY_IN_BAG: Final = 0.01


@dataclass(frozen=True)
class MediumNeed:
    """Medium for a number of containers.

    Attributes
    ----------
    blend_l : float
        Volume of the mixed medium [L].
    parts_l : dict of str to float
        Volume of each part before mixing [L].
    water_l : float
        Water to wet the blend before filling [L].
    """

    blend_l: float
    parts_l: dict[str, float]
    water_l: float


def medium_litres(
    n_containers: int,
    volume_ml: float,
    parts: Mapping[str, float],
    *,
    fill: float = 0.9,
    settle: float = 0.10,
    waste: float = 0.05,
    shrink: float = 0.10,
    water_before: float | None = None,
    water_after: float = 0.45,
) -> MediumNeed:
    """Return the medium and the water that a number of containers take.

    Parameters
    ----------
    n_containers : int
        Containers, 0 or more [1].
    volume_ml : float
        Volume of one container to the rim [mL].
    parts : mapping of str to float
        Parts of the mix by volume [-], as ``{"perlite": 1, "vermiculite": 1}``.
    fill : float
        Share of the container that is filled [-].
    settle : float
        Share by which medium settles when watered in [-].
    waste : float
        Share spilt or left over [-].
    shrink : float
        Share of the summed volumes lost on mixing, as fine parts fill the gaps of coarse [-].
    water_before : float, optional
        Water in the medium as it comes from the bag, by volume; by the parts if not given [-].
    water_after : float
        Water wished in the medium by volume [-].

    Returns
    -------
    MediumNeed
        Litres of the blend, of each part before mixing, and of water.

    Raises
    ------
    BadArgument
        If an amount is negative, a share leaves its range or there is no part.

    Notes
    -----
    blend = n V fill / (1 - settle) (1 + waste); a part is blend / (1 - shrink) times its share.
    Water as :func:`wetting_water_l`. A mix of one part does not shrink.

    References
    ----------
    The shares are our own estimates: shrink 0.05 to 0.20 (from memory: 5 to 15 per cent for peat
    and perlite). Ask the bag: measure once and put your own figure in.

    Examples
    --------
    >>> need = medium_litres(24, 2832, {"perlite": 1, "vermiculite": 1})
    >>> round(need.blend_l, 1), round(need.parts_l["perlite"], 1), round(need.water_l)
    (71.4, 39.6, 31)
    """
    if n_containers < 0:
        raise BadArgument("n_containers", "be 0 or more", n_containers)
    if not (math.isfinite(volume_ml) and volume_ml > 0.0):
        raise BadArgument("volume_ml", "be above 0", volume_ml)
    for name, value in {"fill": fill, "settle": settle, "shrink": shrink}.items():
        if not 0.0 <= value < 1.0 and not (name == "fill" and value == 1.0):
            raise BadArgument(name, "be a share from 0 to below 1", value)
    if not 0.0 <= waste <= 1.0:
        raise BadArgument("waste", "be a share from 0 to 1", waste)
    _check_parts(parts)
    blend_l = n_containers * volume_ml / 1000.0 * fill / (1.0 - settle) * (1.0 + waste)
    total = sum(parts.values())
    n_real = sum(1 for part in parts.values() if part > 0)
    loose_l = blend_l / (1.0 - shrink) if n_real > 1 else blend_l
    before = water_in_bag(parts) if water_before is None else water_before
    return MediumNeed(
        blend_l,
        {name: loose_l * part / total for name, part in parts.items()},
        wetting_water_l(blend_l, before, water_after),
    )


def water_in_bag(parts: Mapping[str, float]) -> float:
    """Return the water that a mix holds as its parts come from the bag.

    Parameters
    ----------
    parts : mapping of str to float
        Parts of the mix by volume [-].

    Returns
    -------
    float
        Water by volume, the mean of the parts [-].

    References
    ----------
    From memory: bagged peat 0.15 to 0.25, dry perlite 0.01; coir, bark and compost as peat.

    Examples
    --------
    >>> round(water_in_bag({"perlite": 1, "peat": 1}), 3)
    0.105
    """
    _check_parts(parts)
    of_one = {
        name: next((wet for word, wet in _MOIST_IN_BAG.items() if word in name.lower()), _DRY_IN_BAG)
        for name in parts
    }
    return sum(of_one[name] * part for name, part in parts.items()) / sum(parts.values())


def wetting_water_l(blend_l: float, water_before: float, water_after: float = 0.45) -> float:
    """Return the water to work into a mix before pots are filled.

    Parameters
    ----------
    blend_l : float
        Volume of the mixed medium [L].
    water_before : float
        Water in it by volume [-].
    water_after : float
        Water wished in it by volume [-].

    Returns
    -------
    float
        Water, none where it is wet enough [L].

    Raises
    ------
    BadArgument
        If the volume is negative or a share leaves its range.

    Notes
    -----
    Volume times (water_after - water_before). Water is worked in, not sprinkled on: dry perlite and
    dry peat shed what is sprinkled.

    References
    ----------
    Arithmetic; the 0.45 wished for is our own estimate of moist, not wet.

    Examples
    --------
    >>> round(wetting_water_l(70, 0.01), 1)
    30.8
    """
    if not (math.isfinite(blend_l) and blend_l >= 0.0):
        raise BadArgument("blend_l", "be 0 or more", blend_l)
    for name, value in {"water_before": water_before, "water_after": water_after}.items():
        if not 0.0 <= value < 1.0:
            raise BadArgument(name, "be a share from 0 to below 1", value)
    return blend_l * max(0.0, water_after - water_before)


def _check_parts(parts: Mapping[str, float]) -> None:
    for name, part in parts.items():
        if not (math.isfinite(part) and part >= 0.0):
            raise BadArgument("parts", f"give {name} 0 or more", part)
    if not sum(parts.values()) > 0.0:
        raise BadArgument("parts", "name at least one part above 0", dict(parts))
