"""Pots and trays: how many cuttings each holds, where they stand, what dip they take."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from slipwright.craft.errors import BadArgument

#: one stands in it, one is buried or tied on (common practice, no source)
LABELS_A_CONTAINER: Final = 2
#: a ring is taken to hold one more when it lacks less than this share of a cutting
_NEARLY = 1e-9


@dataclass(frozen=True)
class DipNeed:
    """Hormone dip to pour out for a number of cuttings: an assumption with its range.

    Attributes
    ----------
    low_ml : float
        With thin stems that carry little away [mL].
    mid_ml : float
        The usual case [mL].
    high_ml : float
        With thick or leafy stems that carry much away [mL].
    """

    low_ml: float
    mid_ml: float
    high_ml: float


def containers_needed(n_cuttings: int, n_per_container: int) -> int:
    """Return the number of containers for a number of cuttings.

    Parameters
    ----------
    n_cuttings : int
        Cuttings to stick, 0 or more [1].
    n_per_container : int
        Cuttings in each container, 1 or more [1].

    Returns
    -------
    int
        Containers, the last perhaps not full [1].

    Raises
    ------
    BadArgument
        If a number is too small.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> containers_needed(25, 12)
    3
    """
    if n_cuttings < 0:
        raise BadArgument("n_cuttings", "be 0 or more", n_cuttings)
    if n_per_container < 1:
        raise BadArgument("n_per_container", "be 1 or more", n_per_container)
    return -(-n_cuttings // n_per_container)


def cuttings_per_container(
    width_mm: float, spacing_mm: float = 50.0, *, length_mm: float | None = None, edge_mm: float = 20.0
) -> int:
    """Return how many cuttings stand in a pot or tray with their leaves just touching.

    Parameters
    ----------
    width_mm : float
        Inner width of a round pot at the surface, or of a tray [mm].
    spacing_mm : float
        Spread of one cutting's leaves, which is the distance from stem to stem [mm].
    length_mm : float, optional
        Inner length of a tray; a round pot without it [mm].
    edge_mm : float
        Distance of the outermost stems from the wall [mm].

    Returns
    -------
    int
        Cuttings, at least 1 [1].

    Raises
    ------
    BadArgument
        If a length lies outside 1 to 100,000 mm, or the edge is negative.

    Notes
    -----
    Round pots: a ring of stems inside the rim, a second ring one spacing further in, and so on to
    the middle; a ring of radius r holds pi / asin(s / 2r). Trays: rows and columns.

    References
    ----------
    Leaves just touching, stems about 20 mm from the wall, 6 to 9 in a pot of 2.7 L: common
    practice, no source. Stems 25 to 50 mm apart in open flats: from memory.

    Examples
    --------
    >>> cuttings_per_container(165, 50)
    8
    >>> cuttings_per_container(280, 40, length_mm=540)
    91
    """
    _check_lengths(width_mm, edge_mm, spacing_mm=spacing_mm, length_mm=length_mm)
    if length_mm is not None:
        columns, rows = (
            1 + math.floor(max(0.0, side - 2.0 * edge_mm) / spacing_mm + _NEARLY)
            for side in (width_mm, length_mm)
        )
        return columns * rows
    return sum(n for _, n in _rings(max(0.0, width_mm / 2.0 - edge_mm), spacing_mm))


def round_pot_width_mm(volume_ml: float) -> float:
    """Return the inner width at the rim of a round pot known by its volume alone.

    Parameters
    ----------
    volume_ml : float
        Volume to the rim [mL].

    Returns
    -------
    float
        Width [mm].

    Raises
    ------
    BadArgument
        If the volume is not above 0.

    Notes
    -----
    V = pi h (D^2 + D d + d^2) / 12 with the proportions D : d : h of a pot 165 mm wide above,
    130 mm below and 165 mm high (2.83 L). Other makes differ by a tenth or more: measure yours.

    References
    ----------
    Proportions of the pot: common practice, no source.

    Examples
    --------
    >>> round(round_pot_width_mm(2690))
    162
    """
    if not (math.isfinite(volume_ml) and volume_ml > 0.0):
        raise BadArgument("volume_ml", "be above 0", volume_ml)
    model_ml = math.pi * 165.0 * (165.0**2 + 165.0 * 130.0 + 130.0**2) / 12.0 / 1000.0
    return float(165.0 * (volume_ml / model_ml) ** (1.0 / 3.0))


def sticking_points(n: int, width_mm: float, *, edge_mm: float = 20.0) -> tuple[tuple[float, float], ...]:
    """Return where the stems stand in a round pot seen from above.

    Parameters
    ----------
    n : int
        Cuttings in the pot, 1 or more [1].
    width_mm : float
        Inner width of the pot at the surface [mm].
    edge_mm : float
        Distance of the outermost stems from the wall [mm].

    Returns
    -------
    tuple of (float, float)
        Places of the stems from the middle of the pot, x to the right and y upward [mm].

    Raises
    ------
    BadArgument
        If there is no cutting, or a length is out of range.

    Notes
    -----
    The widest spacing is found at which the rings of :func:`cuttings_per_container` hold n; rings
    are filled from the rim inward and evened out.

    References
    ----------
    Cuttings stand round the edge of the pot: common practice, no source.

    Examples
    --------
    >>> sticking_points(2, 100, edge_mm=20)
    ((0.0, 30.0), (0.0, -30.0))
    """
    if n < 1:
        raise BadArgument("n", "be 1 or more", n)
    _check_lengths(width_mm, edge_mm)
    radius = max(0.0, width_mm / 2.0 - edge_mm)
    if n == 1 or radius == 0.0:
        return ((0.0, 0.0),) * n
    points: list[tuple[float, float]] = []
    for ring_radius, n_ring in _rings(radius, _widest_spacing(n, radius)):
        n_here = min(n_ring, n - len(points))
        for i in range(n_here):
            angle = 2.0 * math.pi * i / n_here
            x, y = ring_radius * math.sin(angle), ring_radius * math.cos(angle)
            points.append((round(x, 3) + 0.0, round(y, 3) + 0.0))
    return tuple(points)


def dip_ml(n_cuttings: int, *, depth_mm: float = 20.0, vessel_mm: float = 25.0) -> DipNeed:
    """Return the quick dip or gel to pour out for a number of cuttings.

    Parameters
    ----------
    n_cuttings : int
        Cuttings to dip, 0 or more [1].
    depth_mm : float
        Depth of liquid, a little more than what is dipped [mm].
    vessel_mm : float
        Inner width of the small vessel [mm].

    Returns
    -------
    DipNeed
        Least, middle and most, an assumption.

    Raises
    ------
    BadArgument
        If the number is negative or a length is not above 0.

    Notes
    -----
    What covers the bottom of the vessel, and what the stems carry away: 0.05, 0.1 or 0.2 mL each,
    as a film of 0.1 to 0.5 mm on 20 mm of a stem 6 mm thick. What is left is thrown away as the
    product's label says, never poured back.

    References
    ----------
    Common practice, no source: the film is assumed, not measured.

    Examples
    --------
    >>> need = dip_ml(24)
    >>> round(need.low_ml), round(need.mid_ml), round(need.high_ml)
    (11, 12, 15)
    """
    if n_cuttings < 0:
        raise BadArgument("n_cuttings", "be 0 or more", n_cuttings)
    for name, value in (("depth_mm", depth_mm), ("vessel_mm", vessel_mm)):
        if not (math.isfinite(value) and value > 0.0):
            raise BadArgument(name, "be above 0", value)
    if n_cuttings == 0:
        return DipNeed(0.0, 0.0, 0.0)
    bottom_ml = math.pi * (vessel_mm / 2.0) ** 2 * depth_mm / 1000.0
    low, mid, high = (bottom_ml + carried * n_cuttings for carried in (0.05, 0.1, 0.2))
    return DipNeed(low, mid, high)


def _check_lengths(
    width_mm: float, edge_mm: float, *, spacing_mm: float = 1.0, length_mm: float | None = None
) -> None:
    lengths = {"width_mm": width_mm, "spacing_mm": spacing_mm}
    if length_mm is not None:
        lengths["length_mm"] = length_mm
    for name, value in lengths.items():
        if not 1.0 <= value <= 100_000.0:
            raise BadArgument(name, "be a length from 1 to 100,000 mm", value)
    if not (math.isfinite(edge_mm) and edge_mm >= 0.0):
        raise BadArgument("edge_mm", "be 0 or more", edge_mm)


def _rings(radius: float, spacing: float) -> list[tuple[float, int]]:
    """Radius of each ring and what it holds, from the rim to the middle."""
    rings: list[tuple[float, int]] = []
    while radius >= spacing / 2.0 * (1.0 - _NEARLY):
        half_angle = math.asin(min(1.0, spacing / 2.0 / radius))
        rings.append((radius, math.floor(math.pi / half_angle + _NEARLY)))
        radius -= spacing
    if radius >= -_NEARLY * spacing or not rings:
        rings.append((0.0, 1))
    return rings


def _widest_spacing(n: int, radius: float) -> float:
    low, high = radius / n, 2.0 * radius
    for _ in range(60):
        middle = (low + high) / 2.0
        if sum(n_ring for _, n_ring in _rings(radius, middle)) >= n:
            low = middle
        else:
            high = middle
    # a hair less, so that rings which just fit are not lost to rounding
    return low * (1.0 - 1e-6)
