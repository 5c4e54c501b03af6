"""Entries of a load: sealed, kept in the scratch, and compared with what the garden has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from slipwright.records.columns import ENTRY_TABLES, Table
from slipwright.records.models import Garden
from slipwright.records.rows import MODELS
from slipwright.records.rules import NOT_AHEAD, latest, row_fault
from slipwright.records.tables.checking import Plain
from slipwright.records.tables.links import Links
from slipwright.records.tables.reading import TableReader
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import ENTRY_EXTRAS, Scratch, in_chunks
from slipwright.records.tables.sealing import Sealer


def take(
    reader: TableReader, garden: str, scratch: Scratch, links: Links, report: LoadReport, now: datetime
) -> None:
    """Take in the entries of one table that could have been seen by ``now``."""
    table = reader.table
    scratch.make_for(table)
    names = [column.name for column in reader.columns if column.name != "id"]
    found = ("at_utc", "at_offset_min") if table.when == "at" else ()
    rows = _sealed_rows(reader, names, garden, links, report, _latest(table, now))
    scratch.write(table.name, (*ENTRY_EXTRAS, *names, *found), rows)


def _sealed_rows(
    reader: TableReader, names: Sequence[str], garden: str, links: Links, report: LoadReport, last: str
) -> Iterator[tuple[Any, ...]]:
    table = reader.table
    seal = Sealer(table, garden, names).seal
    named = links.of(table)
    codes = links.given["batches"] if table.name == "batches" else None
    is_moment = table.when == "at"
    n = 0
    for line, values, sound in reader.rows():
        for name, keys in named:
            if name in values:
                keys.add(values[name])
        if codes is not None and (code := values.get("batch")) and codes.setdefault(code, line) != line:
            if sound:
                rule = f"stands twice in {reader.file}, first on line {codes[code]}"
                report.reject(table.name, remark(reader.file, line, "batch", code, rule))
            continue
        if not sound:
            continue
        end = _utc(str(values["at"])) if is_moment else ()
        when = end[0] if end else values[table.when]
        fault = (table.when, NOT_AHEAD) if str(when) > last else row_fault(table.name, values)
        if fault is not None:
            column, rule = fault
            report.reject(table.name, remark(reader.file, line, column, values.get(column, ""), rule))
            continue
        n += 1
        entry_id, sha256 = seal(values)
        yield (n, line, n, "id" not in values, entry_id, sha256, *map(values.get, names), *end)


def _utc(at: str) -> tuple[str, int]:
    """Return a moment as the database keeps it, and its offset in minutes."""
    moment = datetime.fromisoformat(at)
    offset = moment.utcoffset() or timedelta()
    # not strftime: its %Y does not pad a year everywhere
    text = moment.astimezone(UTC).replace(tzinfo=None).isoformat(sep=" ", timespec="seconds")
    return text, offset // timedelta(minutes=1)


def _latest(table: Table, now: datetime) -> str:
    """Return the last day or moment that may have been seen at ``now``, as the database keeps it."""
    last = latest(now)
    return _utc(last.isoformat())[0] if table.when == "at" else last.date().isoformat()


def tell_apart(table: Table, garden: str, scratch: Scratch, report: LoadReport) -> None:
    """See to it that every id stands once; equal rows without ids get made ones by their ordinal."""
    name = table.name
    scratch.index(name, "entry_id")
    twice = scratch.rows(f'SELECT entry_id FROM "{name}" GROUP BY entry_id HAVING count(*) > 1')
    sealer = Sealer(table, garden, table.names)
    for (entry_id,) in list(twice):
        rows = list(
            scratch.rows(f'SELECT n, line, made FROM "{name}" WHERE entry_id = ? ORDER BY n', entry_id)
        )
        given = next((line for _, line, made in rows if not made), None)
        if given is None:
            again = [(n, ordinal) for ordinal, (n, _, _) in enumerate(rows, 1)][1:]
            scratch.db.executemany(
                f'UPDATE "{name}" SET entry_id = ?, sha256 = ? WHERE n = ?',
                _sealed_again(sealer, table, scratch, again),
            )
            continue
        for _, line, made in rows:
            if line != given:
                rule = f"stands twice in {name}.csv, first on line {given}"
                if made:
                    rule = f"is the id made from this row, and line {given} has it: give this one its own"
                report.reject(name, remark(f"{name}.csv", line, "id", entry_id, rule))


def _sealed_again(
    sealer: Sealer, table: Table, scratch: Scratch, again: list[tuple[int, int]]
) -> Iterator[tuple[str, str, int]]:
    names = [name for name in table.names if name != "id"]
    listed = ", ".join(f'"{name}"' for name in names)
    for n, ordinal in again:
        row = scratch.db.execute(f'SELECT {listed} FROM "{table.name}" WHERE n = ?', (n,)).fetchone()
        values: dict[str, Plain] = {k: v for k, v in zip(names, row, strict=True) if v is not None}
        yield (*sealer.seal(values, ordinal), n)


def compare(table: Table, garden: Garden | None, scratch: Scratch, report: LoadReport) -> None:
    """Take out of the scratch what the garden has already; report what it has otherwise."""
    count = report.count(table.name)
    name = table.name
    if garden is not None and MODELS[name]._default_manager.filter(garden=garden).exists():
        there = _there(table, garden, scratch, report)
        scratch.db.executemany(f'DELETE FROM "{name}" WHERE n = ?', ((n,) for n in there))
        if there:
            scratch.db.execute(
                f'UPDATE "{name}" SET k = o.k FROM (SELECT n AS m, row_number() OVER (ORDER BY n) AS k '
                f'FROM "{name}") AS o WHERE o.m = n'
            )
        count.unchanged += len(there)
        if name == "batches":
            _codes_are_free(garden, scratch, report)
    count.accepted = int(scratch.one(f'SELECT count(*) FROM "{name}"'))


def _there(table: Table, garden: Garden, scratch: Scratch, report: LoadReport) -> list[int]:
    """Return the rows that the garden has with the same content."""
    name = table.name
    manager = MODELS[name]._default_manager
    there = []
    for chunk in in_chunks(scratch.rows(f'SELECT n, line, entry_id, sha256 FROM "{name}" ORDER BY n')):
        rows = manager.filter(garden=garden, entry_id__in=[row[2] for row in chunk])
        kept = dict(rows.values_list("entry_id", "sha256"))
        for n, line, entry_id, sha256 in chunk:
            if (other := kept.get(entry_id)) is None:
                continue
            if other == sha256:
                there.append(n)
            else:
                report.reject(name, remark(f"{name}.csv", line, "id", entry_id, _CLASH))
    return there


_CLASH = (
    "is the id of an entry that says something else; entries are never changed: withdraw the old one and "
    "give the new one an id of its own"
)


def _codes_are_free(garden: Garden, scratch: Scratch, report: LoadReport) -> None:
    manager = MODELS["batches"]._default_manager
    for chunk in in_chunks(scratch.rows("SELECT line, batch, entry_id FROM batches ORDER BY n")):
        rows = manager.filter(garden=garden, batch__in=[row[1] for row in chunk])
        kept = dict(rows.values_list("batch", "entry_id"))
        for line, batch, entry_id in chunk:
            if batch in kept and kept[batch] != entry_id:
                rule = (
                    f"is the code of a batch that says something else (its id is {kept[batch]}); {_UNCHANGED}"
                )
                report.reject("batches", remark("batches.csv", line, "batch", batch, rule))


_UNCHANGED = (
    "entries are never changed: withdraw the old one, and give the new one a code and an id of its own"
)


def new_rows(scratch: Scratch) -> dict[str, int]:
    """Return how many new entries there are, table by table in the order they are numbered."""
    return {
        table.name: int(scratch.one(f'SELECT count(*) FROM "{table.name}"'))
        for table in ENTRY_TABLES
        if scratch.has(table.name)
    }


def offsets(counts: dict[str, int]) -> dict[str, int]:
    """Return, for each table, how many new entries are numbered before its own."""
    found, before = {}, 0
    for name, n in counts.items():
        found[name] = before
        before += n
    return found
