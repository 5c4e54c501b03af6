"""Numbers a garden gave out that nothing has now, and those that stand twice."""

from __future__ import annotations

from collections.abc import Iterator

from django.db import connections

from slipwright.records.models import ENTRY_MODELS, Garden


def runs_of_gaps(garden: Garden, using: str) -> Iterator[tuple[int, int, bool]]:
    """Yield first and last of each run of numbers nothing has, and each number that stands again."""
    connection = connections[using]
    tables = [connection.ops.quote_name(model._meta.db_table) for model in ENTRY_MODELS]
    each = " UNION ALL ".join(
        f"SELECT number FROM {table} WHERE garden_id = %s"  # noqa: S608 (our own tables)
        for table in tables
    )
    pairs = f"SELECT lag(number, 1, 0) OVER (ORDER BY number) AS before, number FROM ({each}) AS numbers"  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT before, number FROM ({pairs}) AS pairs WHERE number <> before + 1 ORDER BY number",  # noqa: S608
            [garden.pk] * len(tables),
        )
        while rows := cursor.fetchmany(1000):
            for before, number in rows:
                if number <= before:
                    yield number, number, True
                elif before < (end := min(number - 1, garden.last_number)):
                    yield before + 1, end, False
        cursor.execute(f"SELECT max(number) FROM ({each}) AS numbers", [garden.pk] * len(tables))  # noqa: S608
        highest = (cursor.fetchone() or (None,))[0] or 0
    if highest < garden.last_number:
        yield highest + 1, garden.last_number, False
