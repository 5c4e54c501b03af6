"""What must hold of a garden whatever happened to it, asked of the file itself by plain SQL.

It shares no code with what it judges: a look of a batch counts once, by its id, and the total kept of the
batch is the sum of its looks.
"""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Iterable
from typing import Any

from django.db import connections

from slipwright.records.canonical import sha256
from slipwright.records.models import Garden


def rows_of(using: str = "default") -> list[tuple[str, int, int]]:
    """Return id, server number and number rooted of every look."""
    with connections[using].cursor() as cursor:
        cursor.execute("SELECT entry_id, number, n_rooted FROM records_look ORDER BY number")
        return [(str(row[0]), int(row[1]), int(row[2] or 0)) for row in cursor.fetchall()]


def faults(acknowledged: Iterable[str], intended: Iterable[str] = (), *, using: str = "default") -> list[str]:
    """Return what does not hold: set test, no doubles, no gaps in the numbers, sum test.

    ``intended`` are the ids clients ever made; where they are given nothing else may be there.
    """
    found = []
    rows = rows_of(using)
    ids = [entry_id for entry_id, _, _ in rows]
    wanted, made = set(acknowledged), set(intended)
    if lost := wanted - set(ids):
        found.append(f"{len(lost)} acknowledged and not there")
    if len(ids) != len(set(ids)):
        found.append("an id is there twice")
    if made and (strange := set(ids) - made):
        found.append(f"{len(strange)} there that nobody made")
    with connections[using].cursor() as cursor:
        cursor.execute("SELECT sum(n_rooted), sum(n_looks) FROM records_batchstate")
        total, n_looks = cursor.fetchone()
        cursor.execute("SELECT last_number FROM records_garden")
        (last,) = cursor.fetchone()
        cursor.execute("SELECT count(*) FROM records_sticking")
        (n_stickings,) = cursor.fetchone()
    if int(total or 0) != sum(n for _, _, n in rows) or int(n_looks or 0) != len(rows):
        found.append(f"the batch has {total} of {n_looks} looks, and {len(rows)} looks are there")
    if sorted(number for _, number, _ in rows) != list(range(n_stickings + 1, int(last) + 1)):
        found.append(f"the numbers to {last} have gaps")
    return found


def look(
    garden: Garden, batch: str, entry_id: str = "", *, by: str = "grower", **fields: Any
) -> dict[str, Any]:
    """Return a record of one look as a phone sends it: content and hash."""
    content = {
        "kind": "look",
        "v": 1,
        "garden": str(garden.garden),
        "id": entry_id or str(uuid.uuid4()),
        "by": by,
        "on": "2025-10-15",
        "fields": {"batch": batch, "n_rooted": 1, **fields},
    }
    return {"content": content, "sha256": sha256(content)}


def digest(using: str = "default", *, without: Iterable[str] = (), but: Iterable[str] = ()) -> str:
    """Return a digest of every row of every table, in whatever order they lie.

    Whole tables are left ``without``; of the others all columns count ``but`` these, each a column of any
    table or ``table.column``.
    """
    connection = connections[using]
    tables = sorted(set(connection.introspection.table_names()) - set(without))
    left_out = set(but)
    whole = hashlib.sha256()
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            counts = [
                n
                for n, column in enumerate(cursor.description)
                if not left_out & {column[0], f"{table}.{column[0]}"}
            ]
            for row in sorted(repr([row[n] for n in counts]) for row in cursor.fetchall()):
                whole.update(f"{table} {row}\n".encode())
    return whole.hexdigest()
