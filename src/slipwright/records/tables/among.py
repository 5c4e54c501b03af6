"""Where ids of entries are found: among those being loaded and those the garden has."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from slipwright.records.columns import ENTRY_TABLES, Table
from slipwright.records.models import Garden, Withdrawal
from slipwright.records.rows import MODELS
from slipwright.records.tables.links import LISTED
from slipwright.records.tables.scratch import Scratch


def entries_called(
    table: Table, ids: Sequence[str], garden: Garden | None, scratch: Scratch
) -> Iterator[tuple[str, str | None]]:
    """Yield the id and the batch of the entries of ``table`` under ``ids``."""
    batch = "batch" if "batch" in table.names else "NULL"
    if table.name in scratch.tables:
        sql = f'SELECT entry_id, {batch} FROM "{table.name}" WHERE entry_id IN {LISTED}'
        yield from scratch.rows(sql, json.dumps(ids))
    if garden is not None:
        rows = MODELS[table.name]._default_manager.filter(garden=garden, entry_id__in=ids)
        path = batch_path(table)
        if path is None:
            yield from ((entry_id, None) for entry_id in rows.values_list("entry_id", flat=True))
        else:
            yield from rows.values_list("entry_id", path)


def batch_path(table: Table) -> str | None:
    """Return how a query reaches the batch's code from an entry of ``table``."""
    if table.kind == "sticking":
        return "batch"
    return "batch__batch" if "batch" in table.names else None


def taken_back_here(table: Table, scratch: Scratch) -> str:
    """Return the SQL condition that an entry of the scratch is taken back by the load itself."""
    if "withdrawals" not in scratch.tables:
        return "0"
    return (
        f"EXISTS (SELECT 1 FROM withdrawals AS w WHERE w.withdraws_kind = '{table.kind}' "
        f'AND w.withdraws = "{table.name}".entry_id)'
    )


def withdrawn_here(scratch: Scratch, kind: str) -> set[str]:
    """Return the ids of the entries of a kind that the load takes back."""
    if "withdrawals" not in scratch.tables:
        return set()
    return {
        row[0] for row in scratch.rows("SELECT withdraws FROM withdrawals WHERE withdraws_kind = ?", kind)
    }


def withdrawn_in(garden: Garden | None, kind: str) -> Any:
    """Return the query for the ids of the entries of a kind that were taken back in the garden."""
    return Withdrawal.rows.filter(garden=garden, withdraws_kind=kind).values("withdraws")


KINDS = {table.kind: table for table in ENTRY_TABLES}
