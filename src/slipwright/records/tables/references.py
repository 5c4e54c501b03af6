"""Reference rows of a load: compared with what the garden has, and what is new or changed kept."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence

from slipwright.records.columns import Table, table_named
from slipwright.records.models import Garden
from slipwright.records.tables.checking import REQUIRED, Plain
from slipwright.records.tables.gardens import Chosen
from slipwright.records.tables.kept import PlainRows, rows_of
from slipwright.records.tables.links import Links
from slipwright.records.tables.reading import TableReader, Values
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import REFERENCE_EXTRAS, Scratch, in_chunks

EDITS = ("n", "table", "key", "before", "after")
Full = dict[str, Plain | None]
Key = tuple[Plain | None, ...]


class ReferenceRows:
    """Takes in the reference rows of a load; keeps in the scratch those that are new or changed."""

    def __init__(self, garden: Garden | None, scratch: Scratch, links: Links, report: LoadReport) -> None:
        self._garden = garden
        self._scratch = scratch
        self._links = links
        self._report = report
        self._n = 0
        scratch.make("edits", EDITS)

    def take(self, reader: TableReader) -> None:
        """Take in the rows of one table."""
        table = reader.table
        present = [column.name for column in reader.columns]
        seen: dict[Key, int] = {}
        for chunk in in_chunks(self._first_of_each(reader, seen)):
            kept = self._kept(table, [key for _, key, _ in chunk])
            for line, key, values in chunk:
                pk, before = kept.get(key, (None, None))
                after = (before or dict.fromkeys(table.names)) | {name: values.get(name) for name in present}
                if after == before:
                    self._report.count(table.name).unchanged += 1
                elif fault := _fault(table, after, is_new=before is None):
                    self._report.reject(table.name, remark(reader.file, line, *fault))
                else:
                    self._keep(table, line, pk, key, before, after)
                    self._report.count(table.name).accepted += 1

    def add_taxa(self, names: Sequence[str]) -> None:
        """Add taxa that were named but not listed."""
        table = table_named("taxa")
        for name in names:
            self._keep(table, 0, None, (name,), None, dict.fromkeys(table.names) | {"taxon": name})
            self._links.given["taxa"][name] = 0
            self._report.count("taxa").added += 1

    def note_garden(self, chosen: Chosen) -> None:
        """Note the change of the garden's own row."""
        self._note(table_named("garden"), (), chosen.before, chosen.values)

    @property
    def n_edits(self) -> int:
        """How many edits there are."""
        return int(self._scratch.one("SELECT count(*) FROM edits"))

    def _first_of_each(self, reader: TableReader, seen: dict[Key, int]) -> Iterator[tuple[int, Key, Values]]:
        """Yield the sound rows; a row whose key was met before is reported."""
        table = reader.table
        given = self._links.given[table.name]
        for line, values, sound in reader.rows():
            self._links.note(table, values)
            key = tuple(values.get(name) for name in table.key)
            if key[0] is not None and (first := seen.setdefault(key, line)) != line:
                if sound:
                    rule = f"stands twice in {reader.file}, first on line {first}"
                    shown = _key_text(key)
                    self._report.reject(table.name, remark(reader.file, line, table.key[0], shown, rule))
                continue
            if len(key) == 1 and key[0] is not None:
                given[key[0]] = line
            if sound:
                yield line, key, values

    def _kept(self, table: Table, keys: Sequence[Key]) -> dict[Key, tuple[int, Full]]:
        """Return the rows of the garden under ``keys``, each with its primary key."""
        if self._garden is None:
            return {}
        rows = rows_of(table, self._garden).filter(**{f"{table.key[0]}__in": [key[0] for key in keys]})
        found: dict[Key, tuple[int, Full]] = {}
        for pk, values in PlainRows(table).read(rows):
            full = dict(zip(table.names, values, strict=True))
            found[tuple(full[name] for name in table.key)] = (pk, full)
        return found

    def _keep(
        self, table: Table, line: int, pk: int | None, key: Key, before: Full | None, after: Full
    ) -> None:
        if table.name not in self._scratch.tables:
            self._scratch.make_for(table)
        self._n += 1
        row = (self._n, line, pk, *after.values())
        self._scratch.write(table.name, (*REFERENCE_EXTRAS, *table.names), [row])
        self._note(table, key, before, after)

    def _note(self, table: Table, key: Key, before: Full | None, after: Full) -> None:
        row = (
            None,
            table.name,
            _key_text(key),
            None if before is None else _as_json(before),
            _as_json(after),
        )
        self._scratch.write("edits", EDITS, [row])


def _fault(table: Table, after: Full, *, is_new: bool) -> tuple[str, str, str] | None:
    """Return what is wrong with a whole row, as column, value and rule."""
    if is_new:
        for column in table.columns:
            if column.required and after[column.name] is None:
                return column.name, "", f"{REQUIRED} for a row that is not in the garden yet"
    if table.name == "hours" and str(after["to_on"]) < str(after["from_on"]):
        return "to_on", str(after["to_on"]), f"must not lie before from_on, {after['from_on']}"
    if table.name == "weather" and float(after["tmax_c"] or 0) < float(after["tmin_c"] or 0):
        return "tmax_c", str(after["tmax_c"]), f"must not be below tmin_c, {after['tmin_c']}"
    return None


def _key_text(key: Key) -> str:
    return " ".join("" if value is None else str(value) for value in key).strip()


def _as_json(row: Mapping[str, Plain | None]) -> str:
    full = {name: value for name, value in row.items() if value is not None}
    return json.dumps(full, ensure_ascii=False)
