"""What cuttings tell the two clocks: each fact once, unknown ones as the usual, a row's own as nought."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.rooting.cuttings import LEVEL_SD, PARTS, TERMS, Cuttings
from slipwright.rooting.learned import Kind, prior_draws

ALWAYS = {"intercept": 1.0, "time": 1.0, "time_2": 1.0, "without_row": 1.0}
ROW = Cuttings(
    "hardwood", 0.4, "talc", 8000.0, "none", "open", warmth_c=11.0, n_nodes=5, length_mm=180.0, form="heel"
)
OF_THE_ROW = replace(ROW, usual=ROW)
FACTS = st.fixed_dictionaries(
    {
        "wood": st.sampled_from(["softwood", "semi-hardwood", "hardwood"]),
        "ripeness": st.none() | st.floats(0, 1),
        "auxin": st.sampled_from([None, "none", "dip", "talc", "soak"]),
        "strength": st.none() | st.floats(0, 20000),
        "leaves": st.sampled_from(["kept", "reduced", "none"]),
        "cover": st.sampled_from([None, "mist", "tent", "open"]),
        "warmth_c": st.none() | st.floats(0, 35),
        "bloom": st.none() | st.floats(0, 1),
        "spent": st.floats(0.2, 1),
        "n_nodes": st.none() | st.integers(1, 14),
        "length_mm": st.none() | st.floats(20, 400),
        "form": st.sampled_from(["piece", "tip", "heel", "mallet", "single-node"]),
        "wounded": st.booleans(),
        "stored": st.booleans(),
        "medium": st.sampled_from(["", "Sand"]),
        "usual": st.sampled_from([None, ROW]),
    }
)


def test_the_reference_cuttings_have_nothing_but_a_level_and_a_time() -> None:
    assert Cuttings().terms() == ALWAYS


@given(facts=FACTS)
def test_every_term_is_in_the_list_and_finite(facts) -> None:
    terms = Cuttings(**facts).terms()
    assert all(np.isfinite(amount) for amount in terms.values())
    assert {name for name in terms if "[" not in name} <= PARTS.keys()
    assert all(name.partition("[")[0] in LEVEL_SD for name in terms if "[" in name)


@given(facts=FACTS)
def test_shape_in_time_is_of_the_wood_alone(facts) -> None:
    terms = Cuttings(**facts).terms()
    shape = {name for name in terms if PARTS.get(name, "level") != "level"}
    assert shape == {"time", "time_2", *({f"time_{facts['wood']}"} - {"time_semi-hardwood"})}


def test_every_term_is_had_by_some_cuttings() -> None:
    had: set[str] = set()
    for facts in (
        {
            "wood": "softwood",
            "ripeness": 0.1,
            "auxin": "dip",
            "strength": 3000,
            "cover": "tent",
            "form": "tip",
        },
        {
            "wood": "hardwood",
            "auxin": "talc",
            "strength": 8000,
            "leaves": "none",
            "form": "heel",
            "stored": True,
        },
        {"auxin": "soak", "strength": 50, "leaves": "reduced", "cover": "open", "form": "mallet", "bloom": 1},
        {"warmth_c": 25, "n_nodes": 2, "length_mm": 60, "form": "single-node", "wounded": True, "spent": 0.8},
        dict.fromkeys(("ripeness", "auxin", "cover", "warmth_c", "bloom", "n_nodes")),
        {"cover": "tent", "n_nodes": 2},
    ):
        had |= Cuttings(**facts).terms().keys()
    assert had == {term.name for term in TERMS}


@pytest.mark.parametrize("fact", ["ripeness", "cover", "warmth_c", "bloom", "n_nodes"])
def test_an_unknown_fact_counts_as_the_reference_and_as_unknown(fact: str) -> None:
    name = f"unknown_{fact.removesuffix('_c').removeprefix('n_')}"
    assert replace(Cuttings(), **{fact: None}).terms() == ALWAYS | {name: 1.0}


def test_an_unknown_hormone_counts_as_none_and_a_dip_of_unknown_strength_as_a_moderate_one() -> None:
    assert Cuttings(auxin=None, strength=None).terms() == ALWAYS | {"unknown_dose": 1.0}
    moderate = Cuttings(auxin="dip", strength=1000).terms()
    assert Cuttings(auxin="dip", strength=None).terms() == {**moderate, "unknown_dose": 1.0}


def test_forms_of_hormone_have_levels_and_strengths_of_their_own() -> None:
    for form, strength in (("talc", 3000.0), ("soak", 100.0)):
        usual, double = (Cuttings(auxin=form, strength=strength * times).terms() for times in (1, 2))
        assert usual == ALWAYS | {form: 1.0}
        assert double == ALWAYS | {form: 1.0, f"{form}_strength": pytest.approx(np.log(2))}


def test_bare_cuttings_do_not_feel_their_cover() -> None:
    bare = [
        Cuttings("hardwood", leaves="none", cover=cover).terms() for cover in (None, "mist", "tent", "open")
    ]
    assert all(terms == bare[0] for terms in bare)


def test_cuttings_of_the_row_itself_have_nothing_but_their_time() -> None:
    assert OF_THE_ROW.terms() == {"intercept": 1.0, "time": 1.0, "time_2": 1.0, "time_hardwood": 1.0}


def test_only_what_differs_from_the_row_counts() -> None:
    warmer = replace(OF_THE_ROW, warmth_c=16.0, n_nodes=3).terms()
    assert warmer["warmth"] == pytest.approx(1.0)
    assert warmer["warmth_2"] == pytest.approx(0.64 - 3.24)
    assert warmer["nodes"] == pytest.approx(-1.0)
    undipped = replace(OF_THE_ROW, auxin="none", strength=0.0).terms()
    assert undipped["talc"] == -1.0
    assert undipped["talc_strength"] == pytest.approx(-np.log(8000 / 3000))


def test_what_nobody_wrote_down_stands_at_the_row() -> None:
    nothing = dict.fromkeys(("ripeness", "auxin", "strength", "warmth_c", "bloom", "n_nodes", "length_mm"))
    terms = replace(OF_THE_ROW, **nothing).terms()
    unknown = {f"unknown_{name}": 1.0 for name in ("ripeness", "dose", "warmth", "bloom", "nodes")}
    assert terms == OF_THE_ROW.terms() | unknown
    assert replace(OF_THE_ROW, strength=None).terms() == OF_THE_ROW.terms() | {"unknown_dose": 1.0}


def test_a_row_makes_the_level_surer() -> None:
    drawn, kind = prior_draws(np.random.default_rng(1), 2000), Kind("Rosa", "Rosa", "hardwood", "2014")
    of_row, alone = (drawn.clocks(cuttings, kind).level for cuttings in (OF_THE_ROW, ROW))
    assert (of_row.std(axis=1) < 0.9 * alone.std(axis=1)).all()
