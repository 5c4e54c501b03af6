"""Forecasts of what was held out: learned ones lie nearer than the handbook alone and than plain averages.

One invented garden of a world that is not the model's, and a published table whose source stands in ``data``;
``bench/forecast_scores.py`` has more and larger ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest

from bench.forecast_scores import Case, garden_cases, table_cases
from bench.forecast_tables import folds, units
from bench.worlds import other_world
from slipwright.rooting.reliability import reliability
from slipwright.rooting.scoring import Better, better_by, crps_of_points

NAMES = ("garden", "plots of Yifru 2005")


@cache
def cases(name: str) -> Sequence[Case]:
    """Return the forecasts of a garden or a table."""
    if name == "garden":
        return garden_cases(other_world(np.random.default_rng([23, 1, 1]), 120, 12).records)[0]
    return table_cases(name)


def better(name: str, other: str) -> Better:
    """Return by how much learning lies nearer, with an interval of 80 in 100."""
    some = cases(name)
    came = np.array([case.came for case in some])
    ours, theirs = (
        crps_of_points(np.array([case.points[which] for case in some]), came) for which in ("learned", other)
    )
    return better_by(ours, theirs, [case.batch for case in some], np.random.default_rng(1))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("other", ["handbook", "average"])
def test_learning_lies_nearer(name: str, other: str) -> None:
    found = better(name, other)
    assert found.low > 0
    assert found.share > 0.15


def test_it_lies_nearer_than_the_average_of_the_same_arm() -> None:
    assert better("plots of Yifru 2005", "average of its arm").low > 0


@pytest.mark.parametrize("name", NAMES)
def test_ranges_hold_as_often_as_they_say(name: str) -> None:
    some = cases(name)
    came = np.array([case.came for case in some])
    points = np.array([case.points["learned"] for case in some])
    n_stuck = np.array([case.n_stuck for case in some])
    found = reliability(points, came, [case.batch for case in some], n_stuck)
    # a band of 8 times in 10 on either side, and as much again
    room = found.held_high - found.held_low
    assert abs(found.n_held - found.n_expected) <= room


def test_what_is_held_out_teaches_nothing() -> None:
    for known, held_out in folds(units("plots of Yifru 2005")):
        assert not {one.record.kind.batch for one in known} & {one.record.kind.batch for one in held_out}
        assert {one.arm for one in known} == {one.arm for one in held_out}
        assert (len(known), len(held_out)) == (36, 12)
