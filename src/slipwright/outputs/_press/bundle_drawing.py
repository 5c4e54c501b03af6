"""A bundle of shoots as it is brought in: so many, all one way up, bases level, tied and tagged."""

from __future__ import annotations

from typing import Final, get_args

from slipwright.craft.said import Said
from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.stem import Stem, Wood, draw_leaf, draw_node, draw_stem

BUNDLE_MM: Final = (70.0, 54.0)
"""Width and height of the drawing with its words [mm]."""
_STEMS: Final = 7
_STEP_MM: Final = 2.6
#: how much shorter than the longest each shoot is, and where its buds stand
_SHORTER_MM: Final = (5.0, 1.5, 3.5, 0.0, 2.5, 1.0, 4.5)
_BUD_MM: Final = 0.55
_WOODS: Final[tuple[Wood, ...]] = get_args(Wood)


def draw_bundle(
    paper: Paper,
    x: float,
    top: float,
    n_each: int,
    wood: Wood = "semi-hardwood",
    tag: tuple[str, ...] = (),
) -> None:
    """Draw a bundle with its ties and its tag, and say what makes it right.

    Parameters
    ----------
    paper : Paper
        The page.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    n_each : int
        Shoots in a full bundle [1].
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Their wood; hardwood is drawn without leaves.
    tag : tuple of str
        What is written on the tag, a line each.

    References
    ----------
    The house's own drawing style; bundles all one way up, bases level: common practice, no source.
    """
    left, foot = x + 9.0, top + 46.0
    for k in range(_STEMS):
        _shoot(paper, left + k * _STEP_MM, top + 5.0 + _SHORTER_MM[k], foot, wood, k)
    right = left + (_STEMS - 1) * _STEP_MM
    for y in (top + 25.0, top + 37.0):
        paper.box(left - 1.8, y, right - left + 3.6, 2.2, fill=palette.SHEET, width_pt=0.9, corner=0.8)
    paper.line([(left - 4.0, foot), (right + 4.0, foot)], width_pt=0.9, dash=(2, 1.4))
    _arrow(paper, x + 3.0, top + 5.0, foot)
    _tag(paper, right + 1.8, top + 26.1, x + BUNDLE_MM[0], tag)
    told = paper.told(Said("{n} to a bundle", n=n_each))
    paper.text_centred([(told, "bold")], (left + right) / 2, top + 51.0, 9.5)
    words = right + 5.5
    paper.plain(paper.told(Said("all the same way up")), words, top + 9.0, 8.5)
    paper.plain(paper.told(Said("tied twice, not tight")), words, top + 38.9, 8.5)
    paper.plain(paper.told(Said("bases level")), words, foot + 1.0, 8.5)


def _shoot(paper: Paper, x: float, top: float, foot: float, wood: Wood, k: int) -> None:
    stem = Stem(x, top, foot, 1.1, 1.7, wood, "flat", "flat")
    if wood != "hardwood":
        for side in (-1, 1):
            draw_leaf(paper, (stem.edge(top + 2.5, side), top + 2.5), side, 5.0, "simple", rise=2.4)
    draw_stem(paper, stem, width_pt=0.7)
    for n in range(3):
        y = top + 6.0 + 12.0 * n + (k % 3) * 1.4
        draw_node(paper, stem, y, (1 if (n + k) % 2 else -1,), _BUD_MM)


def _arrow(paper: Paper, x: float, top: float, foot: float) -> None:
    paper.line([(x, foot), (x, top + 2.0)], width_pt=1.1)
    paper.shape([(x, top), (x + 1.2, top + 2.6), (x - 1.2, top + 2.6)], fill=palette.INK, stroke=None)


def _tag(paper: Paper, x: float, y: float, right: float, words: tuple[str, ...]) -> None:
    """Draw a tag on its string, as wide as is left for it."""
    tip, high = x + 5.0, 4.2 * max(len(words), 2) + 2.4
    up = y - high / 2
    paper.curve((x, y), [((x + 1.5, y - 1.6), (x + 3.0, y + 1.6), (tip + 1.8, y))], width_pt=0.8)
    corners = [(tip + 3.0, up), (right, up), (right, up + high), (tip + 3.0, up + high), (tip, y)]
    paper.shape(corners, fill=palette.SHEET, width_pt=1.0)
    paper.circle(tip + 2.2, y, 0.7, width_pt=0.7)
    for k, line in enumerate(words):
        paper.plain(paper.told(line), tip + 4.2, up + 4.4 + 4.2 * k, 8.5)
