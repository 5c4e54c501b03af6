"""The chart of one batch: what was counted, the one band, the ceiling, today."""

from __future__ import annotations

import re
from datetime import date, timedelta

from slipwright.outputs.charts.forecast import ForecastWords, forecast_chart

STUCK_ON = date(2026, 8, 10)
TODAY = date(2026, 9, 10)
WORDS = ForecastWords("Rooted by day", "today", "20 at most", "8 times in 10 inside the dashed band")
SEEN = [(STUCK_ON, 0), (date(2026, 8, 25), 3), (date(2026, 9, 3), 8)]
COMING = [(TODAY + timedelta(days=i), 8, 8 + i // 3, min(8 + i, 20)) for i in range(22)]


def _day(day: date) -> str:
    return f"{day.day}.{day.month}."


def _chart(**changes: object) -> str:
    told: dict[str, object] = {
        "n_stuck": 24,
        "n_most": 20,
        "stuck_on": STUCK_ON,
        "on": TODAY,
        "seen": SEEN,
        "coming": COMING,
        "words": WORDS,
        "day_words": _day,
    }
    return forecast_chart(**(told | changes))  # type: ignore[arg-type]


def _ys(path: str) -> list[float]:
    return [float(point.split()[1]) for point in path.strip("MZ").split("L")]


def test_each_look_is_one_dot_and_the_band_is_one() -> None:
    chart = _chart()
    assert chart.count("<circle") == len(SEEN) - 1
    assert len(re.findall(r"<path[^>]*d-enamelwash", chart)) == 1


def test_the_band_never_passes_the_ceiling() -> None:
    chart = _chart()
    (band,) = re.findall(r'<path class="d-enamelwash[^>]*d="([^"]+)"', chart)
    (ceiling,) = re.findall(r'd-madder[^>]*y1="([\d.]+)"', chart)
    assert min(_ys(band)) >= float(ceiling)


def test_it_says_what_the_ceiling_the_band_and_today_are() -> None:
    chart = _chart()
    for words in (WORDS.today, WORDS.ceiling, WORDS.band, WORDS.title, "10.8."):
        assert words in chart


def test_a_batch_that_has_ended_has_no_band_and_no_ceiling() -> None:
    chart = _chart(coming=[])
    assert "d-enamelwash" not in chart
    assert WORDS.ceiling not in chart
    assert WORDS.band not in chart
    assert chart.count("<circle") == len(SEEN) - 1


def test_everything_stands_inside_the_drawing_whatever_the_numbers() -> None:
    for n_stuck, n_most, on in (
        (1, 1, STUCK_ON),
        (5000, 4990, TODAY),
        (9, 12, STUCK_ON + timedelta(days=400)),
    ):
        coming = [(on + timedelta(days=i), 0, 0, min(n_most, i)) for i in range(60)]
        chart = _chart(n_stuck=n_stuck, n_most=n_most, on=on, seen=[(STUCK_ON, 0)], coming=coming)
        width, height = (float(side) for side in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', chart)[0])
        assert all(-1 <= float(x) <= width for x in re.findall(r' x[12]?="(-?[\d.]+)"', chart))
        assert all(0 <= float(y) <= height for y in re.findall(r' y[12]?="(-?[\d.]+)"', chart))


def test_no_word_in_it_is_taken_for_markup_and_no_style_is_set() -> None:
    chart = _chart(words=ForecastWords("<b>", "today", "a & b", "band"))
    assert "<b>" not in chart
    assert "a &amp; b" in chart
    assert "style=" not in chart


def test_words_of_the_band_that_are_long_take_a_second_line_inside_the_drawing() -> None:
    long = "8 de cada 10 veces dentro de la banda discontinua"
    chart = _chart(words=ForecastWords("Rooted by day", "today", "20 at most", long))
    assert long not in chart
    assert "8 de cada 10 veces dentro de la" in chart
    height = float(re.search(r'viewBox="0 0 360 ([0-9.]+)"', chart)[1])  # type: ignore[index]
    assert height > float(re.search(r'viewBox="0 0 360 ([0-9.]+)"', _chart())[1])  # type: ignore[index]
