"""A batch on the rule: what was counted as a line, what may come as one band under a ceiling."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from textwrap import wrap
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 360.0
HEIGHT: Final = 236.0
_LEFT: Final = 34.0
_RIGHT: Final = WIDTH - 10.0
_TOP: Final = 26.0
_FLOOR: Final = 176.0
_RULE: Final = 12.0
#: least room between the words at two dates on the rule
_DATE_WIDE: Final = 64.0
#: how wide a letter of the axis is, for keeping words apart
_LETTER: Final = 6.6
#: how wide a letter of the words beneath is at most, and how far their lines stand apart
_BAND_LETTER: Final = 7.4
_LINE: Final = 18.0
_STEPS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)

Seen = tuple[date, int]
Coming = tuple[date, int, int, int]


@dataclass(frozen=True, slots=True)
class ForecastWords:
    """What stands in the chart, already in the reader's language."""

    title: str
    today: str
    ceiling: str
    band: str


def forecast_chart(
    *,
    n_stuck: int,
    n_most: int,
    stuck_on: date,
    on: date,
    seen: Sequence[Seen],
    coming: Sequence[Coming],
    words: ForecastWords,
    day_words: Callable[[date], str],
) -> str:
    """Return the chart of one batch: cuttings rooted by day.

    Parameters
    ----------
    n_stuck : int
        Cuttings stuck; the top of the scale [1].
    n_most : int
        Rooted and still waiting together: no forecast passes it [1].
    stuck_on : date
        Day of sticking, where the rule begins.
    on : date
        Today.
    seen : sequence of (date, int)
        Rooted in all at each look, in the order of days [1].
    coming : sequence of (date, int, int, int)
        The 10, 50 and 90 per cent points of rooted by day, from today on [1]; empty for a batch that has
        ended.
    words : ForecastWords
        What stands in it.
    day_words : callable
        How a day is written on the rule.

    Returns
    -------
    str
        An SVG drawing: looks as dots on a line, one band with a dashed outline, the ceiling dashed.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> words = ForecastWords("Rooted by day", "today", "9 at most", "8 times in 10")
    >>> chart = forecast_chart(n_stuck=9, n_most=9, stuck_on=date(2026, 10, 1), on=date(2026, 10, 20),
    ...     seen=[(date(2026, 10, 1), 0)], coming=[(date(2026, 10, 20), 0, 0, 0)], words=words,
    ...     day_words=lambda day: f"{day.day}.{day.month}.")
    >>> chart.startswith("<svg"), "9 at most" in chart
    (True, True)
    """
    days = [*(one[0] for one in seen), *(one[0] for one in coming)]
    last_on = max([stuck_on + timedelta(days=14), on, *days])
    scale = _Scale(stuck_on, (last_on - stuck_on).days, max(n_stuck, n_most, 1))
    more = (len(_lines(words.band)) - 1) * _LINE
    svg = Svg(WIDTH, HEIGHT + more if coming else HEIGHT - 22, words.title)
    _axis(svg, scale)
    if coming:
        _band(svg, scale, coming)
        _ceiling(svg, scale, n_most, on, words.ceiling, seen[-1][1] if seen else 0)
    _line_of_today(svg, scale, on, words.today)
    _counted(svg, scale, seen, on)
    if coming:
        _words_of_band(svg, words.band)
    _rule(svg, scale, on, day_words)
    return str(svg)


@dataclass(frozen=True, slots=True)
class _Scale:
    start: date
    n_days: int
    most: int

    def x(self, day: date) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (day - self.start).days / self.n_days

    def y(self, n: float) -> float:
        return _FLOOR - (_FLOOR - _TOP) * n / self.top

    @property
    def step(self) -> int:
        return next((step for step in _STEPS if self.most <= 4 * step), _STEPS[-1])

    @property
    def top(self) -> int:
        return max(self.most, self.step)


def _axis(svg: Svg, scale: _Scale) -> None:
    for n in range(0, scale.top + 1, scale.step):
        y = scale.y(n)
        svg.line(_LEFT, y, _RIGHT, y, "d-hair d-thin")
        svg.text(_LEFT - 7, y + 4.5, str(n), "end")


