"""Random gardens as rows of plain values, with text of the kind that breaks tables."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from slipwright.outputs.tables import safe_cell
from slipwright.records.canonical import decimal_text
from slipwright.records.columns import TABLES, Column, Table
from slipwright.records.tables.checking import longest
from slipwright.records.tables.dumping import TEXT_KINDS

Row = dict[str, Any]
Rows = dict[str, list[Row]]

TAXA = (
    "Rosa",
    "Rosa 'Lantern Keeper'",
    "Salvia rosmarinus",
    "Lavandula × intermedia 'Sea Fret'",
    "+ Laburnocytisus",
)
# fmt: off
HOSTILE = (
    "=1+1", "+1", "-1", "@x", "'", "''", "'=1", '"', 'a"b', ",", ";", "a,b", "null", "NULL", "0", "1e5",
    "é", "e\u0301", "\u202eright", "\u200f", "🌹", "👩🏽\u200d🌾", "ﬁ", "中文", "ß", "x\u2028y", "2026-10-20",
    "\\", "%s", "{}", "--",
)
# fmt: on
_LETTERS = st.characters(exclude_categories=("Cc", "Cs"))
_TEXT = st.one_of(st.sampled_from(HOSTILE), st.text(_LETTERS, min_size=1, max_size=12))
_NOTE = st.one_of(
    _TEXT,
    st.text(st.one_of(_LETTERS, st.sampled_from("\n\t")), min_size=1, max_size=20),
    st.sampled_from(["\n", "\t=", "a\n=b"]),
)
_DAY = st.dates(date(2015, 1, 1), date(2035, 12, 31)).map(date.isoformat)
_OFFSET = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
_MOMENT = st.builds(
    lambda at, zone: at.replace(tzinfo=UTC).astimezone(zone).isoformat(timespec="seconds"),
    st.datetimes(datetime(2015, 1, 1), datetime(2035, 1, 1)).map(lambda at: at.replace(microsecond=0)),  # noqa: DTZ001
    _OFFSET,
)


def _nfc(text: str) -> str:
    return unicodedata.normalize("NFC", text)


def _is_key(text: str) -> bool:
    return text == text.strip() and 0 < len(_nfc(text)) <= 100


_KEY = _TEXT.map(_nfc).filter(_is_key)


def _number(column: Column) -> st.SearchStrategy[str]:
    low, high = Decimal(str(column.low)), Decimal(str(column.high))
    return st.decimals(low, high, places=6).map(decimal_text)


def _value(table: Table, column: Column) -> st.SearchStrategy[Any]:
    if column.kind in ("text", "note"):
        if longest(table, column) == 100:
            return _KEY
        return (_NOTE if column.kind == "note" else _TEXT).map(_nfc)
    if column.kind == "integer":
        return st.integers(int(column.low or 0), min(int(column.high or 0), 100_000))
    if column.kind == "signs":
        return st.sets(st.sampled_from(column.choices), min_size=1).map(
            lambda signs: ";".join(sign for sign in column.choices if sign in signs)
        )
    made: dict[str, Callable[[], st.SearchStrategy[Any]]] = {
        "decimal": lambda: _number(column),
        "choice": lambda: st.sampled_from(column.choices),
        "date": lambda: _DAY,
        "instant": lambda: _MOMENT,
        "zone": lambda: st.sampled_from(["UTC", "Europe/Lisbon", "America/New_York"]),
        "parts": lambda: st.sampled_from(["perlite:1;vermiculite:1", "=sand:2.5", "-grit:1"]),
        "arms": lambda: st.sampled_from(["dip;none", "=a;+b", "'a"]),
        "uuid": lambda: st.uuids().map(str),
    }
    return made[column.kind]()


class _Maker:
    """Draws the rows of one garden, table by table, so that what they name is there."""

    def __init__(self, draw: Any) -> None:
        self.draw = draw
        self.rows: Rows = {}
        self.codes: list[str] = draw(st.lists(_KEY, min_size=1, max_size=3, unique=True))
        self.ids: set[str] = set()

    def make(self) -> Rows:
        for table in TABLES:
            n = 1 if table.name == "garden" else self.draw(st.integers(0, 3))
            n = len(self.codes) if table.name == "batches" else n
            self.rows[table.name] = []
            for at in range(n):
                row = self.row(table, at)
                if row is not None:
                    self.rows[table.name].append(row)
        self.rows["taxa"] += [
            {"taxon": taxon}
            for taxon in sorted(
                {row["taxon"] for rows in self.rows.values() for row in rows if "taxon" in row}
            )
            if taxon not in {row["taxon"] for row in self.rows["taxa"]}
        ]
        return self.rows

    def keys(self, table: str) -> list[Any]:
        if table == "batches":
            return self.codes
        if table == "taxa":
            return [*TAXA]
        key = next(found for found in TABLES if found.name == table).key[0]
        return [row[key] for row in self.rows[table]]

    def row(self, table: Table, at: int) -> Row | None:
        row: Row = {}
        for column in table.columns:
            if column.ref:
                keys = self.keys(column.ref)
                if column.required and not keys:
                    return None
                strategy = st.sampled_from(keys) if keys else st.nothing()
                if column.required or (keys and self.draw(st.booleans())):
                    row[column.name] = self.draw(strategy)
            elif column.required or self.draw(st.booleans()):
                row[column.name] = self.draw(_value(table, column))
        return self.mended(table, row, at)

    def mended(self, table: Table, row: Row, at: int) -> Row | None:
        """Return the row as it can stand beside those before it."""
        if table.name == "batches":
            row["batch"] = self.codes[at]
        if table.name == "taxa":
            row["taxon"] = TAXA[at]
        if table.name == "hours":
            row["to_on"] = max(row["from_on"], row["to_on"])
        if table.name == "weather":
            row["tmax_c"] = max(row["tmin_c"], row["tmax_c"], key=Decimal)
        if table.name == "acts":
            if not row.keys() & {"batch", "place", "plant"}:
                row["batch"] = self.draw(st.sampled_from(self.codes))
            if row["act"] == "move" and "to_place" not in row:
                row["act"] = "water"
        if table.is_entry:
            row["id"] = self.draw(_KEY.filter(lambda text: text not in self.ids))
            self.ids.add(row["id"])
        elif (
            tuple(map(row.get, table.key))
            in {tuple(map(other.get, table.key)) for other in self.rows[table.name]}
            and table.key
        ):
            return None
        return self.pointing(table, row)

    def pointing(self, table: Table, row: Row) -> Row | None:
        """Return the row with what it says of other entries put right."""
        if "after" in row:
            before = [
                look["id"]
                for look in self.rows["looks"]
                if look["batch"] == row["batch"] and look["on"] <= row["on"]
            ]
            before += [
                stuck["id"]
                for stuck in self.rows["batches"]
                if stuck["batch"] == row["batch"] and stuck["stuck_on"] <= row["on"]
            ]
            row["after"] = self.draw(st.sampled_from(before)) if before else None
        if table.name == "photos":
            row["file_sha256"] = self.draw(st.binary(min_size=32, max_size=32)).hex()
            row["file"] = f"{row['file_sha256']}.jpg"
        if table.name in ("notes", "photos"):
            row["about"] = self.draw(st.sampled_from(sorted(self.ids - {row["id"]} | set(self.codes))))
        if table.name == "withdrawals":
            taken = {other["withdraws"] for other in self.rows["withdrawals"]}
            free = [
                other["id"]
                for name in ("looks", "pottings", "acts", "readings", "notes", "photos")
                for other in self.rows[name]
                if other["id"] not in taken
            ]
            if not free:
                return None
            row["withdraws"] = self.draw(st.sampled_from(free))
        return {name: value for name, value in row.items() if value is not None}


@st.composite
def gardens(draw: Any) -> Rows:
    """Draw the rows of a garden."""
    rows: Rows = _Maker(draw).make()
    rows["garden"][0].setdefault("garden", str(draw(st.uuids())))
    return rows


def as_csv(table: Table, rows: list[Row]) -> str:
    """Return rows as a table with safe cells."""
    text = {column.name for column in table.columns if column.kind in TEXT_KINDS}
    page = io.StringIO(newline="")
    writer = csv.writer(page)
    writer.writerow(table.names)
    for row in rows:
        cells = [(name, "" if row.get(name) is None else str(row[name])) for name in table.names]
        writer.writerow([safe_cell(cell) if name in text else cell for name, cell in cells])
    return page.getvalue()


def read_back(table: Table, data: bytes) -> list[Row]:
    """Return the rows of a dumped table, empty cells left out."""
    text = {column.name for column in table.columns if column.kind in TEXT_KINDS}
    whole = {column.name for column in table.columns if column.kind == "integer"}
    rows = []
    for cells in csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")):
        row: Row = {}
        for name, cell in cells.items():
            if cell:
                value = cell.removeprefix("'") if name in text else cell
                row[name] = int(value) if name in whole else value
        rows.append(row)
    return rows
