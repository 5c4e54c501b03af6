"""Measures in words."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.outputs.measures import (
    area_text,
    day_text,
    length_text,
    one_area_text,
    temperature_text,
    volume_text,
)


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (0, "0 mm (0 in)"),
        (3, "3 mm (⅛ in)"),
        (6, "6 mm (¼ in)"),
        (25.4, "2.5 cm (1 in)"),
        (96, "9.5 cm (3¾ in)"),
        (120, "12 cm (4¾ in)"),
        (500, "50 cm (19¾ in)"),
        (1000, "1 m (3 ft 3 in)"),
        (1829, "1.83 m (6 ft)"),
    ],
)
def test_lengths(mm: float, words: str) -> None:
    assert length_text(mm) == words


def test_a_range_says_its_unit_once() -> None:
    assert length_text(75, 125) == "7.5 to 12.5 cm (3 to 5 in)"
    assert length_text(8, 25) == "8 mm to 2.5 cm (⅜ to 1 in)"
    assert length_text(119, 121) == "12 cm (4¾ in)"


@pytest.mark.parametrize(
    ("litres", "words"),
    [
        (0.0025, "2.5 ml (⅛ US fl oz)"),
        (0.03, "30 ml (1 US fl oz)"),
        (0.5, "500 ml (½ US qt)"),
        (0.9999, "1 L (1 US qt)"),
        (2.8, "2.8 L (3 US qt)"),
        (20, "20 L (5¼ US gal)"),
        (400, "400 L (106 US gal)"),
    ],
)
def test_volumes(litres: float, words: str) -> None:
    assert volume_text(litres) == words


def test_temperatures() -> None:
    assert temperature_text(18, 24) == "18 to 24 °C (64 to 75 °F)"
    assert temperature_text(-5) == "−5 °C (23 °F)"


def test_one_setting_turns_the_measures_round() -> None:
    assert length_text(120, first="us") == "4¾ in (12 cm)"
    assert temperature_text(20, first="us") == "68 °F (20 °C)"


@pytest.mark.parametrize("bad", [-1, float("nan"), float("inf")])
def test_a_length_that_is_none_is_refused(bad: float) -> None:
    with pytest.raises(BadArgument, match="mm must be a number of at least 0"):
        length_text(bad)


def test_a_range_that_runs_backwards_is_refused() -> None:
    with pytest.raises(BadArgument, match="to_litres must be at least"):
        volume_text(2, 1)


@given(st.floats(0.6, 5000))
@settings(deadline=None)
def test_a_length_that_is_not_nought_is_never_said_to_be(mm: float) -> None:
    metric, inches = length_text(mm).rstrip(")").split(" (")
    assert not metric.startswith("0 ")
    assert not inches.startswith("0 ")


def test_days_stand_as_on_a_label() -> None:
    assert day_text(date(2026, 9, 10)) == "10 Sep 2026"


@pytest.mark.parametrize(
    ("m2", "words"),
    [
        (0, "0 m² (0 ft²)"),
        (0.01, "0.01 m² (0.1 ft²)"),
        (0.45, "0.45 m² (4.8 ft²)"),
        (9.999, "10 m² (108 ft²)"),
        (12.34, "12.3 m² (133 ft²)"),
    ],
)
def test_areas(m2: float, words: str) -> None:
    assert area_text(m2) == words


def test_an_area_stands_alone_or_the_other_way_round() -> None:
    assert area_text(20, first="us") == "215 ft² (20 m²)"
    assert (one_area_text(20), one_area_text(20, units="us")) == ("20 m²", "215 ft²")
    with pytest.raises(BadArgument, match="m2"):
        area_text(-1)
