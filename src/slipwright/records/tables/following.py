"""What the entries of a load say about other entries: what looks follow, what notes and photos are about."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

from slipwright.records.columns import ENTRY_TABLES, TABLES, table_named
from slipwright.records.models import Garden, Look, Sticking
from slipwright.records.rules import NOT_LATER
from slipwright.records.tables.among import entries_called
from slipwright.records.tables.links import LISTED, Links
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch, in_chunks

LOOKS, BATCHES = table_named("looks"), table_named("batches")


def check_after(garden: Garden | None, scratch: Scratch, report: LoadReport) -> None:
    """Report every look that follows neither an earlier look of its batch nor its sticking."""
    if not scratch.has("looks"):
        return
    doubtful = scratch.rows(
        'SELECT l.line, l.entry_id, l.batch, l.after, l."on" FROM looks AS l '
        "LEFT JOIN looks AS f ON f.entry_id = l.after WHERE l.after IS NOT NULL "
        'AND (f.batch IS NOT l.batch OR l.after = l.entry_id OR f."on" > l."on") ORDER BY l.n'
    )
    for chunk in in_chunks(doubtful):
        ids = [row[3] for row in chunk]
        kept = dict(entries_called(LOOKS, ids, garden, scratch))
        days = _days(ids, garden, scratch)
        stuck = dict(entries_called(BATCHES, ids, garden, scratch))
        stuck_on = _days_stuck(list(stuck), garden, scratch)
        for line, entry_id, batch, after, on in chunk:
            if after == entry_id:
                rule = "must be another look than this one"
            elif kept.get(after) != batch and stuck.get(after) == batch:
                if stuck_on[after] <= on:
                    continue
                rule = f"{NOT_LATER}; its batch was stuck on {stuck_on[after]}"
            elif after not in kept:
                rule = "must be the id of a look or of its batch, in the load or in the garden"
            elif kept[after] != batch:
                rule = f"must be a look of the same batch, {batch}; this one is of {kept[after]}"
            elif days[after] > on:
                rule = f"{NOT_LATER}; it is of {days[after]}"
            else:
                continue
            report.reject("looks", remark("looks.csv", line, "after", after, rule))
    _check_rings(scratch, report)


def _days(ids: Sequence[str], garden: Garden | None, scratch: Scratch) -> dict[str, str]:
    """Return the day of each look under ``ids``, in the load and in the garden."""
    sql = f'SELECT entry_id, "on" FROM looks WHERE entry_id IN {LISTED}'
    found = dict(scratch.rows(sql, json.dumps(ids)))
    if garden is not None:
        rows = Look.rows.of(garden).filter(entry_id__in=ids).values_list("entry_id", "on")
        found |= {entry_id: on.isoformat() for entry_id, on in rows}
    return found


def _days_stuck(ids: Sequence[str], garden: Garden | None, scratch: Scratch) -> dict[str, str]:
    """Return the day of each sticking under ``ids``, in the load and in the garden."""
    found: dict[str, str] = {}
    if "batches" in scratch.tables:
        sql = f"SELECT entry_id, stuck_on FROM batches WHERE entry_id IN {LISTED}"
        found = dict(scratch.rows(sql, json.dumps(ids)))
    if garden is not None:
        rows = Sticking.rows.of(garden).filter(entry_id__in=ids).values_list("entry_id", "stuck_on")
        found |= {entry_id: on.isoformat() for entry_id, on in rows}
    return found


def _check_rings(scratch: Scratch, report: LoadReport) -> None:
    """Report every look that follows itself through others, which can only be looks of one day."""
    rows = scratch.rows(
        "SELECT l.entry_id, l.after, l.line FROM looks AS l JOIN looks AS f ON f.entry_id = l.after "
        'WHERE l."on" = f."on" AND l.after <> l.entry_id AND f.after IS NOT NULL ORDER BY l.n'
    )
    lines: dict[str, int] = {}
    before: dict[str, str] = {}
    for entry_id, after, line in rows:
        before[entry_id], lines[entry_id] = after, line
    for entry_id in sorted(_in_rings(before), key=lines.__getitem__):
        rule = "must not follow this look, through others, in turn"
        report.reject("looks", remark("looks.csv", lines[entry_id], "after", before[entry_id], rule))


def _in_rings(before: Mapping[str, str]) -> Iterator[str]:
    """Yield the ids that come back to themselves by going from each to the one before it."""
    walked: dict[str, int] = {}  # the walk an id was first met on
    for walk, start in enumerate(before):
        at = start
        while at in before and at not in walked:
            walked[at] = walk
            at = before[at]
        if walked.get(at) == walk:
            yield at
            follower = before[at]
            while follower != at:
                yield follower
                follower = before[follower]


def check_about(garden: Garden | None, own: str, links: Links, scratch: Scratch, report: LoadReport) -> None:
    """Report every note and photo about something that is nowhere; ``own`` is the garden's own id."""
    for name in ("notes", "photos"):
        if not scratch.has(name):
            continue
        for chunk in in_chunks(scratch.rows(f"SELECT line, about FROM {name} ORDER BY n")):
            missing = _nowhere([row[1] for row in chunk], garden, links, scratch) - {own}
            for line, about in chunk:
                if about in missing:
                    rule = "must be the id of a row or an entry, in the load or in the garden"
                    report.reject(name, remark(f"{name}.csv", line, "about", about, rule))


def _nowhere(ids: Sequence[str], garden: Garden | None, links: Links, scratch: Scratch) -> set[str]:
    left = set(ids)
    for table in TABLES:
        if left and len(table.key) == 1 and table.key != ("id",):
            left = {str(key) for key in links.missing(garden, table.name, left)}
    for table in ENTRY_TABLES:
        if left:
            left -= {entry_id for entry_id, _ in entries_called(table, sorted(left), garden, scratch)}
    return left
