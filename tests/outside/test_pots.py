"""Pots and medium against published and worked figures."""

from __future__ import annotations

import math

import pytest

from slipwright.craft.container import containers_needed, cuttings_per_container, round_pot_width_mm
from slipwright.craft.medium import medium_litres

# Seller's page on nursery pots, generic (row C001 of data/trade-values.csv): a trade gallon is 0.71 US
# liquid gallon; 1 US gallon = 3.785411784 L
TRADE_GALLON_ML = 0.71 * 3785.411784


def test_a_trade_gallon_is_2_69_litres() -> None:
    assert pytest.approx(2690, abs=5) == TRADE_GALLON_ML
    assert pytest.approx(164, abs=0.5) == TRADE_GALLON_ML / 16.387064


@pytest.mark.parametrize("spacing_mm", [45, 50, 55, 60])
def test_a_trade_gallon_holds_six_to_nine_cuttings(spacing_mm: float) -> None:
    """Hold to common practice, no source."""
    assert 6 <= cuttings_per_container(round_pot_width_mm(TRADE_GALLON_ML), spacing_mm) <= 9


def test_a_trade_gallon_at_the_usual_spacing_holds_six_to_nine() -> None:
    """Hold to common practice, no source."""
    assert 6 <= cuttings_per_container(round_pot_width_mm(TRADE_GALLON_ML)) <= 9


def test_medium_for_24_pots_is_the_worked_example() -> None:
    # Computed: pots 165 mm above, 130 mm below, 165 mm high, filled to .9, settling .10, waste .05,
    # shrinking .10: 71.4 L of blend; 70 L of blend are 39 L of each half.
    pot_ml = math.pi * 16.5 * (16.5**2 + 16.5 * 13 + 13**2) / 12
    need = medium_litres(24, pot_ml, {"perlite": 1, "vermiculite": 1})
    assert need.blend_l == pytest.approx(71.4, abs=0.05)
    assert need.parts_l["perlite"] / need.blend_l * 70 == pytest.approx(39, abs=0.2)
    assert need.parts_l["perlite"] == need.parts_l["vermiculite"]


def test_a_tray_of_105_cells_takes_a_thousand_in_ten() -> None:
    # GreenhouseGrower, Produce high-quality rooted cuttings: trays of 105 cells
    assert containers_needed(1000, 105) == 10
