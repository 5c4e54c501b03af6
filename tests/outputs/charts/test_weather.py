"""A bar a day, drawn by how it is known."""

from __future__ import annotations

import re
from datetime import date, timedelta

from slipwright.outputs.charts.weather import DayBar, KnownBy, weather_chart

FIRST = date(2026, 5, 1)


def chart(*days: tuple[float, float, KnownBy], first: str = "metric") -> str:
    bars = [DayBar(FIRST + timedelta(n), low, high, by) for n, (low, high, by) in enumerate(days)]
    return weather_chart(bars, "Days", first=first, day_words=lambda on: f"{on:%d.%m}")  # type: ignore[arg-type]


def test_each_way_of_knowing_has_its_own_bar() -> None:
    drawn = chart((4, 14, "seen"), (5, 15, "usual"), (6, 16, "forecast"))
    assert re.findall(r'<rect class="([^"]+)"', drawn) == [
        "d-enamelfill",
        "d-edge d-line d-dash",
        "d-enamel d-line",
    ]


def test_a_line_marks_freezing_only_where_it_lies_among_the_days() -> None:
    assert "d-dash" in chart((-5, 5, "seen"), (-4, 9, "seen"))
    assert "d-dash" not in chart((1, 5, "seen"), (2, 9, "seen"))


def test_warmest_and_coldest_are_written_in_the_gardens_measure() -> None:
    assert "14 °C" in chart((4, 14, "seen"), (5, 9, "seen"))
    assert "57 °F" in chart((4, 14, "seen"), (5, 9, "seen"), first="us")


def test_a_week_is_a_tick_and_every_bar_stays_inside() -> None:
    drawn = chart(*[(float(n), float(n + 9), "seen") for n in range(35)])
    assert drawn.count("01.05") == 1
    assert len(re.findall(r"<text[^>]*>\d\d\.05</text>", drawn)) == 5
    for x, width in re.findall(r'<rect [^>]*x="([\d.]+)"[^>]*width="([\d.]+)"', drawn):
        assert 0 <= float(x) <= float(x) + float(width) <= 330


def test_one_day_as_warm_as_cold_is_still_a_mark() -> None:
    assert 'height="1.5"' in chart((4, 4, "seen"))
    assert "<rect" not in weather_chart([], "None", day_words=str)
