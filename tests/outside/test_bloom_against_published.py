"""Shrinking and quantiles of bloom against values worked out by other means."""

from __future__ import annotations

import numpy as np
import pytest

from slipwright.craft.bloom import Slope, first_clear_day, forecast
from tests.outside.published import published


def test_own_records_are_shrunk_towards_the_handbooks_day() -> None:
    value, tolerance = published("PH082")
    book = np.array(["2025-04-01"], "datetime64[D]")
    # residuals of 5, 7 and 3 d; years apart by whole turns of the seasons, so that no day is rounded
    turns = np.rint(np.array([4, 8, 12]) * 365.2425) - np.array([4, 8, 12]) * 365.2425
    own = book[0] + (np.array([5, 7, 3]) - np.rint(np.array([4, 8, 12]) * 365.2425)).astype("timedelta64[D]")
    told = forecast(
        [own],
        [[0.0] * 3],
        book_on=book,
        anomaly_sd_c=0.0,
        slope=Slope(0.0, 0.0, 4.0),
        book_sd_days=2.0,
        flat=False,
    )
    # what the rounding of turns to whole days adds is taken out again
    rounding = -turns.sum() / 4.0**2 / (3 / 4.0**2 + 1 / 2.0**2)
    assert told.after_book_days[0] - rounding == pytest.approx(value, abs=tolerance)


def test_the_first_day_surely_after_bloom() -> None:
    value, tolerance = published("PH086")
    assert float(first_clear_day(120, 6, 30, 0.9)) == pytest.approx(value, abs=tolerance)
