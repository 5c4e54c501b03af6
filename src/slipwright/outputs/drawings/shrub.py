"""A shrub with its shoots: those that may go, those that were cut, those that stay."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from slipwright.craft.errors import BadArgument
from slipwright.outputs.svg import Svg

WIDTH: Final = 330.0
"""Width of the drawing [user units]."""
HEIGHT: Final = 190.0
"""Height of the drawing [user units]."""
MOST_SHOOTS: Final = 24
"""Shoots drawn at most; of a plant with more each drawn one stands for several [1]."""
_FOOT: Final = (165.0, 152.0)
_REACH: Final = 124.0
_WORDS: Final = {"go": "may go", "cut": "were cut", "stay": "stay", "each": "one drawn stands for {n}"}


def shrub_drawing(
    n_may_go: int, n_cut: int, n_stay: int, title: str, *, words: Mapping[str, str] | None = None
) -> str:
    """Return a shrub seen from the side, its shoots spread out.

    Parameters
    ----------
    n_may_go : int
        Shoots that may still go: thick, with a brass bud at the tip [1].
    n_cut : int
        Shoots that were cut: short stubs with a cut across [1].
    n_stay : int
        Shoots that stay: thin, with a small dot at the tip [1].
    title : str
        What is seen, in a sentence.
    words : mapping of str to str, optional
        Words for ``go``, ``cut``, ``stay`` and ``each`` (with ``{n}``).

    Returns
    -------
    str
        SVG. Of more than 24 shoots each drawn one stands for several, and the drawing says so.

    Raises
    ------
    BadArgument
        If a number is below 0.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> "3 may go" in shrub_drawing(3, 2, 9, "Three may go")
    True
    """
    counts = {"go": n_may_go, "cut": n_cut, "stay": n_stay}
    for name, count in zip(("n_may_go", "n_cut", "n_stay"), counts.values(), strict=True):
        if count < 0:
            raise BadArgument(name, "be 0 or more", count)
    words = {**_WORDS, **(words or {})}
    each = max(math.ceil(sum(counts.values()) / MOST_SHOOTS), 1)
    shown = {what: math.ceil(count / each) for what, count in counts.items()}
    svg = Svg(WIDTH, HEIGHT, title, kind="d-shrub")
    svg.line(_FOOT[0] - 62, _FOOT[1], _FOOT[0] + 62, _FOOT[1], "d-ink d-thick")
    order = _spread(shown)
    for place, what in enumerate(order):
        _draw_shoot(svg, what, place, len(order))
    _draw_key(svg, counts, words, each)
    return str(svg)


def _spread(shown: Mapping[str, int]) -> list[str]:
    """Put the kinds of shoot in an order from left to right that spreads each over the shrub."""
    places = [((i + 0.5) / n, what) for what, n in shown.items() for i in range(n)]
    return [what for _, what in sorted(places)]


def _draw_shoot(svg: Svg, what: str, place: int, n: int) -> None:
    turn = math.radians(-72 + 144 * (place + 0.5) / n)
    reach = _REACH * (0.84 + 0.16 * ((place * 7) % 5) / 4)
    if what == "cut":
        reach *= 0.26
    x, y = _FOOT
    tip_x = x + reach * math.sin(turn)
    tip_y = y - reach * math.cos(turn) * 0.94
    mid_x, mid_y = x + 0.42 * reach * math.sin(turn), y - 0.66 * reach * math.cos(turn)
    look = {"go": "d-ink d-thick", "cut": "d-ink d-thick", "stay": "d-edge d-line"}[what]
    svg.path(f"M{x:g} {y:g}Q{mid_x:.1f} {mid_y:.1f} {tip_x:.1f} {tip_y:.1f}", look)
    _draw_tip(svg, what, tip_x, tip_y)


def _draw_tip(svg: Svg, what: str, x: float, y: float) -> None:
    if what == "go":
        svg.circle(x, y, 7, "d-brass d-line")
        svg.through([(x - 3, y), (x - 0.5, y + 2.8), (x + 3.5, y - 2.8)], "d-tick d-line")
    elif what == "cut":
        svg.line(x - 6, y + 4, x + 6, y - 4, "d-madder d-thick")
    else:
        svg.circle(x, y, 2.6, "d-edgefill")


def _draw_key(svg: Svg, counts: Mapping[str, int], words: Mapping[str, str], each: int) -> None:
    x = 12.0
    for what, count in counts.items():
        if not count:
            continue
        _draw_tip(svg, what, x, 172)
        said = f"{count} {words[what]}"
        svg.text(x + 13, 176.5, said, "strong" if what == "go" else "")
        x += 13 + len(said) * 7 + 24
    if each > 1:
        svg.text(WIDTH - 2, 12, words["each"].format(n=each), "end quiet")
