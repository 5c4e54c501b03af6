"""Whether everything that was ever recorded is still there, and still what it was.

The check reads the database as it stood at one moment and keeps nobody from recording.  It mends
nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from django.core.exceptions import ObjectDoesNotExist
from django.db import DatabaseError, connections
from django.db.models import Max

from slipwright.records import states
from slipwright.records.contents import damaged
from slipwright.records.keeping import diary, schema
from slipwright.records.keeping.disk import file_system_of, is_on_network, room_at
from slipwright.records.keeping.gaps import runs_of_gaps
from slipwright.records.keeping.opening import garden_file, snapshot, vendor
from slipwright.records.keeping.pictures import bad_pictures
from slipwright.records.keeping.sqlite_build import has_wal_fault, linked_version
from slipwright.records.keeping.trail import off_trail
from slipwright.records.models import ENTRY_MODELS, Garden, Sticking, Withdrawal

#: Called with what is being done, how far it is, and how far it goes (0 if that is not known).
Told = Callable[[str, int, int], None]


#: So many gaps in the numbers are told one by one; all are counted.
SHOWN = 100

#: A newest copy older than this is told of.
COPY_TOO_OLD = timedelta(days=2)

#: What reading raises where a value is not what its column can hold, or a page is not what it was.
UNREADABLE = (
    DatabaseError,
    ValueError,
    TypeError,
    LookupError,
    ArithmeticError,
    AttributeError,
    ObjectDoesNotExist,
)

Level = Literal["damage", "warning"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that is not as it should be; ``where`` is a table or a part of the machine."""

    level: Level
    where: str
    id: str | None
    what: str

    def __str__(self) -> str:
        return f"{self.where}{f' {self.id}' if self.id else ''}: {self.what}"


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. ``ok`` says that nothing is damaged; there may be warnings."""

    database: str
    n_entries: int
    n_batches: int
    findings: tuple[Finding, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing is damaged."""
        return not any(finding.level == "damage" for finding in self.findings)


def selfcheck(*, told: Told | None = None, now: datetime | None = None) -> Checked:
    """Check the garden's database whole, its pictures, and the machine it lies on.

    With ``now`` the age of the newest copy is told too.
    """
    findings = list(_machine())
    if now is not None:
        findings.extend(_copies(now))
    try:
        state = schema.state()
        if state != "current":
            level: Level = "damage" if state == "absent" else "warning"
            findings.append(Finding(level, "schema", None, _SCHEMA[state]))
            return Checked(described(), 0, 0, tuple(findings))
        found, n_entries, n_batches = checked_records(told=told)
        found.extend(_caught(_pictures(told), "photos"))
    except UNREADABLE as error:  # too damaged even to be opened
        found, n_entries, n_batches = [Finding("damage", "file", None, f"cannot be read: {error}")], 0, 0
    return Checked(described(), n_entries, n_batches, (*findings, *found))


_SCHEMA = {
    "absent": "there is no garden here",
    "older": "of an older version: run slipwright migrate, then check again",
    "newer": "of a newer version: check it with that one",
}


def checked_records(*, using: str = "default", told: Told | None = None) -> tuple[list[Finding], int, int]:
    """Return what is wrong with the records of a database, and how many entries and batches it has."""
    findings: list[Finding] = []
    n_entries = n_batches = 0
    with snapshot(using):
        if told is not None:
            told("reading every page of the file", 0, 0)
        for check in (_file, _triggers):
            findings.extend(_caught(check(using), check.__name__.strip("_")))
        try:
            n_entries = sum(model.rows.using(using).count() for model in ENTRY_MODELS)
            n_batches = Sticking.rows.using(using).count()
            gardens = list(Garden.objects.using(using).order_by("pk"))
        except UNREADABLE as error:
            return [*findings, Finding("damage", "file", None, str(error))], 0, 0
        so_far = 0
        for garden in gardens:
            n = sum(model.rows.using(using).of(garden).count() for model in ENTRY_MODELS)
            findings.extend(_caught(_entries(garden, using, told, so_far, n_entries), "entries"))
            findings.extend(_caught(_rows(garden, using), "rows"))
            findings.extend(_caught(_numbers(garden, using), "entries"))
            findings.extend(_caught(_lost(garden, using), "entries"))
            findings.extend(_caught(_states(garden, using, told, n_batches), "batch states"))
            so_far += n
    return findings, n_entries, n_batches


def described(using: str = "default") -> str:
    """Return what the database is, in words."""
    connection = connections[using]
    if connection.vendor == "sqlite":
        return f"SQLite {'.'.join(map(str, linked_version()))}, {garden_file(using)}"
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version")
        (version,) = cursor.fetchone() or ("",)
    return f"PostgreSQL {version}, {connection.settings_dict['NAME']}"


def _caught(findings: Iterator[Finding], where: str) -> Iterator[Finding]:
    """Yield findings; what is too damaged to be read is one more."""
    try:
        yield from findings
    except UNREADABLE as error:
        yield Finding("damage", where, None, f"cannot be read: {error}")


def _machine() -> Iterator[Finding]:
    if vendor() != "sqlite":
        return
    if has_wal_fault(linked_version()):
        version = ".".join(map(str, linked_version()))
        yield Finding(
            "warning",
            "SQLite",
            version,
            "can, rarely, damage a file that several programs write at once; install pysqlite3 or SQLite "
            "3.51.3 or newer",
        )
    file = garden_file()
    if is_on_network(file):
        yield Finding(
            "warning",
            "disk",
            file_system_of(file),
            "the garden lies on a network drive, where SQLite can lose what is written; move it to a disk of "
            "this machine",
        )
    if (room := room_at(file)).is_short:
        share = 100 * room.free / room.total
        yield Finding(
            "warning", "disk", None, f"{room.free / 1e6:,.0f} MB are free ({share:.0f} per cent): make room"
        )


