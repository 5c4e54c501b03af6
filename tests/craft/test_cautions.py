"""Cautions stand where the hand is."""

from __future__ import annotations

import itertools

import pytest

from slipwright.craft.cautions import cautions_for
from slipwright.craft.errors import BadArgument

EVERYTHING = [
    dict(zip(("wood", "auxin_form", "hormone_product", "cover", "medium_c", "parts"), choice, strict=True))
    for choice in itertools.product(
        ("softwood", "hardwood"),
        ("none", "talc", "quick-dip"),
        ("unknown", "plain", "with-fungicide"),
        ("tent", "mist", "open"),
        (None, 21.0),
        (("perlite", "vermiculite"), ("sphagnum peat",)),
    )
]


def keys(**job: object) -> list[str]:
    return [c.key for c in cautions_for(**job)]  # type: ignore[arg-type]


def test_the_blade_is_always_there() -> None:
    assert keys(moving=False) == ["blade"]


def test_hardwood_wants_secateurs() -> None:
    (blade,) = cautions_for(wood="hardwood", moving=False)
    assert "secateurs" in blade.text


@pytest.mark.parametrize(
    ("job", "key", "where"),
    [
        ({"prickles": True}, "prickles", "cutting"),
        ({"hazards": ["thorns"]}, "prickles", "cutting"),
        ({"hazards": ["irritant-sap"]}, "sap", "cutting"),
        ({"hazards": ["toxic"]}, "poison", "cutting"),
        ({"parts": ["Perlite", "peat"]}, "dust", "mixing"),
        ({"parts": ["coarse vermiculite"]}, "dust", "mixing"),
        ({"parts": ["sphagnum moss"]}, "moss", "mixing"),
        ({"auxin_form": "gel"}, "hormone", "dipping"),
        ({"auxin_form": "talc"}, "talc", "dipping"),
        ({"auxin_form": "quick-dip"}, "alcohol", "dipping"),
        ({"cover": "tent"}, "heat", "covering"),
        ({"cover": "mist"}, "electricity", "warming"),
        ({"medium_c": 21.0}, "electricity", "warming"),
        ({"medium_c": 21.0}, "warm-bench", "warming"),
        ({"moving": True}, "moving", "stock plant"),
    ],
)
def test_each_danger_brings_its_caution(job: dict[str, object], key: str, where: str) -> None:
    plain = keys(moving=False)
    found = {c.key: c for c in cautions_for(**{"moving": False, **job})}  # type: ignore[arg-type]
    assert key not in plain
    assert found[key].where == where


def test_without_hormone_there_is_no_word_of_it() -> None:
    assert "hormone" not in keys(auxin_form="none", hormone_product="with-fungicide")


@pytest.mark.parametrize("product", ["unknown", "plain", "with-fungicide"])
def test_the_hormones_own_label_decides(product: str) -> None:
    (hormone,) = (c for c in cautions_for(auxin_form="talc", hormone_product=product) if c.key == "hormone")  # type: ignore[arg-type]
    assert "label" in hormone.text
    assert ("fungicide" in hormone.text) == (product != "plain")


def test_moss_is_named_to_the_doctor_only_where_there_is_moss() -> None:
    texts = [
        next(c.text for c in cautions_for(prickles=True, parts=parts) if c.key == "prickles")
        for parts in (["perlite"], ["peat"])
    ]
    assert ["moss" in text for text in texts] == [False, True]


@pytest.mark.parametrize("job", EVERYTHING)
def test_cautions_are_short_differ_and_name_what_they_rest_on(job: dict[str, object]) -> None:
    found = cautions_for(prickles=True, hazards=["irritant-sap", "toxic"], **job)  # type: ignore[arg-type]
    assert len({c.key for c in found}) == len(found)
    assert all(40 <= len(c.text) <= 240 for c in found), max(found, key=lambda c: len(c.text))
    assert all(c.sources and all(c.sources) for c in found)


@pytest.mark.parametrize(
    ("argument", "job"),
    [
        ("wood", {"wood": "balsa"}),
        ("auxin_form", {"auxin_form": "pill"}),
        ("cover", {"cover": "roof"}),
        ("hormone_product", {"hormone_product": "strong"}),
        ("hazards", {"hazards": ["bees"]}),
    ],
)
def test_unknown_words_are_refused(argument: str, job: dict[str, object]) -> None:
    with pytest.raises(BadArgument) as error:
        cautions_for(**job)  # type: ignore[arg-type]
    assert error.value.argument == argument
