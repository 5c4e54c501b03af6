"""Pots, trays and dip."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.container import (
    containers_needed,
    cuttings_per_container,
    dip_ml,
    round_pot_width_mm,
    sticking_points,
)
from slipwright.craft.errors import BadArgument


def nearest(points: tuple[tuple[float, float], ...]) -> float:
    return min(math.dist(a, b) for i, a in enumerate(points) for b in points[:i])


@pytest.mark.parametrize(
    ("n", "each", "pots"), [(0, 8, 0), (1, 8, 1), (8, 8, 1), (9, 8, 2), (100_000, 7, 14286)]
)
def test_the_last_container_need_not_be_full(n: int, each: int, pots: int) -> None:
    assert containers_needed(n, each) == pots


def test_rings_are_as_far_apart_as_stems() -> None:
    # radius 60: a ring of 7 at 50 mm (pi / asin(50/120) = 7.3), and one in the middle
    assert cuttings_per_container(160, 50) == 8
    # radius 40: a ring of 4, no room left in the middle
    assert cuttings_per_container(120, 50) == 4


def test_a_tray_holds_rows_and_columns() -> None:
    assert cuttings_per_container(100, 30, length_mm=160) == 3 * 5


def test_the_smallest_pot_holds_one() -> None:
    assert cuttings_per_container(20, 50) == 1
    assert cuttings_per_container(20, 50, length_mm=20) == 1


@settings(deadline=None)
@given(st.floats(50, 600), st.floats(15, 200), st.floats(0, 20), st.one_of(st.none(), st.floats(50, 600)))
def test_a_wider_container_never_holds_fewer(
    width_mm: float, spacing_mm: float, more: float, length_mm: float | None
) -> None:
    assert cuttings_per_container(width_mm + more, spacing_mm, length_mm=length_mm) >= cuttings_per_container(
        width_mm, spacing_mm, length_mm=length_mm
    )


@settings(deadline=None)
@given(st.integers(1, 60), st.floats(60, 300))
def test_points_are_as_many_as_asked_and_inside_the_edge(n: int, width_mm: float) -> None:
    points = sticking_points(n, width_mm, edge_mm=20)
    assert len(points) == n
    assert all(math.hypot(x, y) <= width_mm / 2 - 20 + 0.01 for x, y in points)


@settings(deadline=None)
@given(st.floats(100, 300), st.floats(25, 60))
def test_points_of_a_full_pot_stand_at_its_spacing(width_mm: float, spacing_mm: float) -> None:
    n = cuttings_per_container(width_mm, spacing_mm)
    if n > 1:
        assert nearest(sticking_points(n, width_mm)) >= spacing_mm - 0.01


@pytest.mark.parametrize(("n", "in_the_middle"), [(1, 1), (2, 0), (5, 0), (6, 0), (7, 1), (8, 1), (9, 1)])
def test_few_cuttings_stand_round_the_rim(n: int, in_the_middle: int) -> None:
    assert sticking_points(n, 165).count((0.0, 0.0)) == in_the_middle


def test_a_pot_known_by_volume_has_the_width_of_its_like() -> None:
    model_ml = math.pi * 165 * (165**2 + 165 * 130 + 130**2) / 12 / 1000
    assert round_pot_width_mm(model_ml) == pytest.approx(165)
    assert round_pot_width_mm(8 * model_ml) == pytest.approx(330)


def test_dip_grows_with_the_number_and_has_a_range() -> None:
    few, many = dip_ml(24), dip_ml(1000)
    assert few.low_ml < few.mid_ml < few.high_ml < many.low_ml
    assert many.high_ml - few.high_ml == pytest.approx(0.2 * 976)
    assert dip_ml(0).high_ml == 0.0


@pytest.mark.parametrize(
    ("argument", "ask"),
    [
        ("n_cuttings", lambda: containers_needed(-1, 8)),
        ("n_per_container", lambda: containers_needed(1, 0)),
        ("width_mm", lambda: cuttings_per_container(0, 50)),
        ("width_mm", lambda: cuttings_per_container(math.nan, 50)),
        ("spacing_mm", lambda: cuttings_per_container(100, 1e-9)),
        ("length_mm", lambda: cuttings_per_container(100, 50, length_mm=-1)),
        ("edge_mm", lambda: cuttings_per_container(100, 50, edge_mm=-1)),
        ("n", lambda: sticking_points(0, 100)),
        ("width_mm", lambda: sticking_points(3, math.inf)),
        ("volume_ml", lambda: round_pot_width_mm(-1)),
        ("n_cuttings", lambda: dip_ml(-1)),
        ("depth_mm", lambda: dip_ml(1, depth_mm=0)),
        ("vessel_mm", lambda: dip_ml(1, vessel_mm=math.nan)),
    ],
)
def test_bad_arguments_are_named(argument: str, ask) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadArgument) as error:
        ask()
    assert error.value.argument == argument
