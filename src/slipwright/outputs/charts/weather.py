"""The lowest and highest of days: a bar a day, drawn by how it is known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from slipwright.outputs.measures import First
from slipwright.outputs.svg import Svg

WIDTH: Final = 330.0
"""Width of the chart [user units]."""
HEIGHT: Final = 150.0
"""Height of the chart [user units]."""
KnownBy = Literal["seen", "forecast", "usual"]
_LEFT: Final = 44.0
_RIGHT: Final = 6.0
_TOP: Final = 14.0
_FOOT: Final = 122.0
#: a day seen is a full bar, one forecast is open, one as usual is open and dashed
_LOOKS: Final[dict[KnownBy, str]] = {
    "seen": "d-enamelfill",
    "forecast": "d-enamel d-line",
    "usual": "d-edge d-line d-dash",
}


@dataclass(frozen=True, slots=True)
class DayBar:
    """One day.

    Parameters
    ----------
    on : date
        The day.
    low_c, high_c : float
        Its lowest and highest temperature [°C].
    known_by : {"seen", "forecast", "usual"}
        How they are known.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> DayBar(date(2026, 5, 1), 4, 14, "seen").known_by
    'seen'
    """

    on: date
    low_c: float
    high_c: float
    known_by: KnownBy


def weather_chart(
    days: Sequence[DayBar],
    title: str,
    *,
    first: First = "metric",
    day_words: Callable[[date], str],
) -> str:
    """Return days as bars from lowest to highest, with a line at freezing where it lies among them.

    Parameters
    ----------
    days : sequence of DayBar
        The days in order [date].
    title : str
        What is seen, in a sentence.
    first : {"metric", "us"}
        Degrees Celsius or Fahrenheit at the left.
    day_words : callable
        Says a day in few letters, for the foot.

    Returns
    -------
    str
        SVG: full bars for days seen, open ones for those forecast, dashed ones for those as usual.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> bars = [DayBar(date(2026, 5, n), 4, 14, "seen") for n in range(1, 8)]
    >>> weather_chart(bars, "A week", day_words=str).count("<rect")
    7
    """
    svg = Svg(WIDTH, HEIGHT, title, kind="d-weather")
    if not days:
        return str(svg)
    low, high = min(day.low_c for day in days), max(day.high_c for day in days)
    reach = (high - low) or 1.0
    step = (WIDTH - _LEFT - _RIGHT) / len(days)

    def y(c: float) -> float:
        return _FOOT - (c - low) / reach * (_FOOT - _TOP)

    svg.text(0, _TOP + 5, _degrees(high, first))
    svg.text(0, _FOOT, _degrees(low, first))
    for nth, day in enumerate(days):
        x = _LEFT + nth * step
        tall = max(y(day.low_c) - y(day.high_c), 1.5)
        svg.rect(x + step * 0.2, y(day.high_c), step * 0.6, tall, _LOOKS[day.known_by])
        if nth % 7 == 0:
            svg.line(x + step / 2, _FOOT + 4, x + step / 2, _FOOT + 9, "d-edge d-thin")
            svg.text(min(x, WIDTH - 48), _FOOT + 23, day_words(day.on))
    if low < 0 < high:
        svg.line(_LEFT, y(0), WIDTH - _RIGHT, y(0), "d-ink d-thin d-dash")
        if min(y(0) - _TOP, _FOOT - y(0)) > 16:
            svg.text(0, y(0) + 5, _degrees(0, first))
    return str(svg)


def _degrees(c: float, first: First) -> str:
    return f"{1.8 * c + 32:.0f} °F" if first == "us" else f"{c:.0f} °C"
