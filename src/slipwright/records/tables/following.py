"""What the entries of a load say about other entries: the look they follow, what they are about."""

from __future__ import annotations

from collections.abc import Sequence

from slipwright.records.columns import ENTRY_TABLES, TABLES, table_named
from slipwright.records.models import Garden
from slipwright.records.tables.among import entries_called
from slipwright.records.tables.links import Links
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch, in_chunks

LOOKS = table_named("looks")


def check_after(garden: Garden | None, scratch: Scratch, report: LoadReport) -> None:
    """Report every look that follows something else than an earlier look of its batch."""
    if not scratch.has("looks"):
        return
    doubtful = scratch.rows(
        "SELECT l.line, l.entry_id, l.batch, l.after, f.batch FROM looks AS l "
        "LEFT JOIN looks AS f ON f.entry_id = l.after "
        "WHERE l.after IS NOT NULL AND (f.batch IS NOT l.batch OR l.after = l.entry_id) ORDER BY l.n"
    )
    for chunk in in_chunks(doubtful):
        kept = dict(entries_called(LOOKS, [row[3] for row in chunk], garden, scratch))
        for line, entry_id, batch, after, _ in chunk:
            if after == entry_id:
                rule = "must be another look than this one"
            elif after not in kept:
                rule = "must be the id of a look, in the load or in the garden"
            elif kept[after] != batch:
                rule = f"must be a look of the same batch, {batch}; this one is of {kept[after]}"
            else:
                continue
            report.reject("looks", remark("looks.csv", line, "after", after, rule))


def check_about(garden: Garden | None, own: str, links: Links, scratch: Scratch, report: LoadReport) -> None:
    """Report every note about something that is nowhere; ``own`` is the garden's own id."""
    if not scratch.has("notes"):
        return
    for chunk in in_chunks(scratch.rows("SELECT line, about FROM notes ORDER BY n")):
        missing = _nowhere([row[1] for row in chunk], garden, links, scratch) - {own}
        for line, about in chunk:
            if about in missing:
                rule = "must be the id of a row or an entry, in the load or in the garden"
                report.reject("notes", remark("notes.csv", line, "about", about, rule))


def _nowhere(ids: Sequence[str], garden: Garden | None, links: Links, scratch: Scratch) -> set[str]:
    left = set(ids)
    for table in TABLES:
        if left and len(table.key) == 1 and table.key != ("id",):
            left = {str(key) for key in links.missing(garden, table.name, left)}
    for table in ENTRY_TABLES:
        if left:
            left -= {entry_id for entry_id, _ in entries_called(table, sorted(left), garden, scratch)}
    return left
