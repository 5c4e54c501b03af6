"""What a trial found: each way's share with its pots, and the difference of two on a brass rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.outputs.svg import Svg

_WIDTH: Final = 344.0
_LEFT, _RIGHT = 14.0, 330.0
_ROW: Final = 58.0
_RULE: Final = 12.0
#: how many more in 100 the ends of the rule of a difference may stand for
_REACHES: Final = (20, 40, 60, 80, 100)


@dataclass(frozen=True, slots=True)
class ArmFound:
    """One way: its name, 10, 50 and 90 per cent points of its share, and the share of each pot [-]."""

    name: str
    low: float
    middle: float
    high: float
    pots: tuple[float, ...] = ()


def trial_shares(arms: Sequence[ArmFound], title: str, rule_words: str) -> str:
    """Return the share that roots of each way, with the pots it rests on.

    Parameters
    ----------
    arms : sequence of ArmFound
        The ways, in the order of the trial.
    title : str
        What it shows, in words.
    rule_words : str
        What the rule counts.

    Returns
    -------
    str
        SVG: a row a way with its name, a bar with end stops and a dot as learned, below it an open ring for
        each pot as counted; in hundreds on a brass rule.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> drawn = trial_shares([ArmFound("none", 0.4, 0.5, 0.6, (0.5, 0.5))], "half", "rooted in 100")
    >>> drawn.count("<circle"), "none" in drawn
    (3, True)
    """
    floor = len(arms) * _ROW
    svg = Svg(_WIDTH, floor + 48, title, "trial-shares")

    def at(share: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min(max(share, 0.0), 1.0)

    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        svg.line(at(share), 4, at(share), floor, "d-hair d-thin")
    for row, arm in enumerate(arms):
        top = row * _ROW
        svg.text(_LEFT, top + 15, arm.name, "strong")
        _bar(svg, at(arm.low), at(arm.middle), at(arm.high), top + 28)
        for share, n in sorted(Counter(round(pot, 3) for pot in arm.pots).items()):
            for k in range(n):
                svg.circle(at(share) + 5 * (k - (n - 1) / 2), top + 46, 4.2, "d-ink d-thin")
    _rule(svg, floor)
    for number in (0, 25, 50, 75, 100):
        x = at(number / 100)
        svg.line(x, floor, x, floor + _RULE, "d-brass d-thin")
        svg.text(x, floor + 28, str(number), "mid")
    svg.text((_LEFT + _RIGHT) / 2, floor + 44, rule_words, "mid quiet")
    return str(svg)


def trial_difference(
    low: float,
    middle: float,
    high: float,
    *,
    matters: float | None,
    title: str,
    side_words: tuple[str, str],
    rule_words: str,
) -> str:
    """Return by how much one way is the better of two, on a rule with none in its middle.

    Parameters
    ----------
    low, middle, high : float
        10, 50 and 90 per cent points of the difference of shares [-].
    matters : float or None
        Smallest difference that would be acted upon [-]; None where none was said.
    title : str
        What it shows, in words.
    side_words : tuple of two str
        What left and right of the middle mean.
    rule_words : str
        What the rule counts.

    Returns
    -------
    str
        SVG: a bar with end stops and a dot over a brass rule; dashed where neither is better; what would
        not matter as a shaded strip about it.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> drawn = trial_difference(-0.06, 0.07, 0.21, matters=0.2, title="dip ahead", side_words=("<", ">"),
    ...                          rule_words="more in 100")
    >>> drawn.count("<circle"), drawn.count("40") > 0
    (1, True)
    """
    furthest = 100 * max(abs(low), abs(high), 1.2 * (matters or 0.0))
    reach = next((one for one in _REACHES if furthest <= one), _REACHES[-1])
    svg = Svg(_WIDTH, 112, title, "trial-difference")
    middle_x, half = (_LEFT + _RIGHT) / 2, (_RIGHT - _LEFT) / 2

    def at(difference: float) -> float:
        return middle_x + half * min(max(100 * difference / reach, -1.0), 1.0)

    if matters:
        svg.rect(at(-matters), 24, at(matters) - at(-matters), 38, "d-plate")
    svg.text(middle_x - 8, 15, side_words[0], "end")
    svg.text(middle_x + 8, 15, side_words[1])
    svg.line(middle_x, 2, middle_x, 62, "d-ink d-line d-dash")
    _bar(svg, at(low), at(middle), at(high), 43)
    _rule(svg, 62)
    for step in range(-4, 5):
        number = round(step * reach / 4)
        x = at(number / 100)
        svg.line(x, 62, x, 62 + (_RULE if step % 2 == 0 else 7), "d-brass d-thin")
        if step % 2 == 0:
            svg.text(x, 90, str(abs(number)), "mid")
    svg.text(middle_x, 106, rule_words, "mid quiet")
    return str(svg)


def _bar(svg: Svg, low: float, middle: float, high: float, y: float) -> None:
    for x in (low, high):
        svg.line(x, y - 6, x, y + 6, "d-enamel d-thick")
    svg.line(low, y, high, y, "d-enamel d-thick")
    svg.circle(middle, y, 5.5, "d-enamelfill")


def _rule(svg: Svg, y: float) -> None:
    svg.rect(_LEFT, y, _RIGHT - _LEFT, _RULE, "d-brass d-thin")
