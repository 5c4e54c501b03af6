"""Paragraphs know their height before they are drawn."""

from __future__ import annotations

import pytest

from slipwright.outputs._press.paper import A4_MM, Paper
from slipwright.outputs._press.paragraphs import paragraph


def test_a_paragraph_ends_where_it_said_it_would() -> None:
    text = paragraph(
        "Wet it, let it drain, fill the pots to a finger under the rim.", size_pt=10, width_mm=40
    )
    assert len(text.lines) > 2
    assert text.draw(Paper(A4_MM, title="t"), 10, 20) == pytest.approx(20 + text.height_mm)


def test_a_figure_and_its_unit_are_not_parted() -> None:
    for width in range(12, 60):
        lines = paragraph("Each piece is 12 cm (4¾ in) long", size_pt=10, width_mm=width).lines
        printed = ["".join(part for part, _ in line).replace("\u00a0", " ") for line in lines]
        if all(len(line) > 6 for line in printed):
            assert not any(line.endswith(("12", "4¾")) for line in printed)


def test_an_empty_text_takes_no_room() -> None:
    assert paragraph("", size_pt=10, width_mm=40).height_mm == 0
