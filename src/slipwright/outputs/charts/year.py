"""Twelve months of a plant on the brass rule: its bloom, its woods, and today through them all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from slipwright.craft.days import MONTHS
from slipwright.outputs.svg import Svg

WIDTH: Final = 330.0
"""Width of the chart [user units]."""
HEIGHT: Final = 286.0
"""Height of the chart [user units]."""
_LEFT: Final = 6.0
_TOP: Final = 30.0  # foot of today's flag
_BLOOM_FOOT: Final = 92.0
_BLOOM_TALL: Final = 42.0
_LANES: Final = {"softwood": 116.0, "semi-hardwood": 166.0, "hardwood": 216.0}
_BAR: Final = 26.0
_RULE: Final = 252.0
_DEEP: Final = 14.0
_LETTER: Final = 7.0  # width of a letter at the size the pages give to words in a drawing
_WORDS: Final = {
    "softwood": "Softwood",
    "semi-hardwood": "Semi-hardwood",
    "hardwood": "Hardwood",
    "bloom": "In bloom",
    "taller": "taller = likelier",
    "too_near": "too near bloom",
}


@dataclass(frozen=True, slots=True)
class WoodRun:
    """A run of days in which a wood is more likely right than not, surely so between the inner two."""

    wood: str
    opens_on: date
    closes_on: date
    sure_from: date | None = None
    sure_to: date | None = None


@dataclass(frozen=True, slots=True)
class YearOfPlant:
    """What the ribbon shows: ``bloom`` holds days and the chance of bloom on them."""

    starts_on: date
    ends_on: date
    on: date
    runs: tuple[WoodRun, ...] = ()
    bloom: tuple[tuple[date, float], ...] = ()
    too_near: tuple[tuple[date, date], ...] = ()


def year_ribbon(
    year: YearOfPlant,
    title: str,
    *,
    words: Mapping[str, str] | None = None,
    months: Sequence[str] = MONTHS,
) -> str:
    """Return twelve months of a plant on a brass rule.

    Parameters
    ----------
    year : YearOfPlant
        First and last day, today, the runs of each wood, the bloom, and the days too near it.
    title : str
        What is seen, in a sentence.
    words : mapping of str to str, optional
        Words for the three woods, ``bloom``, ``taller`` and ``too_near``.
    months : sequence of str
        Twelve short names of months; their first letters stand under the rule.

    Returns
    -------
    str
        SVG: bloom as a hump as tall as it is likely, hatching where it is too near bloom, softwood
        dotted, semi-hardwood striped, hardwood solid, ends dashed where in doubt, today's line.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> run = WoodRun("hardwood", date(2026, 11, 10), date(2027, 2, 25))
    >>> year = YearOfPlant(date(2026, 9, 1), date(2027, 8, 31), date(2026, 11, 4), (run,))
    >>> "Hardwood" in year_ribbon(year, "Hardwood is next")
    True
    """
    words = {**_WORDS, **(words or {})}
    svg = Svg(WIDTH, HEIGHT, title, kind="d-year")
    svg.pattern("year-dots", 7, '<circle class="d-enamelfill" cx="3.5" cy="3.5" r="1.7"/>')
    svg.pattern("year-stripes", 9, '<rect class="d-woodstripe" width="4.5" height="9"/>', turn=35)
    svg.pattern("year-hatch", 7, '<path class="d-mallow d-thin" d="M0 0V7"/>', turn=45)
    scale = _Scale(year)
    _draw_too_near(svg, scale, year)
    _draw_bloom(svg, scale, year, words)
    lanes = {wood: _shown(scale, year.runs, wood) for wood in _LANES}
    for wood, runs in lanes.items():
        _draw_lane(svg, scale, runs, _LANES[wood])
    _draw_rule(svg, scale, year, months)
    _draw_today(svg, scale, year.on, months)
    for wood, runs in lanes.items():
        _name_lane(svg, scale, runs, _LANES[wood], words[wood])
    _name_too_near(svg, scale, year, words["too_near"])
    return str(svg)


class _Scale:
    """Where a day lies across the ribbon."""

    def __init__(self, year: YearOfPlant) -> None:
        self._first = year.starts_on
        self._per_day = (WIDTH - 2 * _LEFT) / ((year.ends_on - year.starts_on).days + 1)

    def at(self, day: date) -> float:
        """Return the place of the morning of a day, held to the ribbon."""
        return min(max(_LEFT + (day - self._first).days * self._per_day, _LEFT), WIDTH - _LEFT)

    def after(self, day: date) -> float:
        """Return the place of the evening of a day."""
        return self.at(day + timedelta(days=1))


def _draw_too_near(svg: Svg, scale: _Scale, year: YearOfPlant) -> None:
    for first, last in year.too_near:
        left, right = scale.at(first), scale.after(last)
        if right - left < 1:
            continue
        svg.part(
            "rect", x=left, y=_TOP + 20, width=right - left, height=_RULE - _TOP - 20, fill="url(#year-hatch)"
        )
        for x in (left, right):
            svg.line(x, _TOP + 20, x, _RULE, "d-mallow d-line d-dash")


def _name_too_near(svg: Svg, scale: _Scale, year: YearOfPlant, word: str) -> None:
    if year.too_near:
        first, last = max(year.too_near, key=lambda span: scale.after(span[1]) - scale.at(span[0]))
        _label(svg, (scale.at(first) + scale.after(last)) / 2, _RULE - 4, word, "t-mallow")


def _draw_bloom(svg: Svg, scale: _Scale, year: YearOfPlant, words: Mapping[str, str]) -> None:
    likely = [(day, p) for day, p in year.bloom if p >= 0.01]
    if not likely:
        return
    svg.text(_LEFT, 14, words["bloom"], "strong halo")
    svg.text(_LEFT + (len(words["bloom"]) + 1) * _LETTER + 2, 14, words["taller"], "quiet halo")
    points = [(scale.at(day), _BLOOM_FOOT - _BLOOM_TALL * p) for day, p in year.bloom]
    outline = [(points[0][0], _BLOOM_FOOT), *points, (points[-1][0], _BLOOM_FOOT)]
    svg.through(outline, "d-mallowmid d-line", closed=True)


def _shown(scale: _Scale, runs: Sequence[WoodRun], wood: str) -> list[WoodRun]:
    return [run for run in runs if run.wood == wood and _width(scale, run) > 1]


def _width(scale: _Scale, run: WoodRun) -> float:
    return scale.after(run.closes_on) - scale.at(run.opens_on)


def _draw_lane(svg: Svg, scale: _Scale, runs: Sequence[WoodRun], top: float) -> None:
    for run in runs:
        left, right = scale.at(run.opens_on), scale.after(run.closes_on)
        svg.rect(left, top, right - left, _BAR, "d-sheet d-outline d-line d-dash")
        if run.sure_from is None or run.sure_to is None:
            continue
        inner, outer = scale.at(run.sure_from), scale.after(run.sure_to)
        if outer - inner < 1:
            continue
        _textured(svg, run.wood, inner, top, outer - inner)


def _name_lane(svg: Svg, scale: _Scale, runs: Sequence[WoodRun], top: float, word: str) -> None:
    """Write the wood above its widest run, over today's line."""
    if runs:
        widest = max(runs, key=lambda run: _width(scale, run))
        middle = (scale.at(widest.opens_on) + scale.after(widest.closes_on)) / 2
        _label(svg, middle, top - 5, word, "strong")


