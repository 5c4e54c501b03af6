"""load(dump(x)) is x: the same rows in every table, wherever it is loaded."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from slipwright.records.columns import TABLES
from slipwright.records.contents import damaged
from slipwright.records.states import differences
from slipwright.records.tables.dumping import dump
from slipwright.records.tables.loading import load
from tests.databases import Database, Templates
from tests.records.tables.folders import NOW, dumped, the_garden, written
from tests.records.tables.random_gardens import Rows, as_csv, gardens, read_back


def loaded_from(tables: dict[str, Any]) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        report = load(written(Path(folder), tables), now=NOW)
    assert report.rejected == []
    return report


def _by(row: dict[str, Any]) -> list[tuple[str, str]]:
    return sorted((name, str(value)) for name, value in row.items())


@given(gardens())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_random_garden_comes_back_the_same(templates: Templates, rows: Rows) -> None:
    with templates.copy("sqlite"):
        loaded_from({table.name: as_csv(table, rows[table.name]) for table in TABLES})
        first = dumped(the_garden())
        for table in TABLES:
            back = read_back(table, first[f"{table.name}.csv"])
            assert sorted(back, key=_by) == sorted(rows[table.name], key=_by)
        assert list(damaged(the_garden())) == []
        assert list(differences(the_garden())) == []
        again = loaded_from({name.removesuffix(".csv"): data for name, data in first.items()})
        assert (again.accepted, again.unchanged) == (0, sum(map(len, rows.values())))
        assert dumped(the_garden()) == first
    with templates.copy("sqlite"):
        loaded_from({name.removesuffix(".csv"): data for name, data in first.items()})
        assert dumped(the_garden()) == first
        assert list(damaged(the_garden())) == []
        assert list(differences(the_garden())) == []


@pytest.fixture
def example(tmp_path: Path) -> dict[str, str]:
    from slipwright.records.tables.examples import EXAMPLES

    return {name: text.lstrip() for name, text in EXAMPLES.items()}


@pytest.mark.parametrize("name", ["garden.zip", "garden"])
def test_a_garden_goes_from_one_database_to_another(
    database: Database, templates: Templates, tmp_path: Path, example: dict[str, str], name: str
) -> None:
    loaded_from(example)
    before = dumped(the_garden())
    counts = dump(the_garden(), tmp_path / name)
    assert all(counts.values())
    with templates.copy("sqlite"):
        report = load(tmp_path / name, now=NOW)
        assert (report.n_rejected, report.accepted) == (0, sum(counts.values()))
        assert dumped(the_garden()) == before
        assert list(differences(the_garden())) == []
    assert load(tmp_path / name, now=NOW).accepted == 0


def test_hostile_text_comes_back_from_both_databases(database: Database, templates: Templates) -> None:
    from tests.records.tables.random_gardens import HOSTILE

    nasty = {
        "garden": "name,latitude_deg,longitude_deg,time_zone\n'=Saltmarsh,41.1,-72.4,UTC\n",
        "members": as_csv(
            TABLES[1],
            [{"member": f"m{n}", "role": "reader", "shown_as": text} for n, text in enumerate(HOSTILE)],
        ),
        "batches": "batch,taxon,stuck_on,n_stuck,wood,note\n'-B,Rosa,2026-10-20,5,hardwood,\"'\n=1\"\n",
    }
    loaded_from(nasty)
    first = dumped(the_garden())
    assert b"\r\n'-B,Rosa," in first["batches.csv"]
    assert b',"\'\n=1",' in first["batches.csv"]
    assert loaded_from({name.removesuffix(".csv"): data for name, data in first.items()}).accepted == 0
    with templates.copy("sqlite"):
        loaded_from({name.removesuffix(".csv"): data for name, data in first.items()})
        assert dumped(the_garden()) == first


@pytest.fixture
def services_garden(garden: Any, owner: Any, now: Any) -> Callable[[], Any]:
    from tests.records.making import every_kind_of_entry

    def make() -> Any:
        every_kind_of_entry(garden, owner, now)
        return garden

    return make


def test_what_was_recorded_one_by_one_comes_back_too(
    database: Database, templates: Templates, services_garden: Callable[[], Any]
) -> None:
    before = dumped(services_garden())
    tables = {name.removesuffix(".csv"): data for name, data in before.items()}
    assert loaded_from(tables).accepted == 0
    with templates.copy("sqlite"):
        loaded_from(tables)
        assert dumped(the_garden()) == before
        assert list(damaged(the_garden())) == []
        assert list(differences(the_garden())) == []
