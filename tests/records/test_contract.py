"""The published schema of an entry is the one the code holds to."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from slipwright.records.contract import entry_schema

CONTRACT = Path(__file__).parents[2] / "docs" / "contract"
VECTORS = json.loads((CONTRACT / "entry-hash.json").read_text(encoding="utf-8"))["vectors"]
VALIDATOR = Draft202012Validator(entry_schema(), format_checker=Draft202012Validator.FORMAT_CHECKER)


def test_the_file_is_what_the_code_says() -> None:
    kept = json.loads((CONTRACT / "entry.schema.json").read_text(encoding="utf-8"))
    assert kept == entry_schema()


def test_the_schema_is_one() -> None:
    Draft202012Validator.check_schema(entry_schema())


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["says"])
def test_every_vector_fits(vector: dict[str, Any]) -> None:
    assert VALIDATOR.is_valid(vector["content"])


@pytest.mark.parametrize(
    "changes",
    [
        {"v": 2},
        {"kind": "sighting"},
        {"id": ""},
        {"on": "20.10.2026"},
        {"at": "2026-10-20T09:30:00Z"},
        {"device": "x"},
        {"fields": {}},
        {"fields": {"batch": "x", "n_rooted": "5"}},
        {"fields": {"batch": "x", "n_rooted": -1}},
        {"fields": {"batch": "x", "signs": "callus,new-leaf"}},
        {"fields": {"batch": "x", "cause": "bad luck"}},
        {"fields": {"batch": "x", "note": ""}},
    ],
)
def test_what_is_no_entry_does_not_fit(changes: dict[str, Any]) -> None:
    assert not VALIDATOR.is_valid(copy.deepcopy(VECTORS[0]["content"]) | changes)


@pytest.mark.parametrize("text", ["0", "-0.5", "12", "12.25", "0.000001", "1000"])
def test_a_canonical_decimal_fits(text: str) -> None:
    assert VALIDATOR.is_valid(reading(text))


@pytest.mark.parametrize("text", ["", "-0", "+1", "1.", ".5", "1.50", "01", "1e3", "0.0", "NaN"])
def test_any_other_way_to_write_a_decimal_does_not(text: str) -> None:
    assert not VALIDATOR.is_valid(reading(text))


def reading(air_c: str) -> dict[str, Any]:
    found = next(vector["content"] for vector in VECTORS if vector["table"] == "readings")
    whole: dict[str, Any] = copy.deepcopy(found)
    whole["fields"]["air_c"] = air_c
    return whole
