"""Dips: amounts, salts, alcohol, talc, slips."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft import hormone
from slipwright.craft.errors import BadArgument
from slipwright.craft.hormone import (
    Auxin,
    acid_may_come_out,
    as_acid,
    as_salt,
    is_tenfold_off,
    mg_per_kg_of_percent,
    mg_per_l_of_percent,
    mg_to_weigh,
    mixed_alcohol_percent,
    powder_g,
    stock_ml,
)

AMOUNTS = st.floats(1e-3, 1e6)
AUXINS = st.sampled_from(["iba", "naa", "k-iba", "k-naa"])


@given(AMOUNTS, AUXINS)
def test_salt_and_acid_go_round(amount: float, auxin: Auxin) -> None:
    assert as_acid(as_salt(amount, auxin), auxin) == pytest.approx(amount)
    assert float(as_salt(amount, auxin)) >= amount


def test_an_acid_is_its_own_acid() -> None:
    assert float(as_acid(1234.0, "iba")) == float(as_salt(1234.0, "naa")) == 1234.0


@given(AMOUNTS, st.floats(1e-3, 1), st.floats(0.1, 1e5))
def test_what_is_measured_out_holds_what_is_wanted(stock: float, share: float, volume_ml: float) -> None:
    want = stock * share
    measured = float(stock_ml(stock, want, volume_ml))
    assert measured * stock == pytest.approx(want * volume_ml)
    assert 0 < measured <= volume_ml * (1 + 1e-12)


@given(AMOUNTS, st.floats(0.1, 1e5), st.floats(0.01, 1), AUXINS)
def test_what_is_weighed_holds_what_is_wanted(
    want: float, volume_ml: float, purity: float, auxin: Auxin
) -> None:
    weighed = mg_to_weigh(want, volume_ml, purity=purity, auxin=auxin)
    assert as_acid(weighed * purity, auxin) * 1000 / volume_ml == pytest.approx(want)


@given(st.floats(0, 100), st.floats(1, 100), st.floats(0, 100), st.floats(0, 100))
def test_alcohol_lies_between_the_two_that_are_mixed(
    stock: float, more: float, alcohol_percent: float, filler_percent: float
) -> None:
    mixed = float(mixed_alcohol_percent(stock, stock + more, alcohol_percent, filler_percent))
    low, high = sorted((alcohol_percent, filler_percent))
    assert low - 1e-9 <= mixed <= high + 1e-9


def test_only_the_acids_come_out_of_weak_alcohol() -> None:
    assert acid_may_come_out(19.9, "iba")
    assert acid_may_come_out(19.9, "naa")
    assert not acid_may_come_out(20.0, "iba")
    assert not acid_may_come_out(0, "k-iba")


def test_per_cent_of_a_liquid_and_of_a_talc_have_names_of_their_own() -> None:
    assert float(mg_per_l_of_percent(1)) == float(mg_per_kg_of_percent(1)) == 10_000
    names = [name for name in dir(hormone) if "mg_per_l" in name and "mg_per_kg" in name]
    assert names == []


@given(st.floats(10, 1000), st.floats(1, 4), st.floats(0, 1))
def test_a_point_that_slipped_is_seen_either_way(low: float, wide: float, where: float) -> None:
    high = low * wide
    usual = low + where * (high - low)
    assert not is_tenfold_off(usual, (low, high))
    assert is_tenfold_off(usual * 10, (low, high))
    assert is_tenfold_off(usual / 10, (low, high))


def test_a_little_out_of_the_usual_is_no_slip() -> None:
    assert not is_tenfold_off(900, (1000, 3000))
    assert not is_tenfold_off(5000, (1000, 3000))
    assert is_tenfold_off(100_000, (1000, 3000))


def test_powder_grows_with_the_number() -> None:
    assert powder_g(0) == (0, 0)
    assert powder_g(200) == (1.0, 2.6)


@pytest.mark.parametrize(
    ("argument", "ask"),
    [
        ("want_mg_per_l", lambda: stock_ml(1000, 1001, 10)),
        ("stock_mg_per_l", lambda: stock_ml(0, 1, 10)),
        ("volume_ml", lambda: stock_ml(1000, 10, math.nan)),
        ("purity", lambda: mg_to_weigh(1000, 10, purity=0)),
        ("purity", lambda: mg_to_weigh(1000, 10, purity=1.5)),
        ("auxin", lambda: as_acid(1, "2,4-d")),  # type: ignore[arg-type]
        ("amount", lambda: as_salt(-1)),
        ("make_up_to_ml", lambda: mixed_alcohol_percent(10, 5, 50)),
        ("alcohol_percent", lambda: mixed_alcohol_percent(1, 5, 101)),
        ("percent", lambda: mg_per_l_of_percent(-1)),
        ("n_cuttings", lambda: powder_g(-1)),
        ("usual_range", lambda: is_tenfold_off(1, (3, 2))),
        ("strength", lambda: is_tenfold_off(0, (1, 2))),
    ],
)
def test_bad_arguments_are_named(argument: str, ask: Callable[[], object]) -> None:
    with pytest.raises(BadArgument) as error:
        ask()
    assert error.value.argument == argument
