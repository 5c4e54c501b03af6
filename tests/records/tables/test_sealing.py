"""Ids and hashes of entries that came in tables."""

from __future__ import annotations

import uuid
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from slipwright.records.canonical import canonical, content, sha256
from slipwright.records.columns import ENTRY_TABLES, Table, table_named
from slipwright.records.tables.sealing import Sealer

GARDEN = "7d2b61f4-6f0e-4c1b-8e57-2a9c41d7f0b3"
LOOKS = table_named("looks")
ROW: dict[str, Any] = {
    "batch": "K7M2QX4G",
    "on": "2026-11-12",
    "n_lost": 1,
    "by": "wren",
    "note": "the one at the rim",
}


def _values(draw: Any, table: Table) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for column in table.columns:
        value = draw(
            st.integers(-(2**53) + 1, 2**53 - 1)
            if column.kind == "integer"
            else st.text(min_size=1, max_size=8)
        )
        if column.name == table.when or draw(st.booleans()):
            found[column.name] = value
    return found


@st.composite
def rows(draw: Any) -> tuple[Table, dict[str, Any]]:
    table = draw(st.sampled_from(ENTRY_TABLES))
    return table, _values(draw, table)


@given(rows())
def test_the_pieces_make_the_canonical_content(row: tuple[Table, dict[str, Any]]) -> None:
    table, values = row
    inner = {name: value for name, value in values.items() if name not in (table.when, "by", "id")}
    whole = {"kind": table.kind, "v": 1, "garden": GARDEN, "fields": inner}
    whole["at" if table.when == "at" else "on"] = values[table.when]
    whole |= {"by": values["by"]} if "by" in values else {}
    made = str(uuid.uuid5(uuid.UUID(GARDEN), f"{table.name}\n{canonical(whole).decode()}\n3"))
    entry_id, hashed = Sealer(table, GARDEN, table.names).seal(values, 3)
    assert entry_id == values.get("id", made)
    assert hashed == sha256(whole | {"id": entry_id})


def test_the_hash_is_that_of_the_content_the_records_make() -> None:
    values = ROW | {"id": "look-1"}
    assert Sealer(LOOKS, GARDEN, values).seal(values) == ("look-1", sha256(content(LOOKS, GARDEN, values)))


def test_an_id_is_made_from_garden_table_row_and_ordinal() -> None:
    seal = Sealer(LOOKS, GARDEN, ROW).seal
    # Worked out by hand: uuid.uuid5 of the three lines.
    lines = (
        'looks\n{"by":"wren","fields":{"batch":"K7M2QX4G","n_lost":1,"note":"the one at the rim"},'
        f'"garden":"{GARDEN}","kind":"look","on":"2026-11-12","v":1}}\n1'
    )
    assert seal(ROW)[0] == str(uuid.uuid5(uuid.UUID(GARDEN), lines))
    assert seal(ROW)[0] == seal(dict(reversed(ROW.items())))[0]
    others = {
        seal(ROW, 2)[0],
        seal(ROW | {"n_lost": 2})[0],
        Sealer(LOOKS, str(uuid.UUID(int=1)), ROW).seal(ROW)[0],
    }
    assert len(others | {seal(ROW)[0]}) == 4
