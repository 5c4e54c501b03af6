"""The example's weather is the published record.

Sums of max(0, (tmax + tmin) / 2 - 5) by year and days of frost were computed from the NOAA daily
file with numpy 2.4.6, independently of this copy.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

import pytest

FILE = Path(__file__).parents[2] / "examples" / "saltmarsh-lane" / "weather.csv"


@pytest.fixture(scope="module")
def days() -> list[dict[str, str]]:
    with FILE.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_degree_days_by_year(days: list[dict[str, str]]) -> None:
    sums: dict[str, float] = defaultdict(float)
    for day in days:
        sums[day["on"][:4]] += max(0.0, (float(day["tmax_c"]) + float(day["tmin_c"])) / 2 - 5)
    assert dict(sums) == pytest.approx({"2012": 2396.2, "2013": 2720.7, "2014": 2941.3, "2015": 3017.95})


def test_days_of_frost_by_year(days: list[dict[str, str]]) -> None:
    frost: dict[str, int] = defaultdict(int)
    for day in days:
        frost[day["on"][:4]] += float(day["tmin_c"]) <= 0
    assert dict(frost) == {"2012": 21, "2013": 30, "2014": 22, "2015": 15}


def test_no_day_is_missing(days: list[dict[str, str]]) -> None:
    assert len(days) == 1461
    assert len({day["on"] for day in days}) == 1461
