"""A trial's table: what is read, and what is refused by row, field and rule."""

from __future__ import annotations

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.rooting.trial_table import BadRow, factors_in, read_trial

COLUMNS = ["dip", "part", "bench (old)", "rooted", "stuck"]


def row(rooted: str, stuck: str = "12", dip: str = "none") -> dict[str, str]:
    return {"dip": dip, "rooted": rooted, "stuck": stuck}


def read(*rows: dict[str, str]):
    return read_trial(enumerate(rows, 2), rooted="rooted", stuck="stuck", factors=["dip"])


@pytest.mark.parametrize(
    ("by", "sets"),
    [
        ("", ()),
        ("dip", (("dip",),)),
        ("dip+part", (("dip",), ("part",))),
        ("dip*part", (("dip",), ("part",), ("dip", "part"))),
        ("dip + part + part:dip", (("dip",), ("part",), ("dip", "part"))),
        ("bench (old)*dip", (("bench (old)",), ("dip",), ("bench (old)", "dip"))),
    ],
)
def test_a_formula_is_factors_and_what_they_do_together(by, sets):
    assert factors_in(by, COLUMNS) == sets


@pytest.mark.parametrize("by", ["dose", "dip**part", "dip+", "dip:part", "dip+dip:part", "dip*part*dose"])
def test_a_formula_that_cannot_be_read_is_refused(by):
    with pytest.raises(BadArgument, match="by must"):
        factors_in(by, COLUMNS)


@pytest.mark.parametrize(
    ("cells", "field", "rule"),
    [
        (row("13"), "rooted", "at most stuck"),
        (row("-1"), "rooted", "from 0"),
        (row("0.5"), "rooted", "no share"),
        (row("50%"), "rooted", "whole number"),
        (row("=1+1"), "rooted", "whole number"),
        (row("NaN"), "rooted", "whole number"),
        (row("1e9", "1e12"), "stuck", "from 0"),
        (row("3", ""), "stuck", "is empty"),
        (row("3", dip=" "), "dip", "empty"),
    ],
)
def test_a_bad_cell_is_named_by_row_field_and_rule(cells, field, rule):
    with pytest.raises(BadRow, match=rule) as caught:
        read(row("3"), cells)
    assert (caught.value.line, caught.value.field) == (3, field)
    assert str(caught.value).startswith(f"row 3, {field}: ")


def test_rows_not_counted_are_left_out_and_told_of():
    trial = read(row("3"), row(""), row("4.0"))
    assert trial.n_rooted.tolist() == [3, 4]
    assert trial.warnings == ("1 row has no count in rooted and is left out: 3",)


def test_a_table_without_any_count_is_refused():
    with pytest.raises(BadArgument, match="at least one"):
        read(row(""))
