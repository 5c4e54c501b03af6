"""How long a pot under a bag goes without water."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.rewetting import AIR_CHANGES_PER_H, DRIP_LOST, days_to_rewet, rewet_class, water_lost_g

CLASSES = ["under-a-week", "10-15-days", "weeks"]


@settings(max_examples=4, deadline=None)
@given(st.floats(5, 40), st.floats(20, 900))
def test_a_looser_tie_and_drip_that_is_lost_cost_water(tmax_c: float, light_w_m2: float) -> None:
    by_tie = [water_lost_g(tmax_c, light_w_m2, tie) for tie in AIR_CHANGES_PER_H]
    by_drip = [water_lost_g(tmax_c, light_w_m2, "tied", drip) for drip in DRIP_LOST]
    assert 0 < by_tie[0] < by_tie[1] < by_tie[2]
    assert 0 < by_drip[0] < by_drip[1] < by_drip[2]
    assert by_drip[1] == pytest.approx((by_drip[0] + by_drip[2]) / 2)


@given(st.floats(0.01, 1000), st.floats(1, 3))
def test_the_more_is_lost_the_sooner_it_is_wetted(lost_g: float, more: float) -> None:
    days, sooner = float(days_to_rewet(lost_g)), float(days_to_rewet(lost_g * more))
    assert sooner <= days
    assert CLASSES.index(rewet_class(sooner)) <= CLASSES.index(rewet_class(days))


def test_each_class_holds_what_its_name_says() -> None:
    assert {rewet_class(days) for days in (0.1, 5, 7)} == {"under-a-week"}
    assert {rewet_class(days) for days in (10, 12, 15)} == {"10-15-days"}
    assert {rewet_class(days) for days in (21, 53, 500)} == {"weeks"}


def test_a_cold_dark_day_still_loses_a_little() -> None:
    assert 0 < water_lost_g(-5, 0) < 1


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("tie", lambda: water_lost_g(20, 100, "knotted")),  # type: ignore[arg-type]
        ("drip", lambda: water_lost_g(20, 100, "tied", "gone")),  # type: ignore[arg-type]
        ("tmax_c", lambda: water_lost_g(60, 100)),
        ("light_w_m2", lambda: water_lost_g(20, 2000)),
        ("lost_g", lambda: days_to_rewet(0)),
        ("rewet_days", lambda: rewet_class(0)),
    ],
)
def test_what_will_not_do_is_named(said: str, asked: object) -> None:
    with pytest.raises(BadArgument) as error:
        asked()  # type: ignore[operator]
    assert error.value.argument == said