def _textured(svg: Svg, wood: str, x: float, y: float, width: float) -> None:
    if wood == "hardwood":
        svg.rect(x, y, width, _BAR, "d-wood d-line")
        return
    svg.rect(x, y, width, _BAR, "d-sheet")
    fill = "url(#year-dots)" if wood == "softwood" else "url(#year-stripes)"
    svg.part("rect", x=x, y=y, width=width, height=_BAR, fill=fill)
    svg.rect(x, y, width, _BAR, "d-enamel d-line" if wood == "softwood" else "d-outline d-line")


def _draw_rule(svg: Svg, scale: _Scale, year: YearOfPlant, months: Sequence[str]) -> None:
    svg.rect(_LEFT, _RULE, WIDTH - 2 * _LEFT, _DEEP, "d-brass d-thin")
    for first in _firsts(year.starts_on, year.ends_on):
        x = scale.at(first)
        svg.line(x, _RULE, x, _RULE + 9, "d-tick d-line")
        mid = first + timedelta(days=15)
        for day in (first + timedelta(days=7), mid, first + timedelta(days=22)):
            if day <= year.ends_on:
                svg.line(scale.at(day), _RULE, scale.at(day), _RULE + 4, "d-tick d-thin")
        here = (first.year, first.month) == (year.on.year, year.on.month)
        name = months[first.month - 1][:1].upper()
        svg.text(scale.at(mid), _RULE + _DEEP + 15, name, "mid strong" if here else "mid")


def _draw_today(svg: Svg, scale: _Scale, on: date, months: Sequence[str]) -> None:
    word = f"{on.day} {months[on.month - 1]}"
    x = (scale.at(on) + scale.after(on)) / 2
    wide = len(word) * _LETTER + 14
    left = min(max(x - wide / 2, 0), WIDTH - wide)
    svg.line(x, _TOP, x, _RULE + _DEEP, "d-ink d-thick")
    svg.rect(left, _TOP - 9, wide, 20, "d-solid")
    svg.text(left + wide / 2, _TOP + 5.5, word, "mid strong on-ink")


def _label(svg: Svg, middle: float, y: float, word: str, look: str) -> None:
    """Write a word about a middle, held to the ribbon."""
    half = len(word) * _LETTER / 2 + 2
    svg.text(min(max(middle, half), WIDTH - half), y, word, f"mid halo {look}")


def _firsts(starts_on: date, ends_on: date) -> list[date]:
    months = range(starts_on.year * 12 + starts_on.month - 1, ends_on.year * 12 + ends_on.month)
    return [date(month // 12, month % 12 + 1, 1) for month in months]
