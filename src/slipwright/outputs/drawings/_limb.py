"""A length of shoot drawn along any line, with the texture of its wood."""

from __future__ import annotations

import math
from collections.abc import Sequence

from slipwright.outputs.svg import Svg

Point = tuple[float, float]
LOOKS = {"softwood": "d-woodsoft", "semi-hardwood": "d-woodmid", "hardwood": "d-wood"}


def draw_limb(
    svg: Svg,
    line: Sequence[Point],
    start_width: float,
    end_width: float,
    wood: str = "",
    *,
    bare: bool = False,
) -> None:
    """Draw a shoot along a line of points: dots for soft, stripes for semi-hard, plain for hard wood."""
    places = list(_along(line, start_width, end_width))
    left = [(x - nx * half, y - ny * half) for x, y, nx, ny, half in places]
    right = [(x + nx * half, y + ny * half) for x, y, nx, ny, half in places]
    look = f"{LOOKS[wood]} d-line" if wood in LOOKS else "d-sheet d-edge d-line"
    svg.through([*left, *reversed(right)], look, closed=True)
    if bare:
        return
    if wood == "semi-hardwood":
        for x, y, nx, ny, half in places[2:-1:3]:
            tx, ty = -ny * half * 0.8, nx * half * 0.8
            svg.line(
                x - nx * half - tx, y - ny * half - ty, x + nx * half + tx, y + ny * half + ty, "d-ink d-thin"
            )
    elif wood == "softwood":
        for i, (x, y, nx, ny, half) in enumerate(places[1:-1:2]):
            side = 0.3 * half * (1 if i % 2 else -1)
            svg.circle(x + nx * side, y + ny * side, 0.9)


def curve(start: Point, bend: Point, second_bend: Point, end: Point, n: int = 24) -> list[Point]:
    """Return points along a cubic curve."""
    found = []
    for i in range(n + 1):
        t = i / n
        a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
        found.append(
            (
                a * start[0] + b * bend[0] + c * second_bend[0] + d * end[0],
                a * start[1] + b * bend[1] + c * second_bend[1] + d * end[1],
            )
        )
    return found


def straight(start: Point, end: Point, n: int = 16) -> list[Point]:
    """Return points along a straight line."""
    return [
        (start[0] + (end[0] - start[0]) * i / n, start[1] + (end[1] - start[1]) * i / n) for i in range(n + 1)
    ]


def draw_leaf(svg: Svg, at: Point, towards: Point, half: float, look: str = "d-sheet d-ink d-line") -> None:
    """Draw a blade with its midrib from a point outwards."""
    dx, dy = towards[0] - at[0], towards[1] - at[1]
    length = math.hypot(dx, dy) or 1.0
    ox, oy = -dy / length * half * 1.35, dx / length * half * 1.35

    def place(along: float, across: float) -> str:
        return f"{at[0] + along * dx + across * ox:.1f} {at[1] + along * dy + across * oy:.1f}"

    svg.path(
        f"M{place(0, 0)}C{place(0.25, 1)} {place(0.75, 0.9)} {place(1, 0)}"
        f"C{place(0.75, -0.9)} {place(0.25, -1)} {place(0, 0)}Z",
        look,
    )
    svg.path(f"M{place(0, 0)}L{place(0.78, 0)}", "d-ink d-thin")


def _along(
    line: Sequence[Point], start_width: float, end_width: float
) -> list[tuple[float, float, float, float, float]]:
    found = []
    last = len(line) - 1
    for i, (x, y) in enumerate(line):
        (ax, ay), (bx, by) = line[max(i - 1, 0)], line[min(i + 1, last)]
        length = math.hypot(bx - ax, by - ay) or 1.0
        half = (start_width + (end_width - start_width) * i / max(last, 1)) / 2
        found.append((x, y, -(by - ay) / length, (bx - ax) / length, half))
    return found
