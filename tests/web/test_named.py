"""Every word of a closed list has a name on the pages."""

from __future__ import annotations

import pytest

from slipwright.records.columns import TABLES
from slipwright.web.named import NAMES, named

WORDS = sorted({word for table in TABLES for column in table.columns for word in column.choices})


@pytest.mark.parametrize("word", [word for word in WORDS if word not in ("leaves-dry", "medium-soggy")])
def test_word_has_a_name(word: str) -> None:
    assert word in NAMES


def test_another_word_stands_as_it_is() -> None:
    assert named("Mist bench") == "Mist bench"
