"""The same bad row is refused whether it is recorded, received or loaded."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.canonical import content, plain, sha256
from slipwright.records.columns import table_named
from slipwright.records.errors import BadValue
from slipwright.records.models import ENTRY_MODELS, Garden, Member, SetAside
from slipwright.records.rules import in_years, is_ahead
from slipwright.records.tables.loading import load
from tests.records.making import stick

ON = date(2025, 10, 15)
AT = datetime(2025, 10, 15, 9, 30, tzinfo=UTC)
BATCH = "7K3F"

RECORD: dict[str, Callable[..., Any]] = {
    "looks": services.record_look,
    "acts": services.record_act,
    "notes": services.record_note,
}

#: table, the columns that are wrong, the column that is named, words of the rule
BAD: dict[str, tuple[str, dict[str, Any], str, str]] = {
    "a day to come": ("looks", {"on": date(2025, 10, 22)}, "on", "in the future"),
    "a moment to come": ("notes", {"at": AT + timedelta(days=7)}, "at", "in the future"),
    "a year with a digit lost": ("looks", {"on": date(202, 10, 15)}, "on", "between 1900 and 2200"),
    "the first year": ("looks", {"on": date(1, 1, 1)}, "on", "between 1900 and 2200"),
    "a moment a thousand years ago": ("notes", {"at": AT.replace(year=999)}, "at", "between 1900 and 2200"),
    "a year beyond all": ("acts", {"on": date(2201, 1, 1)}, "on", "between 1900 and 2200"),
    "an act on nothing": ("acts", {"batch": ""}, "act", "to which batch, place or plant"),
    "a move of nothing": (
        "acts",
        {"batch": "", "act": "move", "to_place": "frame-1"},
        "act",
        "to which batch, place or plant",
    ),
    "a move to nowhere": ("acts", {"act": "move"}, "to_place", "must be given for a move"),
    "a look after a later one": (
        "looks",
        {"on": date(2025, 10, 13), "after": "look-1"},
        "after",
        "not be of a later day",
    ),
    "a look after itself": ("looks", {"after": "new-1"}, "after", "must be"),
}
GOOD: dict[str, dict[str, Any]] = {
    "looks": {"batch": BATCH, "on": ON, "after": "look-1"},
    "acts": {"batch": BATCH, "on": ON, "act": "water"},
    "notes": {"about": BATCH, "at": AT, "text": "soft at the rim"},
}


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    stick(**who, batch=BATCH)
    services.record_look(**who, batch=BATCH, on=date(2025, 10, 14), entry_id="look-1")
    return who


def n_entries() -> int:
    return sum(model.rows.count() for model in ENTRY_MODELS)


def as_sent(garden: Garden, name: str, row: dict[str, Any]) -> dict[str, Any]:
    told = {column: value for column, value in row.items() if value != ""}
    return content(table_named(name), str(garden.garden), told | {"id": "new-1", "by": "grower"})


def as_loaded(folder: Path, name: str, row: dict[str, Any]) -> Path:
    with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow([*row, "id", "by"])
        writer.writerow([*(plain(value) for value in row.values()), "new-1", "grower"])
    return folder


@pytest.mark.parametrize("case", BAD)
def test_a_bad_row_is_refused_by_every_way_in(case: str, who: dict[str, Any], tmp_path: Path) -> None:
    name, wrong, column, words = BAD[case]
    row = GOOD[name] | wrong
    before = n_entries()

    with pytest.raises(BadValue, match=words) as caught:
        RECORD[name](**who, **row, entry_id="new-1")
    assert caught.value.column == column

    sent = as_sent(who["garden"], name, row)
    answer = services.receive_entry(**who, content=sent, sha256=sha256(sent))
    assert (answer.status, answer.reason.split(":")[0]) == ("set-aside", column)
    assert words in answer.reason
    assert json.loads(SetAside.rows.get().content) == sent

    report = load(as_loaded(tmp_path, name, row), now=who["now"])
    assert [(bad.file, bad.line, bad.column) for bad in report.rejected] == [(f"{name}.csv", 2, column)]
    assert words in report.rejected[0].rule
    assert n_entries() == before


@pytest.mark.parametrize("name", GOOD)
def test_the_good_row_is_one_and_the_same_by_every_way_in(
    name: str, who: dict[str, Any], tmp_path: Path
) -> None:
    record = RECORD[name](**who, **GOOD[name], entry_id="new-1")
    sent = as_sent(who["garden"], name, GOOD[name])
    assert services.receive_entry(**who, content=sent, sha256=sha256(sent)).number == record.number
    report = load(as_loaded(tmp_path, name, GOOD[name]), now=who["now"])
    assert (report.rejected, report.unchanged) == ([], 1)


def test_the_years_are_those_named() -> None:
    assert [in_years(date(year, 6, 1)) for year in (1899, 1900, 2200, 2201)] == [False, True, True, False]


def test_a_day_ahead_is_a_time_zone_and_two_are_not() -> None:
    now = datetime(2025, 10, 20, 15, 30, tzinfo=UTC)
    assert not is_ahead(date(2025, 10, 21), now)
    assert is_ahead(date(2025, 10, 22), now)
    assert not is_ahead(now + timedelta(days=1), now)
    assert is_ahead(now + timedelta(days=1, seconds=1), now)
