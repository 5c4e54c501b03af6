"""A table file read row by row: its header, then each line checked cell by cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from contextlib import closing
from difflib import get_close_matches

from slipwright.records.columns import Column, Table
from slipwright.records.tables.checking import REQUIRED, BadCell, Check, Plain, check_of
from slipwright.records.tables.progress import Progress
from slipwright.records.tables.report import LoadReport, Remark, remark
from slipwright.records.tables.source import BadSource, Source, lines_in

Values = dict[str, Plain]
EVERY = 5000


class TableReader:
    """Reads one table of a source; what is wrong with it goes to the report.

    After ``begin`` has returned true, ``columns`` are those of the file and ``rows`` gives its rows.
    """

    def __init__(self, source: Source, table: Table, report: LoadReport, progress: Progress) -> None:
        self.table = table
        self.file = f"{table.name}.csv"
        self.columns: tuple[Column, ...] = ()
        self.n_lines = 0
        self._source = source
        self._report = report
        self._progress = progress

    def begin(self) -> bool:
        """Look through the file and at its header; return whether its rows can be read."""
        try:
            with closing(self._source.open(self.table.name)) as stream:
                self.n_lines = lines_in(stream, self.file)
        except BadSource as error:
            return self._refuse(error.remarks)
        header, remarks = self._header()
        if remarks:
            return self._refuse(remarks)
        self.columns = tuple(self.table.column(name) for name in header)
        return True

    def _refuse(self, remarks: Sequence[Remark]) -> bool:
        """Report what is wrong with the file, which is no fault of a row."""
        for told in remarks:
            self._report.reject("", told)
        return False

    def rows(self) -> Iterator[tuple[int, Values, bool]]:
        """Yield each row: its line, its values without the empty ones, and whether it is sound.

        An unsound row holds the values that could be read, and has been reported.
        """
        check = _RowCheck(self.table, self.columns)
        count = self._report.count(self.table.name)
        for line, spans, cells in self._cells():
            values: Values = {}
            faults = check(cells, spans, values)
            count.rows += 1
            if spans and not faults and (name := check.swallows(cells)):
                self._report.warn(remark(self.file, line, name, "", SWALLOWS))
            if faults:
                self._report.reject_row(
                    self.table.name, [remark(self.file, line, *fault) for fault in faults]
                )
            yield line, values, not faults
            if count.rows % EVERY == 0:
                self._progress(line, self.n_lines, f"checking {self.file}")
        self._progress(self.n_lines, self.n_lines, f"checking {self.file}")

    def _lines(self) -> io.TextIOWrapper:
        stream = self._source.open(self.table.name)
        return io.TextIOWrapper(stream, encoding="utf-8-sig", newline="")

    def _cells(self) -> Iterator[tuple[int, bool, list[str]]]:
        """Yield the line a row begins on, whether it goes on to a further line, and its cells."""
        with closing(self._lines()) as lines:
            reader = csv.reader(lines, strict=True)
            next(reader)
            last = reader.line_num
            while True:
                try:
                    for cells in reader:
                        line, last = last + 1, reader.line_num
                        if any(cells):
                            yield line, last > line, cells
                    return
                except csv.Error as error:
                    line, last = last + 1, reader.line_num
                    self._report.count(self.table.name).rows += 1
                    fault = remark(self.file, line, "", "", f"cannot be read as CSV: {_mended(error)}")
                    self._report.reject_row(self.table.name, [fault])

    def _header(self) -> tuple[list[str], list[Remark]]:
        """Return the first line and what is wrong with it."""
        with closing(self._lines()) as lines:
            try:
                header = next(csv.reader(lines, strict=True), [])
            except csv.Error as error:
                return [], [remark(self.file, 1, "", "", f"cannot be read as CSV: {_mended(error)}")]
        return header, self._header_faults(header)

    def _header_faults(self, header: Sequence[str]) -> list[Remark]:
        def fault(column: str, value: str, rule: str) -> Remark:
            return remark(self.file, 1, column, value, rule)

        if not header:
            return [fault("", "", "is empty: the first line must name the columns")]
        if len(header) == 1 and header[0] not in self.table.names:
            for sign, called in ((";", "semicolons"), ("\t", "tabs")):
                if sign in header[0]:
                    return [fault("", header[0], f"cells are parted by {called}: {_COMMAS}")]
        faults = []
        for at, name in enumerate(header):
            if name == "":
                faults.append(fault("", "", f"column {at + 1} has no name"))
            elif name not in self.table.names:
                near = get_close_matches(name.strip().lower(), self.table.names, 1)
                hint = f"; is it {near[0]}?" if near else f"; they are {', '.join(self.table.names)}"
                faults.append(fault(name, "", f"there is no such column in {self.table.name}{hint}"))
            elif name in header[:at]:
                faults.append(fault(name, "", "stands twice in the header"))
        for name in _needed(self.table):
            if name not in header:
                faults.append(fault(name, "", "the column must be there"))
        return faults


_COMMAS = (
    "save it with commas between cells and a point as decimal mark (a file of the other kind is not "
    "guessed at, since its commas may be decimal marks)"
)


def _needed(table: Table) -> list[str]:
    """Return the columns a file must have: a row of known key may leave out all but its key."""
    return [
        column.name
        for column in table.columns
        if column.required and (table.is_entry or column.name in table.key)
    ]


def _mended(error: csv.Error) -> str:
    text = str(error)
    if "expected after" in text:
        return (
            "a quotation mark stands within a cell; write it twice, and the whole cell within quotation marks"
        )
    if "field larger" in text or "end of data" in text:
        return "a quotation mark is opened and never closed"
    return text


#: what is told of a note that may have taken in the rows after it
SWALLOWS = "holds a line that reads like a row of this table: is a quotation mark left open?"

#: a line of somebody's own words may hold fewer commas than these
_PROSE = 4


class _RowCheck:
    """Checks the cells of a row, with what is needed of each column made ready once."""

    def __init__(self, table: Table, columns: Sequence[Column]) -> None:
        self._n = len(columns)
        self._steps: list[tuple[int, str, Check]] = [
            (at, column.name, check_of(table, column)) for at, column in enumerate(columns)
        ]
        self._required = [(at, column.name) for at, column in enumerate(columns) if column.required]
        self._one_line = [(at, column.name) for at, column in enumerate(columns) if column.kind != "note"]
        self._notes = [(at, column.name) for at, column in enumerate(columns) if column.kind == "note"]

    def __call__(self, cells: list[str], spans: bool, values: Values) -> list[tuple[str, str, str]]:
        """Put what the cells mean into ``values`` and return the faults as column, value, rule."""
        if len(cells) != self._n:
            return [("", f"{len(cells)} cells", f"must have {self._n} cells, as the header has")]
        if spans and (faults := self._broken(cells)):
            return faults
        faults = []
        for at, name, check in self._steps:
            if cell := cells[at]:
                try:
                    value = check(cell)
                except BadCell as error:
                    faults.append((name, cell, error.rule))
                else:
                    if value is not None:
                        values[name] = value
        for at, name in self._required:
            if not cells[at]:
                faults.append((name, "", REQUIRED))
        return faults

    def _broken(self, cells: list[str]) -> list[tuple[str, str, str]]:
        return [
            (name, cells[at], "must stand on one line: is a quotation mark left open?")
            for at, name in self._one_line
            if "\n" in cells[at] or "\r" in cells[at]
        ]

    def swallows(self, cells: list[str]) -> str:
        """Return the note of which a line holds as many commas as a row has before it, if any does."""
        for at, name in self._notes:
            if any(line.count(",") >= max(at, _PROSE) for line in cells[at].splitlines()[1:]):
                return name
        return ""
