"""Where the batches of a load stand, and what it warns of."""

from __future__ import annotations

from pathlib import Path

import pytest

from slipwright.records import states, sums
from slipwright.records.models import BatchState
from slipwright.records.states import differences
from slipwright.records.tables.loading import load
from slipwright.records.tables.standings import FLAG_WORDS
from tests.databases import Database
from tests.records.tables.folders import NOW, SMALL, loaded, the_garden, written


def state(batch: str = "ROSE1") -> BatchState:
    return BatchState.rows.get(batch__batch=batch)


def test_states_are_what_the_entries_sum_to(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {
        "looks": "batch,on,n_rooted,n_lost,n_waiting\nROSE1,2026-11-15,4,1,11\nROSE1,2026-11-30,9,,2\n",
        "pottings": "batch,on,n_potted\nROSE1,2026-12-01,5\n",
        "acts": "batch,on,act,to_place\nROSE1,2026-12-02,move,Cold frame\nROSE1,2026-11-02,move,Bench 1\n",
    }
    report = loaded(tmp_path, tables)
    assert report.warnings == []
    assert (state().n_rooted, state().n_lost, state().n_waiting, state().n_to_pot) == (13, 1, 2, 8)
    assert state().place is not None
    assert str(state().place) == "Cold frame"
    assert state("ROSE2").n_waiting == 12
    assert list(differences(the_garden())) == []


def test_batches_of_the_garden_are_summed_with_what_they_had(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    head = "batch,on,n_rooted,n_lost,after,id\n"
    loaded(tmp_path, SMALL | {"looks": head + "ROSE1,2026-11-15,4,1,,a\n"})
    loaded(tmp_path, {"looks": head + "ROSE1,2026-11-22,3,0,a,b\nROSE1,2026-11-08,,1,,c\n"})
    assert (state().n_rooted, state().n_lost, state().n_looks) == (7, 2, 3)
    report = loaded(tmp_path, {"looks": head + "ROSE1,2026-11-23,6,0,a,d\n"})
    assert (state().n_rooted, state().flags) == (10, sums.TWO_LOOKS_FROM_ONE)
    assert [(one.file, one.line, one.column, one.value) for one in report.warnings] == [
        ("looks.csv", 2, "batch", "ROSE1")
    ]
    assert list(differences(the_garden())) == []


@pytest.mark.parametrize(
    ("looks", "pottings", "flag"),
    [
        ("ROSE1,2026-11-15,17,,,,,", "", sums.MORE_THAN_STUCK),
        ("ROSE1,2026-11-15,4,1,12,,,", "", sums.WAITING_DIFFERS),
        ("ROSE1,2026-11-15,1,,,2,,", "", sums.LOST_MORE_THAN_ROOTED),
        ("ROSE1,2026-11-15,,,,,1,2", "", sums.TRIED_DIFFERS),
        ("ROSE1,2026-10-15,1,,,,,", "", sums.BEFORE_STICKING),
        ("ROSE1,2026-11-15,1,,,,,", "ROSE1,2026-11-16,2\n", sums.POTTED_MORE_THAN_ROOTED),
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_counts_that_do_not_add_up_load_with_a_flag(
    database: Database, tmp_path: Path, looks: str, pottings: str, flag: str
) -> None:
    head = "batch,on,n_rooted,n_lost,n_waiting,n_lost_rooted,n_tried,n_tried_rooted\n"
    tables = SMALL | {"looks": head + looks + "\n", "pottings": "batch,on,n_potted\n" + pottings}
    report = loaded(tmp_path, tables)
    assert state().flags == flag
    warning = report.warnings[0]
    assert (report.n_warnings, warning.file, warning.line, warning.value) == (1, "looks.csv", 2, "ROSE1")
    assert warning.rule == f"flagged {flag}: {FLAG_WORDS[flag]}"
    assert list(differences(the_garden())) == []


def test_every_flag_has_its_words() -> None:
    assert FLAG_WORDS.keys() == set(sums.FLAGS)


def test_a_sum_beyond_what_is_kept_is_a_bad_line(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(states, "MOST", 16)
    looks = "batch,on,n_rooted\nROSE1,2026-11-15,10\nROSE1,2026-11-16,7\n"
    report = load(written(tmp_path, SMALL | {"looks": looks}), now=NOW)
    assert [(bad.file, bad.line, bad.value) for bad in report.rejected] == [("looks.csv", 3, "ROSE1")]
    assert report.rejected[0].rule.startswith("n_rooted of this batch must not sum to more than")


@pytest.mark.parametrize(
    ("counts", "column"),
    [("16,16,16,,", "n_waiting"), (",,,16,16", "n_to_pot")],
)
def test_so_is_what_is_left_of_sums_that_are_kept(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, counts: str, column: str
) -> None:
    monkeypatch.setattr(states, "MOST", 16)
    *looked, potted = counts.split(",")
    looks = f"batch,on,n_rooted,n_lost,n_removed,n_lost_rooted\nROSE1,2026-11-15,{','.join(looked)}\n"
    pottings = f"batch,on,n_potted\nROSE1,2026-11-16,{potted}\n" if potted else "batch,on,n_potted\n"
    report = load(written(tmp_path, SMALL | {"looks": looks, "pottings": pottings}), now=NOW)
    assert [(bad.line, bad.value) for bad in report.rejected] == [(2, "ROSE1")]
    assert (
        report.rejected[0].rule == f"{column} of this batch must not sum to more than 16; this makes it -32"
    )


TAXA = "taxon,rights,rights_until,licence,licence_until\nRosa 'Lantern Keeper',{}\n"


@pytest.mark.parametrize(
    ("rights", "lines"),
    [
        ("none,,,", []),
        ("unknown,,,", []),
        (",,,", []),
        ("protected,,,", [2, 3]),
        ("protected,2026-10-20,,", [2]),
        ("protected,,L-7,", []),
        ("protected,,L-7,2026-10-20", [3]),
        ("licensed,,,", [2, 3]),
        ("licensed,,L-7,2026-10-21", []),
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_history_of_a_protected_plant_loads_with_a_warning(
    database: Database, tmp_path: Path, rights: str, lines: list[int]
) -> None:
    report = loaded(tmp_path, SMALL | {"taxa": TAXA.format(rights)})
    assert [one.line for one in report.warnings] == lines
    assert all((one.file, one.column) == ("batches.csv", "taxon") for one in report.warnings)
    assert all(one.rule.startswith("loads as history. ") for one in report.warnings)


def test_rights_are_those_the_garden_has_after_the_load(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"taxa": TAXA.format("protected,,,")})
    batches = "batch,taxon,stuck_on,n_stuck,wood\nROSE{},Rosa 'Lantern Keeper',2026-10-22,5,hardwood\n"
    assert loaded(tmp_path, {"batches": batches.format(3)}).n_warnings == 1
    assert loaded(tmp_path, {"taxa": TAXA.format("none,,,"), "batches": batches.format(4)}).n_warnings == 0