def _band(svg: Svg, scale: _Scale, coming: Sequence[Coming]) -> None:
    upper = [(scale.x(day), scale.y(p90)) for day, _, _, p90 in coming]
    lower = [(scale.x(day), scale.y(p10)) for day, p10, _, _ in coming]
    svg.through([*upper, *lower[::-1]], "d-enamelwash d-line d-dash", closed=True)
    svg.through([(scale.x(day), scale.y(p50)) for day, _, p50, _ in coming], "d-enamel d-thick")


def _ceiling(svg: Svg, scale: _Scale, n_most: int, on: date, words: str, n_seen: int) -> None:
    """Draw how many are left to root; its words stand before today, above the line where looks come near."""
    x, y = scale.x(on), scale.y(n_most)
    svg.line(x, y, _RIGHT, y, "d-madder d-line d-dash")
    if x - _LEFT > _LETTER * len(words) + 8:
        svg.text(x - 7, y + 4.5 if scale.y(n_seen) - y > 16 else y - 7, words, "end t-lost")
    else:
        svg.text(_RIGHT, y - 5, words, "end t-lost")


def _line_of_today(svg: Svg, scale: _Scale, on: date, words: str) -> None:
    x = scale.x(on)
    svg.line(x, _TOP - 8, x, _FLOOR + _RULE, "d-ink d-line")
    if x + _LETTER * len(words) > _RIGHT:
        svg.text(x - 4, _TOP - 12, words, "strong end")
    else:
        svg.text(max(x - 2, _LEFT), _TOP - 12, words, "strong")


def _counted(svg: Svg, scale: _Scale, seen: Sequence[Seen], on: date) -> None:
    """Draw the looks as dots on a line; after the last one the line is broken, for nothing is known."""
    points = [(scale.x(day), scale.y(n)) for day, n in seen if day <= on]
    if not points:
        return
    svg.through([points[-1], (scale.x(on), points[-1][1])], "d-ink d-thin d-dash")
    svg.through(points, "d-ink d-thick")
    for x, y in points[1:]:
        svg.circle(x, y, 4.5, "d-solid")


def _lines(words: str) -> list[str]:
    return wrap(words, int((_RIGHT - _LEFT - 30) / _BAND_LETTER)) or [words]


def _words_of_band(svg: Svg, words: str) -> None:
    """Say beneath the dates what the band is, beside a piece of it: within, it would hide what is drawn."""
    y = HEIGHT - 16
    svg.rect(_LEFT, y, 22, 11, "d-enamelwash d-line d-dash")
    for i, line in enumerate(_lines(words)):
        svg.text(_LEFT + 30, y + 10 + i * _LINE, line)


def _rule(svg: Svg, scale: _Scale, on: date, day_words: Callable[[date], str]) -> None:
    """Draw the brass rule: a tick a week, a longer one where a date stands beneath."""
    svg.rect(_LEFT, _FLOOR, _RIGHT - _LEFT, _RULE, "d-brass d-thin")
    for week in range(0, scale.n_days + 1, _tick_days(scale)):
        x = scale.x(scale.start + timedelta(days=week))
        svg.line(x, _FLOOR, x, _FLOOR + 5, "d-brass d-thin")
    n_dates = max(int((_RIGHT - _LEFT) // (1.4 * _DATE_WIDE)), 2)
    step = max(-(-scale.n_days // n_dates), 1)
    days = [scale.start + timedelta(days=i) for i in range(0, scale.n_days + 1, step)]
    for i, day in enumerate(days):
        x = scale.x(day)
        svg.line(x, _FLOOR, x, _FLOOR + _RULE, "d-brass d-thin")
        if i == 0:
            svg.text(_LEFT - 4, _FLOOR + _RULE + 17, day_words(day))
        elif x + _DATE_WIDE / 3 > _RIGHT:
            svg.text(_RIGHT, _FLOOR + _RULE + 17, day_words(day), "end")
        else:
            svg.text(x, _FLOOR + _RULE + 17, day_words(day), "mid")


def _tick_days(scale: _Scale) -> int:
    return 1 if scale.n_days <= 60 else 7
