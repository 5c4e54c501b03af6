"""Withdrawals of a load: what they take back, and what they must not."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence

from slipwright.records.columns import ENTRY_TABLES
from slipwright.records.models import (
    Act,
    Garden,
    Look,
    Note,
    Outcome,
    Photo,
    Plant,
    Potting,
    Sticking,
    Withdrawal,
)
from slipwright.records.tables.among import (
    entries_called,
    taken_back_here,
    withdrawn_here,
    withdrawn_in,
)
from slipwright.records.tables.links import LISTED
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch, in_chunks

FILE = "withdrawals.csv"
_REFERRING = (Look, Potting, Outcome, Act)
#: Columns by which a row of the load can refer to a batch.
_COLUMNS = (
    ("looks", "batch"),
    ("pottings", "batch"),
    ("outcomes", "batch"),
    ("acts", "batch"),
    ("batches", "from_batch"),
    ("plants", "from_batch"),
)


def find_targets(garden: Garden | None, scratch: Scratch, report: LoadReport) -> None:
    """Find out what every withdrawal of the load takes back; report those that cannot stand."""
    if not scratch.has("withdrawals"):
        return
    taken: dict[tuple[str, str], str] = {}
    rows = scratch.rows("SELECT n, line, withdraws FROM withdrawals ORDER BY n")
    for chunk in in_chunks(list(rows)):
        ids = [row[2] for row in chunk]
        found = _found(ids, garden, scratch)
        before = _taken_before(ids, garden)
        targets = []
        for n, line, entry_id in chunk:
            target, rule = _target(found.get(entry_id, []), entry_id, before)
            if target is not None and (first := taken.setdefault((target[0], entry_id), str(line))) != str(
                line
            ):
                rule = f"is taken back twice, first on line {first}"
            if rule:
                report.reject("withdrawals", remark(FILE, line, "withdraws", entry_id, rule))
            elif target is not None:
                targets.append((*target, n))
        scratch.db.executemany("UPDATE withdrawals SET withdraws_kind = ?, of_batch = ? WHERE n = ?", targets)
    scratch.index("withdrawals", "withdraws", "withdraws_kind")


def _found(
    ids: Sequence[str], garden: Garden | None, scratch: Scratch
) -> dict[str, list[tuple[str, str | None]]]:
    """Return, for each id, the kind and the batch of the entries that have it."""
    found: dict[str, list[tuple[str, str | None]]] = {}
    for table in ENTRY_TABLES:
        for entry_id, batch in entries_called(table, ids, garden, scratch):
            found.setdefault(entry_id, []).append((table.kind, batch))
    return found


def _taken_before(ids: Sequence[str], garden: Garden | None) -> set[tuple[str, str]]:
    if garden is None:
        return set()
    rows = Withdrawal.rows.of(garden).filter(withdraws__in=ids)
    return set(rows.values_list("withdraws_kind", "withdraws"))


def _target(
    found: list[tuple[str, str | None]], entry_id: str, before: set[tuple[str, str]]
) -> tuple[tuple[str, str | None] | None, str]:
    """Return the kind and batch of what an id takes back, or the rule against it."""
    entries = [target for target in found if target[0] != "withdrawal"]
    if not entries:
        if found:
            return None, "is itself a withdrawal, and that is not taken back: record the entry anew"
        return None, "must be the id of an entry, here or in the garden (a batch has an id beside its code)"
    if len(entries) > 1:
        kinds = ", ".join(kind for kind, _ in entries)
        return None, f"could be any of {kinds}: the id stands in several tables"
    if (entries[0][0], entry_id) in before:
        return None, "was taken back before"
    return entries[0], ""


def check_gone_batches(garden: Garden | None, scratch: Scratch, report: LoadReport) -> None:
    """Report what stands and refers to a batch that is taken back, in the load or in the garden."""
    here = _gone_here(scratch)
    gone = here.keys() | _gone_in(garden)
    if gone:
        _check_rows(gone, scratch, report)
    if garden is not None:
        for chunk in in_chunks(here):
            for batch, what in _left_in(garden, chunk, here, scratch):
                line, _ = here[batch]
                rule = f"is the sticking of {batch}, and {what} still refers to it: take that back first"
                report.reject("withdrawals", remark(FILE, line, "withdraws", here[batch][1], rule))


def _gone_here(scratch: Scratch) -> dict[str, tuple[int, str]]:
    """Return the batches the load takes back, each with the line and what it withdraws."""
    if not scratch.has("withdrawals"):
        return {}
    rows = scratch.rows(
        "SELECT of_batch, line, withdraws FROM withdrawals WHERE withdraws_kind = ?", Sticking.kind
    )
    return {batch: (line, withdraws) for batch, line, withdraws in rows}


def _gone_in(garden: Garden | None) -> set[str]:
    if garden is None:
        return set()
    rows = Sticking.rows.of(garden).filter(entry_id__in=withdrawn_in(garden, Sticking.kind))
    return set(rows.values_list("batch", flat=True))


def _check_rows(gone: Iterable[str], scratch: Scratch, report: LoadReport) -> None:
    listed = json.dumps(sorted(gone))
    for name, column in _COLUMNS:
        if name not in scratch.tables:
            continue
        stands = "1" if name == "plants" else f"NOT {taken_back_here(_TABLES[name], scratch)}"
        sql = f'SELECT line, "{column}" FROM "{name}" WHERE "{column}" IN {LISTED} AND {stands} ORDER BY n'
        for line, batch in scratch.rows(sql, listed):
            rule = "is a batch that was taken back: what refers to it must be taken back too"
            report.reject(name, remark(f"{name}.csv", line, column, batch, rule))


_TABLES = {table.name: table for table in ENTRY_TABLES}


def _left_in(
    garden: Garden, batches: Sequence[str], here: dict[str, tuple[int, str]], scratch: Scratch
) -> Iterator[tuple[str, str]]:
    """Yield what of the garden still refers to batches that the load takes back: batch, and what."""
    for model in _REFERRING:
        gone = withdrawn_here(scratch, model.kind)
        rows = model.rows.of(garden).standing().filter(batch__batch__in=batches).order_by("number")
        for batch, entry_id in rows.values_list("batch__batch", "entry_id"):
            if entry_id not in gone:
                yield batch, f"the {model.kind} {entry_id}"
    gone = withdrawn_here(scratch, Sticking.kind)
    stuck_again = Sticking.rows.of(garden).standing().filter(from_batch__in=batches).order_by("number")
    for batch, code, entry_id in stuck_again.values_list("from_batch", "batch", "entry_id"):
        if entry_id not in gone:
            yield batch, f"batch {code}, stuck from it,"
    for batch, plant in (
        Plant.rows.of(garden).filter(from_batch__in=batches).values_list("from_batch", "plant")
    ):
        if not _is_given(scratch, plant):
            yield batch, f"plant {plant}, raised from it,"
    yield from _said_of(garden, batches, here, scratch)


def _is_given(scratch: Scratch, plant: str) -> bool:
    """Return whether the load changes a plant, so that its row is looked at there."""
    return "plants" in scratch.tables and bool(
        scratch.one("SELECT EXISTS (SELECT 1 FROM plants WHERE plant = ?)", plant)
    )


def _said_of(
    garden: Garden, batches: Sequence[str], here: dict[str, tuple[int, str]], scratch: Scratch
) -> Iterator[tuple[str, str]]:
    about = {batch: batch for batch in batches} | {here[batch][1]: batch for batch in batches}
    for model in (Note, Photo):
        gone = withdrawn_here(scratch, model.kind)
        rows = model.rows.of(garden).standing().filter(about__in=about).order_by("number")
        for what, entry_id in rows.values_list("about", "entry_id"):
            if entry_id not in gone:
                yield about[what], f"the {model.kind} {entry_id}"
