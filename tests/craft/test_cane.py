"""Dividing a cane."""

from __future__ import annotations

import math
from dataclasses import asdict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.cane import Cutting, cuttings_of_cane, why_none
from slipwright.craft.errors import BadArgument

EVEN = [40.0 * i for i in range(1, 18)]


@st.composite
def canes(draw: st.DrawFn) -> list[float]:
    gaps = draw(st.lists(st.floats(0.5, 90.0), max_size=40))
    place, nodes = draw(st.floats(0.0, 50.0)), []
    for gap in gaps:
        nodes.append(place)
        place += gap
    return nodes


def test_a_piece_starts_above_its_top_node_and_ends_below_its_lowest() -> None:
    (piece,) = cuttings_of_cane([100, 140, 180], top_stub_mm=20, base_stub_mm=4)
    assert piece == Cutting(80.0, 184.0, 3)
    assert piece.length_mm == 104.0


def test_a_piece_turns_into_the_keys_of_the_command() -> None:
    (piece,) = cuttings_of_cane([100, 140, 180])
    assert asdict(piece) == {"top_mm": 94.0, "base_mm": 183.0, "n_nodes": 3}


@settings(deadline=None)
@given(canes(), st.floats(0, 200), st.floats(0, 200), st.integers(1, 4))
def test_pieces_keep_every_rule(nodes: list[float], tip_mm: float, base_mm: float, min_nodes: int) -> None:
    cane_mm = (nodes[-1] if nodes else 0.0) + 10.0
    pieces = cuttings_of_cane(nodes, cane_mm=cane_mm, tip_mm=tip_mm, base_mm=base_mm, min_nodes=min_nodes)
    end = tip_mm
    for piece in pieces:
        assert piece.top_mm >= end - 1e-5
        assert 75 - 1e-5 <= piece.length_mm <= 125 + 1e-5
        assert piece.n_nodes >= min_nodes
        assert piece.n_nodes == sum(piece.top_mm <= node <= piece.base_mm for node in nodes)
        end = piece.base_mm
    assert end <= max(cane_mm - base_mm, tip_mm) + 1e-5
    reason = why_none(nodes, cane_mm=cane_mm, tip_mm=tip_mm, base_mm=base_mm, min_nodes=min_nodes)
    assert bool(reason) == (pieces == ())


def test_discards_at_tip_and_base_are_kept_out() -> None:
    pieces = cuttings_of_cane(EVEN, cane_mm=700, tip_mm=120, base_mm=120)
    assert pieces[0].top_mm >= 120
    assert pieces[-1].base_mm <= 580


def test_without_a_length_the_cane_ends_a_stub_below_the_last_node() -> None:
    assert cuttings_of_cane([100, 180]) == cuttings_of_cane([100, 180], cane_mm=183) != ()
    assert cuttings_of_cane([100, 180], cane_mm=182) == ()


def test_among_equal_divisions_the_one_with_most_nodes_is_taken() -> None:
    # two pieces either way; five nodes can be used instead of four
    pieces = cuttings_of_cane([50, 130, 200, 260, 310])
    assert [p.n_nodes for p in pieces] == [2, 3]


def test_among_equal_divisions_pieces_are_alike() -> None:
    pieces = cuttings_of_cane([60, 110, 150, 210, 260, 310], min_nodes=2)
    lengths = [p.length_mm for p in pieces]
    assert len(pieces) == 2
    assert max(lengths) - min(lengths) <= 20


def test_a_share_moves_the_cuts_to_the_better_wood() -> None:
    def lower_is_better(piece: Cutting) -> float:
        return 0.9 if piece.top_mm > 80 else 0.1

    nodes = [20, 60, 100, 140, 180]
    (plain,) = cuttings_of_cane(nodes)
    (better,) = cuttings_of_cane(nodes, share=lower_is_better)
    assert plain.top_mm == 14.0
    assert better.top_mm == 94.0


def test_one_good_piece_can_beat_two_poor_ones() -> None:
    nodes = [20, 60, 100, 140, 180, 220]

    def middle_is_better(piece: Cutting) -> float:
        return 0.9 if piece.top_mm == 54.0 else 0.2

    assert len(cuttings_of_cane(nodes)) == 2
    assert cuttings_of_cane(nodes, share=middle_is_better) == (Cutting(54.0, 143.0, 3),)


def test_a_piece_without_a_chance_is_not_cut() -> None:
    assert cuttings_of_cane(EVEN, share=lambda _: 0.0) == ()


def test_where_nodes_crowd_the_cut_passes_half_way() -> None:
    nodes = [10.0 + 4.0 * i for i in range(50)]
    pieces = cuttings_of_cane(nodes, top_stub_mm=6, base_stub_mm=6)
    assert pieces
    for piece in pieces:
        assert (piece.top_mm - 10.0) % 4.0 in (2.0, 0.0) or piece.top_mm == 4.0
        assert piece.n_nodes == sum(piece.top_mm < node < piece.base_mm for node in nodes)


@pytest.mark.parametrize(
    ("nodes", "rules", "reason"),
    [
        ([], {}, "no nodes are given"),
        ([50], {}, "nodes that can be used: 1; a piece needs 2"),
        ([100, 180], {"tip_mm": 200.0}, "nothing is left between the discarded tip and base"),
        (
            [100, 150, 200],
            {"tip_mm": 160.0},
            "nodes that can be used between the discarded tip and base: 1; a piece needs 2",
        ),
        (
            [100, 180],
            {"tip_mm": 100.0},
            "no 2 nodes leave room for the stubs between the discarded tip and base",
        ),
        ([50, 110, 170], {}, "with 2 nodes or more a piece is 69 mm or 129 mm or longer, never 75 to 125 mm"),
        ([50, 200], {}, "with 2 nodes or more a piece is 159 mm or longer, never 75 to 125 mm"),
        ([50, 60], {}, "with 2 nodes or more a piece is 19 mm, never 75 to 125 mm"),
    ],
)
def test_a_cane_that_yields_none_says_why(nodes: list[float], rules: dict[str, float], reason: str) -> None:
    assert cuttings_of_cane(nodes, **rules) == ()  # type: ignore[arg-type]
    assert why_none(nodes, **rules) == reason  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("argument", "nodes", "rules"),
    [
        ("node_mm", [40, 30], {}),
        ("node_mm", [40, 40], {}),
        ("node_mm", [-1, 40], {}),
        ("node_mm", [10, math.nan], {}),
        ("node_mm", [10, math.inf], {}),
        ("cane_mm", [40, 80], {"cane_mm": 79.0}),
        ("tip_mm", [40, 80], {"tip_mm": -1.0}),
        ("base_mm", [40, 80], {"base_mm": math.nan}),
        ("min_nodes", [40, 80], {"min_nodes": 0}),
        ("max_mm", [40, 80], {"min_mm": 90.0, "max_mm": 80.0}),
        ("min_mm", [40, 80], {"min_mm": -5.0}),
        ("top_stub_mm", [40, 80], {"top_stub_mm": -5.0}),
        ("base_stub_mm", [40, 80], {"base_stub_mm": -5.0}),
    ],
)
def test_bad_arguments_are_named(argument: str, nodes: list[float], rules: dict[str, float]) -> None:
    for ask in (cuttings_of_cane, why_none):
        with pytest.raises(BadArgument) as error:
            ask(nodes, **rules)  # type: ignore[operator]
        assert error.value.argument == argument


def test_a_share_outside_0_to_1_is_refused() -> None:
    with pytest.raises(BadArgument, match=r"share must give a chance from 0 to 1, not 1\.2"):
        cuttings_of_cane(EVEN, share=lambda _: 1.2)
