"""The pace of rooting against the formula as it was published."""

from __future__ import annotations

import pytest

from slipwright.craft.pace import pace
from tests.outside.published import published


@pytest.mark.parametrize(
    ("row", "asked"), [("PH089", (15, 8, 24, 34)), ("PH091", (24, 8, 24, 34)), ("PH093", (26, 15, 28, 33))]
)
def test_it_is_the_published_curve(row: str, asked: tuple[float, float, float, float]) -> None:
    value, within = published(row)
    assert float(pace(*asked)) == pytest.approx(value, abs=within)
