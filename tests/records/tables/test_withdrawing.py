"""Withdrawals in tables: what they take back, and what they must not."""

from __future__ import annotations

from pathlib import Path

import pytest

from slipwright.records.models import BatchState, Look, Withdrawal
from slipwright.records.states import differences
from slipwright.records.tables.loading import load
from tests.databases import Database
from tests.records.tables.folders import NOW, SMALL, loaded, the_garden, written

HEAD = "withdraws,at,reason,id\n"
LOOKS = "batch,on,n_lost,id\nROSE1,2026-11-08,3,look-1\nROSE1,2026-11-15,1,look-2\n"


def withdrawing(*ids: str) -> str:
    return HEAD + "".join(
        f"{entry_id},2026-11-20T09:00:00-05:00,wrong pot,w-{n}\n" for n, entry_id in enumerate(ids)
    )


def told(tmp_path: Path, tables: dict[str, str]) -> list[tuple[str, int, str, str]]:
    report = load(written(tmp_path, tables), now=NOW)
    return [(bad.file, bad.line, bad.column, bad.value) for bad in report.rejected]


def rules(tmp_path: Path, tables: dict[str, str]) -> str:
    return " / ".join(bad.rule for bad in load(written(tmp_path, tables), now=NOW).rejected)


def test_an_entry_of_the_same_load_is_taken_back(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": LOOKS, "withdrawals": withdrawing("look-1")})
    assert Withdrawal.rows.get().withdraws_kind == "look"
    assert list(Look.rows.standing().values_list("entry_id", flat=True)) == ["look-2"]
    assert BatchState.rows.get(batch__batch="ROSE1").n_lost == 1
    assert list(differences(the_garden())) == []


def test_an_entry_of_the_garden_is_taken_back(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": LOOKS})
    assert BatchState.rows.get(batch__batch="ROSE1").n_lost == 4
    loaded(tmp_path, {"withdrawals": withdrawing("look-2")})
    assert BatchState.rows.get(batch__batch="ROSE1").n_lost == 3
    assert list(differences(the_garden())) == []
    assert loaded(tmp_path, {"withdrawals": withdrawing("look-2")}).accepted == 0


def test_nothing_is_taken_back_that_is_not_there(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {"withdrawals": withdrawing("look-1")}
    assert told(tmp_path, tables) == [("withdrawals.csv", 2, "withdraws", "look-1")]
    assert "must be the id of an entry" in rules(tmp_path, tables)


def test_a_batch_is_taken_back_by_its_id_not_its_code(database: Database, tmp_path: Path) -> None:
    assert "an id beside its code" in rules(tmp_path, SMALL | {"withdrawals": withdrawing("ROSE1")})
    loaded(tmp_path, SMALL | {"withdrawals": withdrawing("stick-1")})
    state = BatchState.rows.get(batch__batch="ROSE1")
    assert (state.withdrawn, state.ended_on and state.ended_on.isoformat()) == (True, "2026-11-20")
    assert list(differences(the_garden())) == []


def test_a_withdrawal_is_not_taken_back(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {"looks": LOOKS, "withdrawals": withdrawing("look-1", "w-0")}
    assert told(tmp_path, tables) == [("withdrawals.csv", 3, "withdraws", "w-0")]
    assert "is itself a withdrawal" in rules(tmp_path, tables)


def test_nothing_is_taken_back_twice(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {"looks": LOOKS, "withdrawals": withdrawing("look-1", "look-1")}
    assert told(tmp_path, tables) == [("withdrawals.csv", 3, "withdraws", "look-1")]
    assert "twice, first on line 2" in rules(tmp_path, tables)
    loaded(tmp_path, SMALL | {"looks": LOOKS, "withdrawals": withdrawing("look-1")})
    again = {"withdrawals": withdrawing("look-1").replace("w-0", "w-9")}
    assert "was taken back before" in rules(tmp_path, again)


def test_an_id_of_two_tables_is_not_guessed_at(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {
        "looks": LOOKS,
        "pottings": "batch,on,n_potted,id\nROSE1,2026-12-01,1,look-1\n",
        "withdrawals": withdrawing("look-1"),
    }
    assert told(tmp_path, tables) == [("withdrawals.csv", 2, "withdraws", "look-1")]
    assert "could be any of look, potting" in rules(tmp_path, tables)


@pytest.mark.parametrize(
    ("name", "text", "column"),
    [
        ("looks", LOOKS, "batch"),
        ("pottings", "batch,on,n_potted,id\nROSE1,2026-12-01,1,p\n", "batch"),
        ("outcomes", "batch,on,ready_as,id\nROSE1,2026-12-01,rooted,o\n", "batch"),
        ("acts", "batch,on,act,id\nROSE1,2026-12-01,water,a\n", "batch"),
        (
            "batches",
            "batch,taxon,stuck_on,n_stuck,wood,from_batch,id\n"
            "ROSE1,Rosa 'Lantern Keeper',2026-10-20,16,semi-hardwood,,stick-1\n"
            "ROSE9,Rosa 'Lantern Keeper',2026-11-20,6,semi-hardwood,ROSE1,b\n",
            "from_batch",
        ),
        ("plants", "plant,taxon,from_batch\nGate rose,Rosa,ROSE1\n", "from_batch"),
    ],
)
def test_a_sticking_goes_only_when_all_that_refers_to_it_goes(
    database: Database, tmp_path: Path, name: str, text: str, column: str
) -> None:
    tables = SMALL | {name: text}
    bad = load(written(tmp_path / "a", tables | {"withdrawals": withdrawing("stick-1")}), now=NOW).rejected
    assert {(one.file, one.column, one.value) for one in bad} == {(f"{name}.csv", column, "ROSE1")}
    assert "was taken back" in bad[0].rule
    loaded(tmp_path / "b", tables)
    bad = load(written(tmp_path / "b", {"withdrawals": withdrawing("stick-1")}), now=NOW).rejected
    assert {(one.file, one.line, one.column, one.value) for one in bad} == {
        ("withdrawals.csv", 2, "withdraws", "stick-1")
    }
    assert "still refers to it" in bad[0].rule


def test_a_sticking_goes_together_with_what_refers_to_it(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": LOOKS})
    loaded(tmp_path, {"withdrawals": withdrawing("stick-1", "look-1", "look-2")})
    assert BatchState.rows.get(batch__batch="ROSE1").withdrawn
    assert list(differences(the_garden())) == []


def test_nothing_more_is_loaded_about_a_batch_that_was_taken_back(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"withdrawals": withdrawing("stick-1")})
    assert told(tmp_path, {"looks": LOOKS}) == [
        ("looks.csv", 2, "batch", "ROSE1"),
        ("looks.csv", 3, "batch", "ROSE1"),
    ]


def test_a_note_about_a_batch_keeps_it_from_being_taken_back(database: Database, tmp_path: Path) -> None:
    notes = "about,at,text,id\nROSE1,2026-11-10T10:00:00Z,wet,note-1\n"
    loaded(tmp_path, SMALL | {"notes": notes})
    assert "the note note-1 still refers" in rules(tmp_path, {"withdrawals": withdrawing("stick-1")})
    loaded(tmp_path, {"withdrawals": withdrawing("stick-1", "note-1")})


def test_a_plant_that_is_set_free_in_the_same_load_does_not_hold_its_batch(
    database: Database, tmp_path: Path
) -> None:
    loaded(tmp_path, SMALL | {"plants": "plant,taxon,from_batch\nGate rose,Rosa,ROSE1\n"})
    loaded(tmp_path, {"plants": "plant,from_batch\nGate rose,\n", "withdrawals": withdrawing("stick-1")})


def test_a_code_stays_taken_when_its_batch_is_taken_back(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"withdrawals": withdrawing("stick-1")})
    anew = "batch,taxon,stuck_on,n_stuck,wood,id\nROSE1,Rosa,2026-10-20,15,hardwood,stick-9\n"
    assert told(tmp_path, {"batches": anew}) == [("batches.csv", 2, "batch", "ROSE1")]
