"""The page that describes the tables, printed from the list of columns."""

from __future__ import annotations

from collections.abc import Iterator

from slipwright.records.columns import TABLES, Column, Table, table_named
from slipwright.records.tables.checking import longest
from slipwright.records.tables.examples import CAUTIONS, EXAMPLES, PURPOSES
from slipwright.records.tables.report import FIRST
from slipwright.records.tables.source import MOST_BYTES, MOST_MEMBERS, MOST_RATIO

_HEAD = f"""# Tables

A garden goes in and out of Slipwright as plain tables, one CSV file each, in a folder or a zip:

    slipwright load my-garden            # a folder, or my-garden.zip
    slipwright dump my-garden.zip        # or a folder

This page is generated from the list of columns; run `python -m slipwright.records.tables` after changing
one.

## To begin

Three files will do: `garden.csv` with one row, `batches.csv` with what was stuck, `looks.csv` with what was
seen. Leave out every column you have nothing for; only those marked **must** have to be there. Write them
in any spreadsheet, one table a sheet, and save each as *CSV UTF-8 (comma)*. Then load. If something is
wrong, nothing is written, and each bad line is named with its file, line, column, value and the rule it
breaks (the first {FIRST:,} and their number). Mend it and load again.

## What holds for every table

- **Any file may be missing; no other file may be there.** A column that is not on this page is an error, so
  that a slip of the pen does not lose a column.
- **Loading twice changes nothing.** Load the same files again, or more rows in the same files, and only
  what is new is taken in.
- **Reference rows** (members, taxa, places and so on) may change. A row whose key is known changes only the
  columns that are in the file; an empty cell clears its column. Each change is kept, with when it was made.
- **Entries** (from batches to withdrawals, below marked *entries*) are never changed. A row with a known id
  must say the same as before. To correct one, withdraw it and write a new one.
- **What is not yet cannot have been seen**: an entry dated more than a day ahead of the clock is refused.
- **What a row names must be there**, in the files or in the garden. Only a taxon need not be: it is added
  if its name is written by the ICNCP.
- **Without an id** an entry gets one made from what it says, so the same row is the same entry each time.
- **Counts that do not add up are loaded** and the batch is flagged, with a warning. They are never mended
  in silence.
- **Which garden** is said by the UUID in `garden.csv`; without one, by `--in` (name or UUID); else it is
  the only garden there is, if the name is the same. Where there is no garden at all, it is made.

## How cells are written

| kind | how |
|---|---|
| text | one line, UTF-8. Letters with accents are put into one form (NFC). No blanks at the ends of a \
key or id |
| note | text that may have several lines, within quotation marks |
| whole number | `12`. Empty is not 0 |
| number | `12.5`, with a point; at most 8 digits before and 6 after it, no exponent, no thousands |
| date | `2026-10-20`: year, month, day (ISO 8601), from 1900 to 2200. No other form is guessed at |
| moment | `2026-10-20T09:30:00-04:00`: date, time in whole seconds, and the offset from UTC (or `Z`) |
| words | one of the words listed, as they are written there |
| list | words or names with `;` between, no blanks |

A text cell that starts with `=`, `+`, `-`, `@`, a tab, a line break or `'` could be taken for a formula by
a spreadsheet. `dump` writes one `'` in front of it, and `load` takes exactly one `'` away.

Cells are parted by commas, lines end with a line feed or both carriage return and line feed, and a cell
with a comma, a quotation mark or a line break stands within quotation marks, as RFC 4180 has it. Files with
semicolons or tabs, in Latin-1 or UTF-16 are refused by name, and not guessed at.

A zip is flat: no folders but `photos`, no links, no password; at most {MOST_MEMBERS} files, pictures apart,
{MOST_BYTES // 1024**3} GiB when inflated, and {MOST_RATIO} times its own size.

## What comes out

`dump` writes every table with every column, entries with their ids: reference rows by their keys, entries
in the order the garden received them. Loading it, into the same garden or where there is none, gives the
same rows in every table.

<details><summary>How an id is made</summary>

The id of an entry without one is a UUID of version 5 (RFC 9562). Its name space is the garden's UUID; its
name is three lines, joined by line feeds: the name of the table, the canonical content of the entry without
its id, and its number among equal rows of the file, from 1. Canonical content is RFC 8785 JSON of `{{kind,
v, garden, by, on or at, fields}}`; empty cells are absent, decimals are text without trailing
noughts.

</details>

## The tables
"""


def tables_markdown() -> str:
    """Return the page."""
    lines = [_HEAD]
    lines += [f"- [`{table.name}.csv`](#{table.name}csv): {PURPOSES[table.name]}" for table in TABLES]
    for table in TABLES:
        lines += ["", *_section(table)]
    return "\n".join(lines) + "\n"


def _section(table: Table) -> Iterator[str]:
    yield f"## {table.name}.csv"
    yield ""
    kind = "Entries." if table.is_entry else _key(table)
    yield f"{PURPOSES[table.name]} *{kind}*"
    if table.name in CAUTIONS:
        yield ""
        yield CAUTIONS[table.name]
    yield ""
    yield "| column | | cells | meaning |"
    yield "|---|---|---|---|"
    for column in table.columns:
        must = "**must**" if column.required else ""
        yield f"| `{column.name}` | {must} | {_cells(table, column)} | {column.meaning} |"
    yield ""
    yield "```csv"
    yield EXAMPLES[table.name].strip()
    yield "```"


def _key(table: Table) -> str:
    if not table.key:
        return "One row."
    return f"Reference rows, by {' and '.join(f'`{name}`' for name in table.key)}."


def _cells(table: Table, column: Column) -> str:
    if column.kind in ("text", "note"):
        return f"{column.kind}, to {longest(table, column):,} characters"
    if column.kind in ("integer", "decimal"):
        called = "whole number" if column.kind == "integer" else "number"
        return f"{called}, {_number(column.low)} to {_number(column.high)}"
    if column.kind == "ref":
        return f"`{table_named(column.ref).key[0]}` of [`{column.ref}.csv`](#{column.ref}csv)"
    if column.kind in ("choice", "signs"):
        words = ", ".join(f"`{word}`" for word in column.choices)
        return words if column.kind == "choice" else f"list, in this order: {words}"
    return _KINDS[column.kind]


def _number(value: float | None) -> str:
    assert value is not None
    return f"{value:,g}" if abs(value) < 1000 else f"{value:,.0f}"


_KINDS = {
    "date": "date",
    "instant": "moment",
    "uuid": "UUID",
    "zone": "name of a time zone",
    "parts": "list of `name:parts`",
    "arms": "list of different names",
}
