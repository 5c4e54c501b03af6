"""A pot or tray from above, its cuttings at their true spacing."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slipwright.craft.container import round_pot_width_mm, sticking_points
from slipwright.craft.errors import BadArgument
from slipwright.outputs.svg import Svg

SIDE = 180.0
#: more cuttings than this are not drawn one by one
MOST_POINTS = 200
Point = tuple[float, float]


@dataclass(frozen=True)
class PotFromAbove:
    """A container with its cuttings, seen from above.

    Parameters
    ----------
    n_per_container : int
        Cuttings in it, or in each of its cells [1].
    width_mm : float, optional
        Width inside the rim [mm].
    length_mm : float, optional
        Length of a tray; a round pot without it [mm].
    volume_ml : float, optional
        Volume, from which the width of a round pot follows where it was not measured [mL].
    cells : int, optional
        Cells of a tray [1].

    Raises
    ------
    BadArgument
        If the number is below 1.

    References
    ----------
    Places as :func:`slipwright.craft.container.sticking_points`.  The drawing is our own.

    Examples
    --------
    >>> PotFromAbove(5, width_mm=110).svg().count("d-woodmid")
    5
    >>> round(PotFromAbove(5, width_mm=110).apart_mm)
    41
    """

    n_per_container: int
    width_mm: float | None = None
    length_mm: float | None = None
    volume_ml: float | None = None
    cells: int | None = None

    def __post_init__(self) -> None:
        """Refuse a container without a cutting."""
        if self.n_per_container < 1:
            raise BadArgument("n_per_container", "be 1 or more", self.n_per_container)

    @property
    def apart_mm(self) -> float | None:
        """How far its nearest two cuttings stand apart [mm]; None for one, or where its size is not known."""
        pair = _nearest(self._laid_out[2])
        return pair[2] if pair else None

    def svg(self, title: str = "") -> str:
        """Return its drawing, the distance of the nearest two as a line; empty where no size is known."""
        wide, long, points = self._laid_out
        if not wide:
            return ""
        scale = (SIDE - 8) / max(wide, long)
        height = long * scale + 8
        svg = Svg(SIDE, height, title, "pots")
        middle = (SIDE / 2, height / 2)
        if self.length_mm and self.width_mm:
            left, top = middle[0] - wide * scale / 2, middle[1] - long * scale / 2
            svg.rect(left, top, wide * scale, long * scale, "d-plate d-ink d-line")
            svg.rect(left + 4, top + 4, wide * scale - 8, long * scale - 8, "d-inset d-ink d-thin")
        else:
            svg.circle(*middle, wide * scale / 2, "d-plate d-ink d-line")
            svg.circle(*middle, wide * scale / 2 - 5, "d-inset d-ink d-thin")
        pair = _nearest(points)
        if pair:
            a, b, _ = pair
            svg.line(*_at(a, middle, scale), *_at(b, middle, scale), "d-madder d-thick")
        r = (
            max(min(2.75 * scale, 6.0), 1.5)
            if pair is None
            else max(min(2.75 * scale, 0.3 * pair[2] * scale), 1.5)
        )
        for point in points:
            svg.circle(*_at(point, middle, scale), r, "d-woodmid d-line")
        return str(svg)

    @property
    def _laid_out(self) -> tuple[float, float, tuple[Point, ...]]:
        n, cells = self.n_per_container, self.cells
        if self.length_mm and self.width_mm:
            wide, long = max(self.width_mm, self.length_mm), min(self.width_mm, self.length_mm)
            return wide, long, _in_rows(min(n * (cells or 1), MOST_POINTS), wide, long)
        wide = self.width_mm or (round_pot_width_mm(self.volume_ml) if self.volume_ml and not cells else 0.0)
        if not wide:
            return 0.0, 0.0, ()
        return wide, wide, tuple(sticking_points(min(n, MOST_POINTS), wide, edge_mm=min(20.0, wide / 4)))


def _nearest(points: tuple[Point, ...]) -> tuple[Point, Point, float] | None:
    """Return the two points that lie nearest to each other, and how far apart."""
    pairs = ((a, b, math.dist(a, b)) for i, a in enumerate(points) for b in points[i + 1 :])
    return min(pairs, key=lambda pair: round(pair[2], 1), default=None)


def _in_rows(n: int, wide: float, long: float) -> tuple[Point, ...]:
    """Spread points over a tray in as many rows as leave them about as far apart both ways."""
    rows = max(round(math.sqrt(n * long / wide)), 1)
    columns = -(-n // rows)
    places = (
        ((column + 0.5) / columns * wide - wide / 2, (row + 0.5) / rows * long - long / 2)
        for row in range(rows)
        for column in range(columns)
    )
    return tuple(place for _, place in zip(range(n), places, strict=False))


def _at(point: Point, middle: Point, scale: float) -> Point:
    return middle[0] + scale * point[0], middle[1] - scale * point[1]