def _copies(now: datetime) -> Iterator[Finding]:
    newest = diary.read().newest(now)
    if newest is None:
        what = "no checked copy of this garden is known here: slipwright backup makes one"
        yield Finding("warning", "backup", None, what)
    elif (old := now - newest.at) > COPY_TOO_OLD:
        yield Finding("warning", "backup", newest.file, f"the newest checked copy is {old.days} days old")


def _pictures(told: Told | None) -> Iterator[Finding]:
    if told is not None:
        told("reading every picture", 0, 0)
    for bad in bad_pictures():
        yield Finding("damage", "photos", bad.entry_id, f"its picture {bad.file} is {bad.fault}")


def _file(using: str) -> Iterator[Finding]:
    """Check what SQLite itself can tell; PostgreSQL keeps its own watch."""
    if vendor(using) != "sqlite":
        return
    with connections[using].cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        for (line,) in cursor.fetchall():
            if line != "ok":
                yield Finding("damage", "file", None, line)
        cursor.execute("PRAGMA foreign_key_check")
        for table, rowid, parent, _ in cursor.fetchall():
            yield Finding("damage", table, str(rowid), f"refers to a row of {parent} that is not there")


def _triggers(using: str) -> Iterator[Finding]:
    """Check that the database still refuses to change or delete entries."""
    for table, name in missing_triggers(using):
        yield Finding("damage", table, name, "the trigger that keeps entries from change is gone")


def missing_triggers(using: str = "default") -> Iterator[tuple[str, str]]:
    """Yield table and name of each trigger that should guard entries and is gone or does nothing."""
    standing = _standing_triggers(using)
    for model in ENTRY_MODELS:
        table = model._meta.db_table
        for name in expected_triggers(table, vendor(using)):
            if (table, name) not in standing:
                yield table, name


def expected_triggers(table: str, vendor: str) -> tuple[str, ...]:
    """Return the names of the triggers that guard an entry table."""
    ends = ("no_update", "no_delete") if vendor == "sqlite" else ("stands", "not_emptied")
    return tuple(f"{table}_{end}" for end in ends)


def _standing_triggers(using: str) -> set[tuple[str, str]]:
    query = (
        "SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger' AND sql LIKE '%RAISE(ABORT%'"
        if vendor(using) == "sqlite"
        else "SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
        "JOIN pg_namespace n ON n.oid = c.relnamespace "
        "WHERE n.nspname = current_schema() AND t.tgenabled IN ('O', 'A')"
    )
    with connections[using].cursor() as cursor:
        cursor.execute(query)
        return {(table, name) for table, name in cursor.fetchall()}


def _entries(garden: Garden, using: str, told: Told | None, so_far: int, total: int) -> Iterator[Finding]:
    def counted(n: int) -> None:
        if told is not None:
            told("reading every entry", so_far + n, total)

    for bad in damaged(garden, using=using, told=counted):
        yield Finding("damage", bad.table, bad.entry_id, bad.why)


def _rows(garden: Garden, using: str) -> Iterator[Finding]:
    for off in off_trail(garden, using=using):
        yield Finding("damage", off.table, off.key, off.what)


def _numbers(garden: Garden, using: str) -> Iterator[Finding]:
    for model in ENTRY_MODELS:
        rows = model.rows.using(using).of(garden)
        last = rows.aggregate(last=Max("number"))["last"] or 0
        if last > garden.last_number:
            yield Finding(
                "damage",
                model._meta.db_table,
                str(last),
                f"a number was given that the garden does not know of; its last is {garden.last_number}",
            )
        withdrawn = Withdrawal.rows.using(using).of(garden).filter(withdraws_kind=model.kind)
        for lost in withdrawn.exclude(withdraws__in=rows.values("entry_id")).values_list(
            "entry_id", flat=True
        ):
            yield Finding("damage", "withdrawals", lost, f"takes back a {model.kind} that is not there")


def _lost(garden: Garden, using: str) -> Iterator[Finding]:
    """Check that each number the garden gave stands on exactly one entry: a lost one leaves a gap."""
    n_more = 0
    for n_told, (first, last, is_twice) in enumerate(runs_of_gaps(garden, using)):
        which = f"{first}" if first == last else f"{first} to {last}"
        if n_told >= SHOWN:
            n_more += 1
        elif is_twice:
            yield Finding("damage", "numbers", which, "stands on more than one entry")
        else:
            lost = "an entry was lost" if first == last else f"{last - first + 1:,} entries were lost"
            yield Finding("damage", "numbers", which, f"given out, and nothing has it now: {lost}")
    if n_more:
        yield Finding("damage", "numbers", None, f"{n_more:,} more gaps")


def _states(garden: Garden, using: str, told: Told | None, total: int) -> Iterator[Finding]:
    def counted(n: int) -> None:
        if told is not None:
            told("summing every batch anew", n, total)

    for found in states.differences(garden, using=using, told=counted):
        what = f"{found.column} is kept as {found.kept}, and the entries sum to {found.summed}"
        yield Finding("damage", "batch states", found.batch, what if found.column else "it has no state")
