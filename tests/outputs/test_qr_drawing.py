"""A QR symbol on a page: the modules of the label's own, dark on light in every theme."""

from __future__ import annotations

import re

from slipwright.outputs.qr import QUIET_MODULES, qr_symbol
from slipwright.outputs.qr_drawing import qr_drawing


def test_each_dark_module_is_drawn_once_within_the_quiet_zone() -> None:
    symbol = qr_symbol("K7Q2M9T3")
    drawn: set[tuple[int, int]] = set()
    marks = re.findall(r"M(\d+) (\d+)h(\d+)v(\d+)h-\d+z", qr_drawing("K7Q2M9T3", "QR"))
    for x, y, w, h in (map(int, mark) for mark in marks):
        drawn |= {(x + i, y + j) for i in range(w) for j in range(h)}
    dark = {
        (x + QUIET_MODULES, y + QUIET_MODULES)
        for y, row in enumerate(symbol.rows)
        for x, bit in enumerate(row)
        if bit == "1"
    }
    assert drawn == dark


def test_its_colours_are_its_own_and_not_those_of_the_theme() -> None:
    drawing = qr_drawing("K7Q2M9T3", "QR")
    assert 'class="qr-dark"' in drawing
    assert 'class="qr-light"' in drawing
    assert "d-solid" not in drawing
    assert "style=" not in drawing
