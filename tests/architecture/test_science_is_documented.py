"""Every public function of the science packages says its units and its sources."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable

import pytest
from numpydoc.docscrape import FunctionDoc

from tests.architecture.source import ROOT, public_functions

FUNCTIONS = dict(public_functions())
NUMERIC = re.compile(r"\b(float|int|array|ndarray|Sequence\[float\]|Sequence\[int\])\b")
UNIT = re.compile(r"\[[^\]]+\]")


def faults(function: Callable[..., object]) -> list[str]:
    if not function.__doc__:
        return ["no docstring"]
    doc = FunctionDoc(function)
    found = []
    if not doc["References"]:
        found.append("no References")
    if not doc["Returns"] and not doc["Yields"]:
        found.append("no Returns")
    described = {
        name.strip("* "): parameter for parameter in doc["Parameters"] for name in parameter.name.split(",")
    }
    for name, parameter in inspect.signature(function).parameters.items():
        if name not in described:
            found.append(f"{name} is not described")
            continue
        words = " ".join([described[name].type, *described[name].desc])
        if NUMERIC.search(str(parameter.annotation)) and not UNIT.search(words):
            found.append(f"{name} has no unit")
    return found


def test_there_are_functions_to_check() -> None:
    assert len(FUNCTIONS) > 20


@pytest.mark.parametrize("name", FUNCTIONS)
def test_function_says_its_units_and_sources(name: str) -> None:
    assert faults(FUNCTIONS[name]) == []


@pytest.mark.parametrize("name", FUNCTIONS)
def test_parameters_stand_in_the_glossary(name: str) -> None:
    glossary = (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8")
    missing = [p for p in inspect.signature(FUNCTIONS[name]).parameters if f"`{p}`" not in glossary]
    assert missing == []


def test_a_bare_function_is_found_wanting() -> None:
    def bare(length_mm: float) -> float:
        """Return it.

        Parameters
        ----------
        length_mm : float
            Length.
        """
        return length_mm

    assert faults(bare) == ["no References", "no Returns", "length_mm has no unit"]
