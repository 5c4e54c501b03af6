"""Tables into a garden: all of them or, if one line is bad, nothing."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from django.db import DatabaseError, connection

from slipwright.records.columns import ENTRY_TABLES, TABLES
from slipwright.records.tables import entries, fixing, following, pictured, standings, withdrawing
from slipwright.records.tables.copying import Moved, copy
from slipwright.records.tables.gardens import Chosen, choose
from slipwright.records.tables.links import Links, check_links, taxa_to_add
from slipwright.records.tables.progress import Progress, quiet
from slipwright.records.tables.reading import TableReader
from slipwright.records.tables.references import ReferenceRows
from slipwright.records.tables.report import LoadReport
from slipwright.records.tables.scratch import Scratch, new_scratch
from slipwright.records.tables.source import BadSource, Source, opened

#: How often tables are checked anew because the garden was changed meanwhile.
TRIES = 3


class LoadFailed(RuntimeError):
    """The tables may be good, but they could not be loaded; nothing was written."""


def load(path: Path, *, now: datetime, within: str = "", progress: Progress = quiet) -> LoadReport:
    """Load the tables at ``path``, a folder or a zip, and report what became of each row.

    ``within`` names the garden, where the tables do not. The rows are checked in a scratch database
    first; the garden is held only while they are copied. Nothing is written if a line is bad.
    Raises ``LoadFailed`` if the disk is full, or the garden is held or changed by somebody else.
    """
    if connection.in_atomic_block:
        raise RuntimeError("a load makes its own transaction; call it outside of one")
    with _failing_clearly():
        for _ in range(TRIES):
            with new_scratch() as scratch:
                try:
                    return _Load(path, within, scratch, progress).run(now)
                except Moved as error:
                    why = error
        raise LoadFailed(
            f"the garden was changed by somebody else each of the {TRIES} times its tables were checked "
            f"({why}); nothing was written: load them when nobody records"
        )


@dataclass
class _Load:
    """One try at a load."""

    path: Path
    within: str
    scratch: Scratch
    progress: Progress
    report: LoadReport = field(default_factory=LoadReport)
    links: Links = field(default_factory=Links)
    pictures: pictured.Pictures | None = None

    def run(self, now: datetime) -> LoadReport:
        """Check the tables and, if all is well, write them; pictures have their place before their rows."""
        with ExitStack() as stack:
            return self._run(now, stack)

    def _run(self, now: datetime, stack: ExitStack) -> LoadReport:
        chosen = self._checked(now, stack)
        if self.report.n_rejected or chosen is None:
            return self._refused()
        self.report.garden = chosen.garden
        if self.pictures is not None:
            self.pictures.place()
        counts = entries.new_rows(self.scratch)
        if not (counts or self.scratch.has("edits") or chosen.record is None):
            return self.report
        self.report.held_s = copy(self.scratch, chosen, counts, now=now, progress=self.progress)
        return self.report

    def _refused(self) -> LoadReport:
        for count in self.report.tables.values():
            count.accepted = count.unchanged = count.added = 0
        return self.report

    def _checked(self, now: datetime, stack: ExitStack) -> Chosen | None:
        """Check everything in three steps, each of which needs the one before to be clean."""
        try:
            with opened(self.path) as source:
                chosen = choose(source, self.within, self.report, self.progress)
                if chosen is None and "garden" not in source.names:
                    return None
                if chosen is None:
                    self._check_cells(source)
                else:
                    self._take_rows(source, chosen, now)
                    self._take_pictures(source, chosen, stack)
        except BadSource as error:
            for remark in error.remarks:
                self.report.reject("", remark)
            return None
        if self.report.n_rejected or chosen is None:
            return None
        self._check_entries(chosen)
        if not self.report.n_rejected:
            self._sum(chosen)
        return chosen

    def _readers(self, source: Source) -> Iterator[TableReader]:
        """Yield a reader for each table but the garden's own that can be read."""
        for table in TABLES:
            if table.name in source.names and table.name != "garden":
                reader = TableReader(source, table, self.report, self.progress)
                if reader.begin():
                    yield reader
                else:
                    self.links.unread.add(table.name)

    def _check_cells(self, source: Source) -> None:
        """Check what can be checked where the garden cannot be told: cell by cell."""
        for reader in self._readers(source):
            for _ in reader.rows():
                pass

    def _take_rows(self, source: Source, chosen: Chosen, now: datetime) -> None:
        """Read every row: its cells, its key, and whether what it names is there."""
        references = ReferenceRows(chosen.record, self.scratch, self.links, self.report)
        if chosen.record and chosen.is_changed:
            references.note_garden(chosen)
        for reader in self._readers(source):
            if reader.table.is_entry:
                entries.take(reader, chosen.garden, self.scratch, self.links, self.report, now)
            else:
                references.take(reader)
        names, refused = taxa_to_add(self.links, chosen.record)
        references.add_taxa(names)
        check_links(self.links, chosen.record, self.scratch, refused, self.report)

    def _take_pictures(self, source: Source, chosen: Chosen, stack: ExitStack) -> None:
        if not self.report.n_rejected and (source.pictures or self.scratch.has("photos")):
            self.pictures = stack.enter_context(pictured.taken(chosen.garden))
            pictured.take(source, chosen.record, self.scratch, self.report, self.pictures)

    def _check_entries(self, chosen: Chosen) -> None:
        """Check what entries say of each other, and take out those the garden has."""
        tables = [table for table in ENTRY_TABLES if self.scratch.has(table.name)]
        for table in tables:
            entries.tell_apart(table, chosen.garden, self.scratch, self.report)
        if self.report.n_rejected:
            return
        for table in tables:
            entries.compare(table, chosen.record, self.scratch, self.report)
        following.check_after(chosen.record, self.scratch, self.report)
        following.check_about(chosen.record, chosen.garden, self.links, self.scratch, self.report)
        withdrawing.find_targets(chosen.record, self.scratch, self.report)
        withdrawing.check_gone_batches(chosen.record, self.scratch, self.report)

    def _sum(self, chosen: Chosen) -> None:
        before = chosen.since[0]
        first = {name: before + n for name, n in entries.offsets(entries.new_rows(self.scratch)).items()}
        standings.Standings(chosen.record, first, self.scratch, self.report).sum_all(self.progress)
        standings.warn_of_rights(chosen.record, self.scratch, self.report)
        fixing.warn_of_fixed(chosen.record, chosen.garden, self.scratch, self.report)


@contextmanager
def _failing_clearly() -> Iterator[None]:
    """Turn what a full disk or a held garden raises into ``LoadFailed``."""
    try:
        yield
    except (sqlite3.Error, DatabaseError, OSError) as error:
        rule = _why(error)
        if rule is None:
            raise
        raise LoadFailed(f"{rule}; nothing was written") from error


def _why(error: Exception) -> str | None:
    text = str(error).lower()
    is_full = isinstance(error, OSError) and error.errno == errno.ENOSPC
    if is_full or "is full" in text or "no space left" in text:
        return "the disk is full: make room in the garden's folder and in that for temporary files (TMPDIR)"
    if "is locked" in text or "lock timeout" in text:
        return "the garden is held by another program: try again when that is done"
    return None
