"""A garden out as tables: a folder or a zip of CSV files and pictures that ``load`` reads back."""

from __future__ import annotations

import csv
import io
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import IO

from django.db import connection, models
from django.db.models import F
from django.db.models.functions import Collate

from slipwright.outputs.tables import write_csv, write_zip
from slipwright.records.columns import TABLES, Table
from slipwright.records.keeping import pictures
from slipwright.records.keeping.opening import snapshot
from slipwright.records.models import Garden, Photo
from slipwright.records.tables.kept import PlainRows, rows_of
from slipwright.records.tables.progress import Progress, quiet
from slipwright.records.tables.source import FILES, PICTURES, BadSource, opened

#: Kinds of columns whose cells are made safe, and read back by ``checking``.
TEXT_KINDS = ("text", "note", "ref", "parts", "arms")
EVERY = 5000


class NotOurs(ValueError):
    """The folder or file to write holds something else, and is left alone."""

    def __init__(self, target: Path, rule: str) -> None:
        super().__init__(f"{target}: {rule}; nothing was written")
        self.target = target
        self.rule = rule


def dump(garden: Garden, target: Path, *, progress: Progress = quiet) -> dict[str, int]:
    """Write every table of ``garden`` to ``target`` and return how many rows each has.

    It becomes a zip if it is called so, else a folder. It is written beside under another name and put
    in place when it is whole; an earlier dump of the same garden is replaced, and anything else there
    raises ``NotOurs``.
    """
    if connection.in_atomic_block:
        raise RuntimeError("a dump reads in a transaction of its own; call it outside of one")
    target = target.absolute()
    _leave_alone_what_is_foreign(garden, target)
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    counts: dict[str, int] = {}
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        with snapshot():
            if target.suffix.lower() == ".zip":
                write_zip(beside, whole(garden, counts, progress))
                beside.replace(target)
            else:
                _write_folder(beside, whole(garden, counts, progress))
                _put_in_place(beside, target)
    finally:
        if beside.is_dir():
            shutil.rmtree(beside, ignore_errors=True)
        else:
            beside.unlink(missing_ok=True)
    return counts


def dump_zip(garden: Garden) -> IO[bytes]:
    """Return every table of ``garden`` as one zip, in a file that is gone once it is closed."""
    file = tempfile.TemporaryFile()  # noqa: SIM115  (whoever is given it closes it)
    try:
        with snapshot():
            write_zip(file, whole(garden, {}))
    except BaseException:
        file.close()
        raise
    file.seek(0)
    return file


def whole(
    garden: Garden, counts: dict[str, int], progress: Progress = quiet
) -> Iterator[tuple[str, Iterable[bytes]]]:
    """Yield the file name and the bytes of each table, and then of each picture that is whole."""
    yield from members(garden, counts, progress)
    folder = pictures.folder_of(garden.garden)
    names = Photo.rows.of(garden).order_by("file").values_list("file", flat=True).distinct()
    for name in names:
        if pictures.fault_of(folder / name) is None:
            yield f"{PICTURES}/{name}", [(folder / name).read_bytes()]


def members(
    garden: Garden, counts: dict[str, int], progress: Progress = quiet
) -> Iterator[tuple[str, Iterator[bytes]]]:
    """Yield the file name and the bytes of each table, piece by piece, and count its rows."""
    for table in TABLES:
        text = [column.name for column in table.columns if column.kind in TEXT_KINDS]
        yield f"{table.name}.csv", write_csv(table.names, _rows(table, garden, counts, progress), text)


def _rows(
    table: Table, garden: Garden, counts: dict[str, int], progress: Progress
) -> Iterator[Mapping[str, object]]:
    rows = rows_of(table, garden)
    total = rows.count()
    counts[table.name] = 0
    for _, values in PlainRows(table).read(rows.order_by(*_order(table))):
        yield dict(zip(table.names, values, strict=True))
        counts[table.name] += 1
        if counts[table.name] % EVERY == 0:
            progress(counts[table.name], total, f"writing {table.name}.csv")
    progress(total, total, f"writing {table.name}.csv")


def _order(table: Table) -> list[models.expressions.OrderBy]:
    """Return the order of the rows: entries as they were numbered, the others by their keys."""
    if table.is_entry:
        return [F("number").asc()]
    is_postgres = connection.vendor == "postgresql"
    order = []
    for name in table.key:
        column = table.column(name)
        by_letters = is_postgres and column.kind == "text"
        key = Collate(F(name), "C") if by_letters else F(name)
        # A day observed stands before the forecasts for it.
        order.append(key.asc(nulls_first=not column.required or None))
    return order


def _write_folder(beside: Path, files: Iterator[tuple[str, Iterable[bytes]]]) -> None:
    beside.mkdir()
    for name, pieces in files:
        (beside / name).parent.mkdir(exist_ok=True)
        with (beside / name).open("wb") as file:
            file.writelines(pieces)


def _put_in_place(beside: Path, target: Path) -> None:
    if not target.exists():
        beside.rename(target)
        return
    old = target.with_name(f".{target.name}.{os.getpid()}.old")
    target.rename(old)
    beside.rename(target)
    shutil.rmtree(old, ignore_errors=True)


def _leave_alone_what_is_foreign(garden: Garden, target: Path) -> None:
    if not target.exists():
        return
    if target.is_dir():
        names = {entry.name for entry in target.iterdir()}
        if not names:
            return
        if foreign := sorted(names - FILES.keys() - {PICTURES}):
            raise NotOurs(target, f"is a folder that holds other things ({', '.join(foreign[:5])})")
    if (own := _garden_in(target)) != str(garden.garden):
        raise NotOurs(target, "is the dump of another garden" if own else "is not a dump of this garden")


def _garden_in(target: Path) -> str:
    """Return the UUID of the garden whose dump is at ``target``; empty if there is none."""
    try:
        with opened(target) as source, source.open("garden") as stream:
            rows = csv.DictReader(io.TextIOWrapper(stream, encoding="utf-8-sig", newline=""))
            return next(rows, {}).get("garden") or ""
    except (BadSource, KeyError, OSError, UnicodeDecodeError, csv.Error):
        return ""
