"""A cane taken apart, and the forms of cuttings."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings.cane import CUTTINGS, MOST_PIECES, cane_apart, form_of_cutting
from slipwright.outputs.sheet import CaneCutting, CaneDrawing
from slipwright.records import words

CANE = CaneDrawing(
    300,
    (40, 80, 120, 160, 200, 240),
    (CaneCutting(34, 124, "A", ("3 nodes", "9 cm")), CaneCutting(154, 244, "B", ("3 nodes", "9 cm"))),
    30,
    40,
    prickles=True,
)


def test_every_form_of_the_records_is_drawn() -> None:
    assert CUTTINGS == words.CUTTINGS
    assert len({form_of_cutting(form) for form in CUTTINGS}) == 5
    for form in CUTTINGS:
        ElementTree.fromstring(form_of_cutting(form))


def test_another_form_is_refused() -> None:
    with pytest.raises(BadArgument):
        form_of_cutting("root")


def test_each_node_has_its_bud_and_each_piece_its_name() -> None:
    svg = cane_apart(CANE, title="a cane")
    assert svg.count("d-brass") == 6
    assert re.findall(r'class="strong"[^>]*>(\w)<', svg) == ["A", "B"]
    assert ElementTree.fromstring(svg).get("aria-label") == "a cane"
    assert "style=" not in svg


def test_prickles_are_hooks_of_ink_and_only_where_the_plant_has_them() -> None:
    bare = cane_apart(replace(CANE, prickles=False))
    assert cane_apart(CANE).count('<path class="d-solid"') > bare.count('<path class="d-solid"')


def test_the_top_is_flat_and_the_base_slants_just_below_the_lowest_node() -> None:
    first = re.search(r'class="d-woodmid d-line" d="M([^"]+)Z"', cane_apart(CANE))
    assert first
    (_, top_left), (_, top_right), (_, right), (_, left) = (
        tuple(map(float, point.split())) for point in first[1].split("L")
    )
    assert top_left == top_right
    assert right < left


def test_a_long_cane_is_drawn_in_part() -> None:
    nodes = tuple(40.0 * (i + 1) for i in range(24))
    pieces = tuple(CaneCutting(34 + 120 * i, 124 + 120 * i, "ABCDEFGH"[i]) for i in range(8))
    svg = cane_apart(CaneDrawing(1000, nodes, pieces))
    assert len(re.findall(r'class="strong"', svg)) == MOST_PIECES


def test_what_is_left_out_is_named() -> None:
    svg = cane_apart(CANE, tip_words="tip & leaves", base_words="base")
    assert "tip &amp; leaves" in svg
    assert ">base<" in svg
