"""The shoot from tip to base: of each part what rooted, still waits and is lost, and the sweet spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.craft.figures import plain
from slipwright.outputs.svg import Svg

Range = tuple[float, float, float]
_WIDTH: Final = 340.0
_NAMES: Final = 92.0  # where names end
_LEFT, _RIGHT = 100.0, 312.0
_BAR, _ROW, _TOP, _NAMED = 28.0, 58.0, 24.0, 14.0
_LETTER: Final = 7.6
_WOODS: Final = ("d-woodsoft", "d-woodsoft", "d-woodmid", "d-woodmid", "d-wood")


@dataclass(frozen=True, slots=True)
class ShootPart:
    """One part of the shoot: its name and how many are told of, in words, counts, and the share as learned.

    ``ripe`` is how far along it lies, 0 the tip to 4 the base.
    """

    name: str
    of: str
    n_rooted: int
    n_waiting: int
    n_lost: int
    n_away: int
    learned: Range | None
    ripe: int


@dataclass(frozen=True, slots=True)
class AlongWords:
    """What stands in the drawing, already in the reader's language."""

    title: str
    sweet: str
    marks: tuple[str, str, str]


def along_shoot(parts: Sequence[ShootPart], words: AlongWords, sweet: tuple[int, int] | None = None) -> str:
    """Return a shoot with what became of each part.

    Parameters
    ----------
    parts : sequence of ShootPart
        From the tip to the base.
    words : AlongWords
        What stands in it.
    sweet : tuple of two int, optional
        First and last of the parts that do best, as places in ``parts`` [-]; no bracket without it.

    Returns
    -------
    str
        SVG: a bar a part, solid what rooted, rings what waits, crosses what is lost, hatching what was
        taken away; beneath it the share as learned on the same rule; a bracket at the sweet spot.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> words = AlongWords("Take the middle", "sweet spot", ("0", "5 in 10", "10"))
    >>> part = ShootPart("Middle", "of 40", 30, 7, 3, 0, (0.6, 0.7, 0.8), 2)
    >>> "sweet spot" in along_shoot([part], words, (0, 0)), "sweet spot" in along_shoot([part], words)
    (True, False)
    """
    head = _TOP if sweet and not sweet[0] else 6.0
    # above a bracket further down there is room for its name, clear of the range over it
    tops = [
        head + place * _ROW + (_NAMED if sweet and 0 < sweet[0] <= place else 0)
        for place in range(len(parts) + 1)
    ]
    svg = Svg(_WIDTH, tops[-1] + 34, words.title, "along-shoot")
    svg.pattern("along-waiting", 8, '<circle class="d-waiting d-thin" cx="4" cy="4" r="2.4"/>')
    svg.pattern("along-lost", 7, '<path class="d-madder d-thin" d="M1.5 1.5L5.5 5.5M5.5 1.5L1.5 5.5"/>')
    svg.pattern("along-away", 6, '<path class="d-edge d-thin" d="M0 0V6"/>', turn=45)
    for place, part in enumerate(parts):
        _draw_part(svg, part, tops[place])
    if sweet:
        _draw_sweet(svg, tops[sweet[0]], tops[sweet[1]] + _BAR, words.sweet)
    _draw_rule(svg, tops[-1], words.marks)
    return str(svg)


def _draw_part(svg: Svg, part: ShootPart, y: float) -> None:
    _draw_cutting(svg, y, _WOODS[part.ripe], has_tip=part.ripe == 0)
    svg.text(_NAMES, y + 12, part.name, "end strong")
    svg.text(_NAMES, y + 28, part.of, "end quiet")
    counts = (part.n_rooted, part.n_waiting, part.n_lost, part.n_away)
    whole = max(sum(counts), 1)
    x = _LEFT
    for n, fill in zip(counts, ("", "along-waiting", "along-lost", "along-away"), strict=True):
        wide = (_RIGHT - _LEFT) * n / whole
        if fill:
            svg.rect(x, y, wide, _BAR, "d-sheet")
            svg.part("rect", x=x, y=y, width=wide, height=_BAR, fill=f"url(#{fill})")
        else:
            svg.rect(x, y, wide, _BAR, "d-enamelfill")
        svg.rect(x, y, wide, _BAR, "d-ink d-line")
        _write_count(svg, n, x, wide, y, on_solid=not fill)
        x += wide
    if part.learned:
        low, middle, high = (_at(share) for share in part.learned)
        y += _BAR + 10
        svg.line(low, y, high, y, "d-enamel d-thick")
        for end in (low, high):
            svg.line(end, y - 5, end, y + 5, "d-enamel d-thick")
        svg.circle(middle, y, 5, "d-enamelfill")


def _write_count(svg: Svg, n: int, x: float, wide: float, y: float, *, on_solid: bool) -> None:
    """Write a count where it has room; the table beside the drawing has them all."""
    needed = len(plain(n, 0)) * _LETTER + 6
    if not n or wide < needed + 2:
        return
    if on_solid:
        svg.text(x + 6, y + 19, plain(n, 0), "strong on-ink")
        return
    svg.rect(x + (wide - needed) / 2, y + 5, needed, _BAR - 10, "d-sheet")
    svg.text(x + wide / 2, y + 19, plain(n, 0), "strong mid")


def _draw_cutting(svg: Svg, y: float, wood: str, *, has_tip: bool) -> None:
    """Draw a piece of the shoot, tip up: flat above a bud, slanted below one."""
    left, right, foot = 8.0, 20.0, y + 40
    if has_tip:
        svg.path(
            f"M14 {y + 4:.0f}Q4 {y - 2:.0f} 8 {y - 6:.0f}Q16 {y - 6:.0f} 14 {y + 4:.0f}Z", "d-ink d-line"
        )
    svg.through(
        [(left, y + 4), (right, y + 4), (right, foot - 7), (left, foot)], f"{wood} d-line", closed=True
    )
    svg.circle(right + 1, y + 10, 3, "d-brass d-thin")
    svg.circle(left - 1, foot - 10, 3, "d-brass d-thin")


def _draw_sweet(svg: Svg, top: float, foot: float, words: str) -> None:
    svg.path(f"M{_RIGHT + 6:.0f} {top:.0f}H{_RIGHT + 16:.0f}V{foot:.0f}H{_RIGHT + 6:.0f}", "d-ink d-thick")
    svg.text(_RIGHT + 17, top - 8, words, "end strong")


def _draw_rule(svg: Svg, y: float, marks: tuple[str, str, str]) -> None:
    svg.rect(_LEFT, y, _RIGHT - _LEFT, 12, "d-brass d-thin")
    for tenth in range(11):
        svg.line(_at(tenth / 10), y, _at(tenth / 10), y + (12 if tenth % 5 == 0 else 6), "d-brass d-thin")
    for share, words, look in zip((0.0, 0.5, 1.0), marks, ("", "mid", "end"), strict=True):
        svg.text(_at(share), y + 27, words, look)


def _at(share: float) -> float:
    return round(_LEFT + min(max(share, 0.0), 1.0) * (_RIGHT - _LEFT), 1)
