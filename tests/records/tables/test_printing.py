"""The page about the tables says what the list of columns says, and its examples load."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from slipwright.records.columns import TABLES
from slipwright.records.tables import __main__ as command
from slipwright.records.tables.examples import CAUTIONS, EXAMPLES, PURPOSES
from slipwright.records.tables.loading import load
from slipwright.records.tables.printing import tables_markdown
from tests.databases import Database
from tests.records.tables.folders import written

DOCUMENT = Path(__file__).parents[3] / "docs" / "tables.md"
NAMES = [table.name for table in TABLES]


def test_the_page_is_the_one_printed() -> None:
    assert DOCUMENT.read_text("utf-8") == tables_markdown(), "run python -m slipwright.records.tables"


def test_the_command_writes_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "docs").mkdir()
    monkeypatch.chdir(tmp_path)
    command.main([])
    command.main(["other.md"])
    assert (tmp_path / "docs" / "tables.md").read_text("utf-8") == tables_markdown()
    assert (tmp_path / "other.md").read_text("utf-8") == tables_markdown()


def test_every_table_has_its_purpose_and_example() -> None:
    assert list(PURPOSES) == list(EXAMPLES) == NAMES
    assert CAUTIONS.keys() <= set(NAMES)


def test_every_column_is_on_the_page() -> None:
    page = tables_markdown()
    for table in TABLES:
        section = page.split(f"\n## {table.name}.csv\n")[1].split("\n## ")[0]
        for column in table.columns:
            (row,) = [line for line in section.splitlines() if line.startswith(f"| `{column.name}` |")]
            assert ("**must**" in row) == column.required
            assert all(f"`{word}`" in row for word in column.choices)


def test_the_examples_are_a_garden_that_loads(database: Database, tmp_path: Path) -> None:
    tables = {name: text.lstrip() for name, text in EXAMPLES.items()}
    report = load(written(tmp_path, tables), now=datetime(2026, 1, 1, tzinfo=UTC))  # whoever tries them out
    assert report.rejected == []
    assert [(warning.file, warning.column) for warning in report.warnings] == [("photos.csv", "file")]
    assert all(report.tables[name].accepted for name in NAMES)
