"""What a load found: counts, bad lines and warnings."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

#: So many bad lines, and so many warnings, are told one by one; all are counted.
FIRST = 1000
#: A longer value is shown by its beginning.
SHOWN = 200


@dataclass(frozen=True, slots=True)
class Remark:
    """What is wrong, or doubtful, and where; line 0 is the file as a whole."""

    file: str
    line: int
    column: str
    value: str
    rule: str

    def __str__(self) -> str:
        place = f"{self.file}, line {self.line}" if self.line else self.file
        cell = f", {self.column} {self.value!r}" if self.column else f", {self.value!r}" if self.value else ""
        return f"{place}{cell}: {self.rule}"


@dataclass(slots=True)
class TableCount:
    """The rows of one table: ``rows`` were read, of which the others say what became of them.

    ``added`` are rows that stood in no file: taxa that were named by a batch, a plant or a want.
    """

    rows: int = 0
    accepted: int = 0
    unchanged: int = 0
    rejected: int = 0
    added: int = 0


@dataclass(slots=True)
class LoadReport:
    """What became of a load.

    A load is all or nothing: with ``n_rejected`` above 0 nothing was written, and ``accepted`` is 0.
    ``n_rejected`` counts lines; a line with two faults stands twice in ``rejected``.
    """

    garden: str = ""
    n_rejected: int = 0
    rejected: list[Remark] = field(default_factory=list)
    n_warnings: int = 0
    warnings: list[Remark] = field(default_factory=list)
    tables: dict[str, TableCount] = field(default_factory=dict)
    #: Seconds for which the garden was held; not part of the contract.
    held_s: float = 0.0
    _lines: set[tuple[str, int]] = field(default_factory=set, repr=False)

    @property
    def accepted(self) -> int:
        """Rows that were written, because they are new or change one that was there."""
        return sum(count.accepted for count in self.tables.values())

    @property
    def unchanged(self) -> int:
        """Rows that were there already and say the same."""
        return sum(count.unchanged for count in self.tables.values())

    def count(self, table: str) -> TableCount:
        """Return the count of ``table``."""
        return self.tables.setdefault(table, TableCount())

    def reject_row(self, table: str, remarks: list[Remark]) -> None:
        """Note all faults of a line that is met only once."""
        self.n_rejected += 1
        self.count(table).rejected += 1
        self._tell(self.rejected, remarks)

    def reject(self, table: str, remark: Remark) -> None:
        """Note one fault; a line that had one before is not counted again."""
        if (place := (remark.file, remark.line)) not in self._lines:
            self._lines.add(place)
            self.n_rejected += 1
            if table:
                self.count(table).rejected += 1
        self._tell(self.rejected, [remark])

    def warn(self, remark: Remark) -> None:
        """Note what loads, but should be looked at."""
        self.n_warnings += 1
        self._tell(self.warnings, [remark])

    def as_json(self) -> dict[str, Any]:
        """Return the report as plain data, with the keys of the command's contract."""
        return {
            "garden": self.garden,
            "accepted": self.accepted,
            "unchanged": self.unchanged,
            "n_rejected": self.n_rejected,
            "rejected": [asdict(remark) for remark in self.rejected],
            "n_warnings": self.n_warnings,
            "warnings": [asdict(remark) for remark in self.warnings],
            "tables": {name: asdict(count) for name, count in self.tables.items()},
        }

    @staticmethod
    def _tell(told: list[Remark], remarks: list[Remark]) -> None:
        told.extend(remarks[: max(0, FIRST - len(told))])


def remark(file: str, line: int, column: str, value: object, rule: str) -> Remark:
    """Return a remark; a long value is cut."""
    text = str(value)
    return Remark(file, line, column, text if len(text) <= SHOWN else text[: SHOWN - 1] + "…", rule)
