"""The pots of a trial as they stand on the bench: blocks, each with every arm in an order drawn for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 344.0
_POT: Final = 38.0
_PAD: Final = 7.0
_HEAD: Final = 20.0
_GAP: Final = 8.0
#: looks of the arms, first to last: they differ in grey too, and the letter stands in each
_LOOKS: Final = (
    "d-sheet d-ink d-line",
    "d-enamelwash d-line",
    "d-brasswash d-ink d-line",
    "d-plate d-ink d-line",
)


@dataclass(frozen=True, slots=True)
class PotOfTrial:
    """One pot: the letter of its arm, which arm that is counted from 0, what it is called, and its mark.

    ``mark`` is ``done`` (counted), ``due`` (to be counted), ``gone`` (out of the trial), or empty.
    """

    letter: str
    arm: int
    called: str = ""
    mark: str = ""


def bench_plan(blocks: Sequence[Sequence[PotOfTrial]], title: str, block_words: Sequence[str]) -> str:
    """Return the bench of a trial seen from above.

    Parameters
    ----------
    blocks : sequence of sequences of PotOfTrial
        Block by block, the pots from left to right.
    title : str
        What it shows, in words.
    block_words : sequence of str
        What each block is called.

    Returns
    -------
    str
        SVG: a tray a block, in it a pot each with the letter of its arm and what it is called beneath.
        A counted pot has a tick, one that is due a thick rim, one that left the trial a cross.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> drawn = bench_plan([[PotOfTrial("A", 0), PotOfTrial("B", 1)]], "two pots", ["block 1"])
    >>> drawn.count("<circle"), "block 1" in drawn
    (4, True)
    """
    widest = max((len(block) for block in blocks), default=1)
    wide = widest * _POT + 2 * _PAD
    called = any(pot.called for block in blocks for pot in block)
    high = _HEAD + _POT + (16.0 if called else 4.0)
    a_row = max(int((WIDTH + _GAP) // (wide + _GAP)), 1)
    rows = -(-len(blocks) // a_row)
    width = max(WIDTH, wide)
    svg = Svg(width, max(rows * (high + _GAP) - _GAP, 1), title, "bench-plan")
    for at, (block, words) in enumerate(zip(blocks, block_words, strict=True)):
        left, top = (at % a_row) * (wide + _GAP), (at // a_row) * (high + _GAP)
        svg.rect(left + 0.5, top + 0.5, wide - 1, high - 1, "d-inset d-edge d-thin")
        svg.text(left + _PAD, top + 15, words, "quiet")
        for place, pot in enumerate(block):
            _pot(svg, left + _PAD + (place + 0.5) * _POT, top + _HEAD + _POT / 2, pot)
    return str(svg)


def _pot(svg: Svg, x: float, y: float, pot: PotOfTrial) -> None:
    look = _LOOKS[pot.arm % len(_LOOKS)]
    svg.circle(x, y, _POT / 2 - 3, look.replace("d-line", "d-thick") if pot.mark == "due" else look)
    svg.circle(x, y, _POT / 2 - 6.5, "d-edge d-thin")
    svg.text(x, y + 5, pot.letter, "mid strong")
    if pot.mark == "done":
        svg.circle(x + 12, y - 12, 6.5, "d-solid")
        svg.through([(x + 9, y - 12), (x + 11.3, y - 9.5), (x + 15.2, y - 14.5)], "d-tick d-line")
    elif pot.mark == "gone":
        svg.line(x - 13, y - 13, x + 13, y + 13, "d-madder d-line")
        svg.line(x - 13, y + 13, x + 13, y - 13, "d-madder d-line")
    if pot.called:
        svg.text(x, y + _POT / 2 + 11, pot.called, "mid small-code")
