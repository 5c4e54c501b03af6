"""A programme put away is the same when it is taken out, to the last digit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np

from slipwright.records import packed_plan
from slipwright.records.packed_plan import (
    content_now,
    packed_content,
    packed_programme,
    unpacked_content,
    unpacked_programme,
)
from slipwright.season.programme import Line, Load, Loosened, Programme, Seconds, Stop, WantPlan

WEEK = date(2026, 6, 1)
PROGRAMME = Programme(
    (Line(WEEK, "w", "o", "Rosa 'Pale Ferry'", "softwood", "dip", "p-1", 24, 4, 12.3),),
    (
        WantPlan(
            "w",
            20,
            0.8,
            15,
            0.1 + 0.2,
            0.81,
            5,
            (Stop("bench", ("r", "q"), True), Stop("chance", (), False)),
            1.5,
            False,
            (9, 12, 15),
            (0, 1, 2),
        ),
    ),
    (Load("r", "bench", "tent", WEEK, 1.0, 2.0), Load("s", "shoots", "p-1", None, 3.0, 4.0)),
    (Loosened("r", 0.5, 3.0, -1.0, 2.0),),
    12.3,
    7.5,
    0.0,
    19.0,
    0.04,
    123,
    Seconds(0.1, 0.2, 0.3, 0.4),
    1,
)


def test_a_programme_comes_back_as_it_was() -> None:
    kept = packed_programme(PROGRAMME)
    assert unpacked_programme(kept) == PROGRAMME
    assert packed_programme(PROGRAMME) == kept


def test_numbers_out_of_an_array_are_kept_as_numbers() -> None:
    odd = replace(PROGRAMME, n_plans=np.int64(7), cost=np.float32(0.5))  # type: ignore[arg-type]
    assert unpacked_programme(packed_programme(odd)) == replace(PROGRAMME, n_plans=7, cost=0.5)


def test_one_of_another_form_is_not_read() -> None:
    kept = packed_content({**unpacked_content(packed_programme(PROGRAMME)), "form": packed_plan._FORM + 1})
    assert unpacked_programme(kept) is None
    fewer = {
        name: part for name, part in unpacked_content(packed_programme(PROGRAMME)).items() if name != "gap"
    }
    assert unpacked_programme(packed_content(fewer)) is None
    lists: Any = ["form", 1]
    assert unpacked_programme(packed_content(lists)) is None
    undated = {**unpacked_content(packed_programme(PROGRAMME)), "loads": [{"week": "tomorrow"}]}
    assert unpacked_programme(packed_content(undated)) is None


def test_what_another_version_told_is_not_read() -> None:
    assert content_now(packed_content({"version": packed_plan.CONTENT_VERSION, "n": 1}))["n"] == 1
    assert content_now(packed_content({"version": packed_plan.CONTENT_VERSION - 1, "n": 1})) == {}
    assert content_now(packed_content({"n": 1})) == content_now(b"") == content_now(None) == {}


def test_content_comes_back_as_it_was() -> None:
    content = {"text": {"said": "«{n}» días", "with": {"n": 3}}, "x": [1.5, None, True]}
    assert unpacked_content(packed_content(content)) == content
