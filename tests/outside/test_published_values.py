"""Every published value of physics is held against ours somewhere."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.outside.published import ROWS, published

CHECKS = "".join(file.read_text(encoding="utf-8") for file in Path(__file__).parent.glob("test_*.py"))


@pytest.mark.parametrize("row", [row for row in ROWS if not math.isnan(published(row).tolerance)])
def test_value_is_held_by_a_check(row: str) -> None:
    assert f'"{row}"' in CHECKS


def test_tolerances_are_read_in_each_of_their_forms() -> None:
    assert published("PH006").tolerance == 0.001
    assert published("PH053").tolerance == pytest.approx(0.05 * 188)
    assert published("PH070").tolerance == pytest.approx(1e-4 * 720)
    assert math.isnan(published("PH087").tolerance)
    assert published("PH082").tolerance == pytest.approx(1e-6 + 5e-6)  # and the rounding of six figures
