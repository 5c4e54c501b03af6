"""Tables: cells no spreadsheet takes for a formula, CSV written row by row, and a zip of them."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import IO, Final

from slipwright.craft.errors import BadArgument

FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "'")
LINE_END: Final = "\r\n"
"""CRLF, as RFC 4180 has it; with it the csv module also quotes a lone CR or LF inside a cell."""
ENCODING: Final = "utf-8"
_CHUNK: Final = 64 * 1024
# Zip keeps no time zone and no year before 1980: its first instant, so equal tables are equal bytes.
_TIMELESS: Final = (1980, 1, 1, 0, 0, 0)
_NAME: Final = re.compile(r"([a-z]{1,20}/)?[A-Za-z0-9_][A-Za-z0-9_.-]{0,99}")
_PACKED: Final = (".jpg",)


def safe_cell(text: str) -> str:
    """Return a text as it may stand in a cell: with ``'`` in front if it could be taken for a formula.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The text, one ``'`` in front of it if it starts with ``= + - @ tab CR LF '``.

    References
    ----------
    OWASP, *CSV Injection*; the quote is doubled so that nothing is lost (common practice, no source).

    Examples
    --------
    >>> safe_cell("=1+1"), safe_cell("Rosa"), safe_cell("'Grey Heron'")
    ("'=1+1", 'Rosa', "''Grey Heron'")
    """
    return "'" + text if text.startswith(FORMULA_STARTS) else text


def plain_cell(text: str) -> str:
    """Return a text as it was before ``safe_cell``: exactly one leading ``'`` is taken away.

    Parameters
    ----------
    text : str
        The text of a cell.

    Returns
    -------
    str
        The text without its first character if that is ``'``.

    References
    ----------
    OWASP, *CSV Injection*.

    Examples
    --------
    >>> plain_cell("'=1+1"), plain_cell("''Grey Heron'"), plain_cell("Rosa")
    ('=1+1', "'Grey Heron'", 'Rosa')
    """
    return text.removeprefix("'")


def write_csv(
    columns: Sequence[str],
    rows: Iterable[Mapping[str, object]],
    text_columns: Iterable[str],
) -> Iterator[bytes]:
    r"""Return a table as CSV, piece by piece, so that no table is held in memory whole.

    Parameters
    ----------
    columns : sequence of str
        Names of the columns, in order.
    rows : iterable of mappings
        A value for each column; ``None`` or a missing key is an empty cell.
    text_columns : iterable of str
        Columns of free text, made safe by ``safe_cell``; numbers and dates elsewhere stay as they
        are, so that -3 remains a number.

    Returns
    -------
    iterator of bytes
        UTF-8 with lines ended by CRLF, a heading first.

    Raises
    ------
    BadArgument
        If a column is named twice, a text column is not among the columns, or a row has a key that
        is not a column.

    References
    ----------
    RFC 4180; OWASP, *CSV Injection*.

    Examples
    --------
    >>> rows = [{"taxon": "=Rosa", "n": -3}, {"taxon": None, "n": 2}]
    >>> b"".join(write_csv(["taxon", "n"], rows, ["taxon"]))
    b"taxon,n\r\n'=Rosa,-3\r\n,2\r\n"
    """
    text = frozenset(text_columns)
    if len(set(columns)) != len(columns) or not columns:
        raise BadArgument("columns", "be at least one, each named once", list(columns))
    if text - set(columns):
        raise BadArgument("text_columns", "be among the columns", sorted(text - set(columns)))
    return _pieces(columns, rows, text)


def _pieces(
    columns: Sequence[str], rows: Iterable[Mapping[str, object]], text: frozenset[str]
) -> Iterator[bytes]:
    known = frozenset(columns)
    page = io.StringIO(newline="")
    writer = csv.writer(page, lineterminator=LINE_END)
    writer.writerow(columns)
    for row in rows:
        if not row.keys() <= known:
            raise BadArgument("rows", "hold no other keys than the columns", sorted(row.keys() - known))
        writer.writerow([_cell(row.get(column), column in text) for column in columns])
        if page.tell() > _CHUNK:
            yield page.getvalue().encode(ENCODING)
            page.seek(0)
            page.truncate()
    yield page.getvalue().encode(ENCODING)


def _cell(value: object, is_text: bool) -> str:
    if value is None:
        return ""
    return safe_cell(str(value)) if is_text else str(value)


def write_zip(target: Path | IO[bytes], members: Iterable[tuple[str, Iterable[bytes]]]) -> int:
    r"""Return the number of members written into a zip, the same bytes for the same content.

    Parameters
    ----------
    target : pathlib.Path or binary file
        Where the zip goes.
    members : iterable of (str, iterable of bytes)
        Name and content of each, written in their order, piece by piece.

    Returns
    -------
    int
        Members written [1].

    Raises
    ------
    BadArgument
        If a name is not flat (letters, digits, ``_ . -``, at most 100) nor in one folder (small letters),
        or comes twice.

    References
    ----------
    PKWARE, *APPNOTE*, zip file format.

    Examples
    --------
    >>> file = io.BytesIO()
    >>> write_zip(file, [("taxa.csv", [b"taxon\r\n"])])
    1
    >>> zipfile.ZipFile(file).namelist()
    ['taxa.csv']
    """
    seen: set[str] = set()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        for name, content in members:
            if not _NAME.fullmatch(name) or name.lower() in seen:
                raise BadArgument("members", "have flat names, or of one folder, each once", name)
            seen.add(name.lower())
            entry = zipfile.ZipInfo(name, date_time=_TIMELESS)
            is_packed = name.endswith(_PACKED)  # what is packed already is stored as it is
            entry.compress_type = zipfile.ZIP_STORED if is_packed else zipfile.ZIP_DEFLATED
            entry.create_system = 3
            entry.external_attr = 0o100644 << 16
            with archive.open(entry, "w") as member:
                for piece in content:
                    member.write(piece)
    return len(seen)
