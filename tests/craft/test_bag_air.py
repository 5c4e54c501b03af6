"""What passes the film of a bag, and whether the cuttings in it can breathe."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.bag_air import breath, respired_ml_d, water_permeance_g_m2_d_kpa
from slipwright.craft.errors import BadArgument


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(0, 45))
def test_film_twice_as_thick_lets_half_as_much_water_through(tested: float, mil: float, at_c: float) -> None:
    through = water_permeance_g_m2_d_kpa(tested, mil, at_c)
    assert water_permeance_g_m2_d_kpa(tested, 2 * mil, at_c) == pytest.approx(through / 2)
    assert water_permeance_g_m2_d_kpa(tested, mil, at_c + 1) > through


@given(st.floats(0, 500), st.floats(0, 500), st.floats(0, 40))
def test_breath_grows_with_the_weight(rate: float, cuttings_g: float, air_c: float) -> None:
    once = respired_ml_d(rate, cuttings_g, air_c)
    assert respired_ml_d(rate, 2 * cuttings_g, air_c) == pytest.approx(2 * once)


@given(st.floats(1, 200), st.floats(0, 40), st.floats(0.01, 10))
def test_air_that_is_changed_more_is_better(cuttings_g: float, changes: float, more: float) -> None:
    close, open_ = (breath(cuttings_g, air_changes_per_h=n) for n in (changes, changes + more))
    assert open_.o2_lost[1] < close.o2_lost[1]
    assert close.o2_lost[0] <= close.o2_lost[1]
    assert close.co2_gained[0] <= close.co2_gained[1] <= 100


def test_a_tied_bag_has_air_enough_and_a_welded_one_only_if_lightly_filled() -> None:
    assert breath(200).is_enough
    assert breath(25, air_changes_per_h=0).is_enough
    assert not breath(50, air_changes_per_h=0, mg_co2_per_kg_h=150).is_enough
    assert [breath(grams, air_changes_per_h=0).is_enough for grams in (30, 32)] == [True, False]
    assert breath(50, air_changes_per_h=0, mg_co2_per_kg_h=150, film_mil=0.5).is_enough


@pytest.mark.parametrize("said", ["cuttings_g", "mg_co2_per_kg_h", "film_mil", "air_changes_per_h"])
def test_what_will_not_do_is_named(said: str) -> None:
    with pytest.raises(BadArgument, match=said):
        breath(**{"cuttings_g": 25, said: -1})  # type: ignore[arg-type]
