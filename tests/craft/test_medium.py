"""Mixing, wetting, draining."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.medium import (
    MEDIA,
    SHRINK_RANGE,
    Retention,
    drain_test,
    medium_litres,
    pot_volume_ml,
    retention_of_test,
    water_after_draining,
    water_at,
    water_in_bag,
    wetting_water_l,
)

SHARES = st.floats(0, 0.9)
HEIGHTS = st.floats(10, 1500)
RETENTIONS = st.builds(
    Retention,
    held=st.floats(0, 0.3),
    full=st.floats(0.4, 1),
    alpha_per_cm=st.floats(0.001, 10),
    steep=st.one_of(st.floats(1.05, 10), st.sampled_from([1.5, 2.0, 3.0, 5.0, 10.0])),
)


def test_medium_follows_the_sum() -> None:
    need = medium_litres(
        10, 1000, {"perlite": 3, "peat": 1}, fill=1, settle=0, waste=0, shrink=0.2, water_before=0.01
    )
    assert need.blend_l == pytest.approx(10)
    assert need.parts_l == pytest.approx({"perlite": 9.375, "peat": 3.125})
    assert need.water_l == pytest.approx(4.4)


def test_one_part_alone_does_not_shrink() -> None:
    need = medium_litres(10, 1000, {"perlite": 1, "peat": 0})
    assert need.parts_l == pytest.approx({"perlite": need.blend_l, "peat": 0.0})


def test_no_pots_take_no_medium() -> None:
    assert medium_litres(0, 1000, {"perlite": 1}).blend_l == 0.0


def test_medium_already_wet_takes_no_water() -> None:
    assert medium_litres(1, 1000, {"peat": 1}, water_before=0.6).water_l == 0.0


def test_moist_peat_from_the_bag_takes_less_water_than_dry_perlite() -> None:
    assert water_in_bag({"Sphagnum peat": 1}) == pytest.approx(0.20)
    wet = [medium_litres(10, 1000, {part: 1}).water_l for part in ("peat", "perlite")]
    assert wet[0] < wet[1]


@given(st.integers(1, 500), st.floats(10, 5000), SHARES, SHARES, st.floats(0, 1), SHARES)
def test_parts_are_never_less_than_the_mix(
    n: int, volume_ml: float, fill: float, settle: float, waste: float, shrink: float
) -> None:
    need = medium_litres(n, volume_ml, {"a": 2, "b": 1}, fill=fill, settle=settle, waste=waste, shrink=shrink)
    assert sum(need.parts_l.values()) * (1 - shrink) == pytest.approx(need.blend_l)
    assert need.parts_l["a"] == pytest.approx(2 * need.parts_l["b"])
    assert need.water_l <= 0.45 * need.blend_l


def test_the_range_of_shrinking_is_within_a_tenth_of_the_usual() -> None:
    usual = medium_litres(24, 2830, {"a": 1, "b": 1}).parts_l["a"]
    for shrink in SHRINK_RANGE:
        at_the_end = medium_litres(24, 2830, {"a": 1, "b": 1}, shrink=shrink).parts_l["a"]
        assert at_the_end == pytest.approx(usual, rel=0.13)


@given(st.floats(2, 500), st.floats(2, 500), st.floats(2, 500))
def test_a_tapered_pot_lies_between_the_straight_pots_of_its_ends(
    top_mm: float, bottom_mm: float, height_mm: float
) -> None:
    ends = sorted(math.pi * width**2 / 4 * height_mm / 1000 for width in (top_mm, bottom_mm))
    found = float(pot_volume_ml(top_mm, bottom_mm, height_mm))
    assert ends[0] * (1 - 1e-12) <= found <= ends[1] * (1 + 1e-12)
    assert pot_volume_ml(bottom_mm, top_mm, height_mm) == pytest.approx(found)


@given(st.floats(1, 1e5), st.floats(0.01, 1), st.floats(0, 1))
def test_pores_are_air_and_water(volume_ml: float, filled: float, ran_out: float) -> None:
    found = drain_test(volume_ml, volume_ml * filled, volume_ml * filled * ran_out)
    assert found.air_space + found.container_capacity == pytest.approx(found.porosity)
    assert 0 <= found.air_space <= found.porosity <= 1 + 1e-12


@settings(deadline=None, max_examples=60)
@given(RETENTIONS, HEIGHTS, st.floats(1, 400))
def test_a_higher_pot_holds_less_water_and_more_air(
    medium: Retention, height_mm: float, more_mm: float
) -> None:
    low, high = water_after_draining(medium, [height_mm, height_mm + more_mm])
    assert medium.held - 1e-9 <= high <= low + 1e-9
    assert low <= medium.full + 1e-9


@settings(deadline=None, max_examples=60)
@given(RETENTIONS, HEIGHTS, st.floats(20, 300), st.floats(20, 300))
def test_the_mean_lies_between_the_bottom_and_the_top(
    medium: Retention, height_mm: float, top_mm: float, bottom_mm: float
) -> None:
    mean = float(water_after_draining(medium, height_mm, top_mm=top_mm, bottom_mm=bottom_mm))
    bottom, top = water_at(medium, [0, height_mm])
    assert bottom == pytest.approx(medium.full)
    assert top - 1e-9 <= mean <= bottom + 1e-9


@settings(deadline=None)
@given(st.floats(1.05, 10), st.floats(0.01, 2))
def test_nothing_jumps_where_the_two_series_meet(steep: float, alpha_per_cm: float) -> None:
    medium = Retention(0.1, 0.9, alpha_per_cm, steep)
    join_mm = 4 ** (1 / steep) / alpha_per_cm * 10
    assume(2.0 < join_mm < 1990.0)
    before, after = water_after_draining(medium, [join_mm * (1 - 1e-12), join_mm * (1 + 1e-12)])
    assert before == pytest.approx(after, abs=1e-10)


def test_a_pot_that_widens_upward_holds_less_water_than_a_straight_one() -> None:
    # worked example: a pot 165 mm above, 130 mm below, 160 mm high, of peat and perlite
    medium = MEDIA["peat and perlite"]
    assert water_after_draining(medium, 160, top_mm=165, bottom_mm=130) == pytest.approx(0.517, abs=5e-4)
    assert water_after_draining(medium, 160) == pytest.approx(0.536, abs=5e-4)


def test_a_pot_on_a_mat_counts_from_the_water() -> None:
    medium = MEDIA["peat"]
    whole = 150 * water_after_draining(medium, 150)
    lower, upper = (
        50 * water_after_draining(medium, 50),
        100 * water_after_draining(medium, 100, above_water_mm=50),
    )
    assert lower + upper == pytest.approx(whole)


def test_all_but_the_published_medium_are_called_estimates() -> None:
    assert [name for name, one in MEDIA.items() if "estimate" not in one.origin] == ["peat"]


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(sorted(MEDIA)), st.floats(0.5, 0.95), st.floats(0.35, 0.95), st.floats(20, 300))
def test_a_measured_medium_holds_what_was_measured(
    kind: str, porosity: float, share: float, height_mm: float
) -> None:
    capacity = porosity * share
    mine = retention_of_test(MEDIA[kind], porosity, capacity, height_mm)
    assert float(water_after_draining(mine, height_mm)) == pytest.approx(capacity, abs=1e-6)
    assert mine.full == porosity
    assert float(water_after_draining(mine, height_mm / 2)) >= capacity - 1e-9


def test_arrays_come_back_in_their_shape() -> None:
    assert pot_volume_ml(np.full((2, 3), 100), 80, 90).shape == (2, 3)
    assert water_after_draining(MEDIA["peat"], np.full((2, 3), 100)).shape == (2, 3)


@pytest.mark.parametrize(
    ("argument", "ask"),
    [
        ("n_containers", lambda: medium_litres(-1, 1000, {"perlite": 1})),
        ("volume_ml", lambda: medium_litres(1, 0, {"perlite": 1})),
        ("parts", lambda: medium_litres(1, 1000, {})),
        ("parts", lambda: medium_litres(1, 1000, {"perlite": -1})),
        ("settle", lambda: medium_litres(1, 1000, {"perlite": 1}, settle=1.0)),
        ("fill", lambda: medium_litres(1, 1000, {"perlite": 1}, fill=1.1)),
        ("waste", lambda: medium_litres(1, 1000, {"perlite": 1}, waste=-0.1)),
        ("water_before", lambda: medium_litres(1, 1000, {"perlite": 1}, water_before=1.2)),
        ("blend_l", lambda: wetting_water_l(math.inf, 0.1)),
        ("top_mm", lambda: pot_volume_ml(0, 10, 10)),
        ("volume_ml", lambda: drain_test(0, 1, 1)),
        ("added_ml", lambda: drain_test(100, 101, 1)),
        ("drained_ml", lambda: drain_test(100, 50, 51)),
        ("height_mm", lambda: water_after_draining(MEDIA["peat"], 0)),
        ("height_mm", lambda: water_at(MEDIA["peat"], math.nan)),
        ("full", lambda: Retention(0.5, 0.4, 1, 2)),
        ("steep", lambda: Retention(0.1, 0.4, 1, 1)),
        ("alpha_per_cm", lambda: Retention(0.1, 0.4, 0, 2)),
        ("porosity", lambda: retention_of_test(MEDIA["peat"], 1.1, 0.5, 100)),
        ("container_capacity", lambda: retention_of_test(MEDIA["perlite"], 0.7, 0.1, 100)),
    ],
)
def test_bad_arguments_are_named(argument: str, ask: Callable[[], object]) -> None:
    with pytest.raises(BadArgument) as error:
        ask()
    assert error.value.argument == argument
