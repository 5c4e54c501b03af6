"""The year ribbon: every wood in its texture, doubt dashed, today through all."""

from __future__ import annotations

import re
from datetime import date, timedelta

from slipwright.outputs.charts.year import WIDTH, WoodRun, YearOfPlant, year_ribbon

STARTS, ENDS, ON = date(2025, 8, 1), date(2026, 7, 31), date(2025, 10, 20)


def run(wood: str = "softwood", opens: date = date(2026, 5, 1), sure: bool = True) -> WoodRun:
    closes = opens + timedelta(days=60)
    if not sure:
        return WoodRun(wood, opens, closes)
    return WoodRun(wood, opens, closes, opens + timedelta(days=18), closes - timedelta(days=18))


def drawn(*runs: WoodRun, **more: object) -> str:
    return year_ribbon(YearOfPlant(STARTS, ENDS, ON, runs, **more), "A year")  # type: ignore[arg-type]


def test_each_wood_has_its_own_texture_and_its_word() -> None:
    svg = drawn(run("softwood"), run("semi-hardwood"), run("hardwood", date(2025, 11, 10)))
    assert 'fill="url(#year-dots)"' in svg
    assert 'fill="url(#year-stripes)"' in svg
    assert 'class="d-wood d-line"' in svg
    for word in ("Softwood", "Semi-hardwood", "Hardwood"):
        assert word in svg


def test_a_run_that_is_never_sure_is_only_dashed() -> None:
    svg = drawn(run(sure=False))
    assert "d-dash" in svg
    assert 'fill="url(#year-dots)"' not in svg


def test_a_wood_that_does_not_come_in_the_year_is_not_named() -> None:
    assert "Softwood" not in drawn(run("softwood", date(2027, 5, 1)))


def test_bloom_is_as_tall_as_it_is_likely() -> None:
    def height(p: float) -> float:
        svg = drawn(bloom=tuple((STARTS + timedelta(days=4 * i), p) for i in range(20)))
        (d,) = re.findall(r'class="d-mallowmid d-line" d="([^"]+)"', svg)
        heights = [float(y) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", d)]
        return max(heights) - min(heights)

    assert height(0.9) > 2 * height(0.4) > 0
    assert "In bloom" not in drawn()


def test_too_near_bloom_is_hatched_and_named_only_where_there_is_a_gap() -> None:
    svg = drawn(too_near=((date(2026, 4, 25), date(2026, 5, 25)),))
    assert 'fill="url(#year-hatch)"' in svg
    assert "too near bloom" in svg
    assert 'fill="url(#year-hatch)"' not in drawn()


def test_today_stands_where_it_lies_in_the_year_and_this_month_is_strong() -> None:
    svg = drawn()
    ((x,),) = [re.findall(r'<line class="d-ink d-thick" x1="([\d.]+)"', svg)]
    assert abs(float(x) / WIDTH - 80 / 365) < 0.02
    assert "20 Oct" in svg
    assert '<text class="mid strong"' in svg


def test_words_are_given_and_escaped() -> None:
    svg = year_ribbon(
        YearOfPlant(STARTS, ENDS, ON, (run(),)),
        "A <year>",
        words={"softwood": "Madera <tierna>"},
        months=["e", "f", "m", "a", "m", "j", "j", "a", "s", "octubre", "n", "d"],
    )
    assert "Madera &lt;tierna&gt;" in svg
    assert 'aria-label="A &lt;year&gt;"' in svg
    assert "20 octubre" in svg


def test_nothing_leaves_the_drawing() -> None:
    svg = drawn(run("hardwood", date(2025, 6, 1)), run("hardwood", date(2026, 7, 1)))
    for x, width in re.findall(r'<rect [^>]*?x="([\d.-]+)"[^>]*? width="([\d.]+)"', svg):
        assert float(x) >= 0
        assert float(x) + float(width) <= WIDTH + 0.01
