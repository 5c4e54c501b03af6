"""Which garden a load is for."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field

from slipwright.records.columns import table_named
from slipwright.records.errors import Ambiguous, NotFound, SeveralGardens
from slipwright.records.models import Garden
from slipwright.records.selectors.gardens import the_garden
from slipwright.records.tables.checking import REQUIRED, Plain
from slipwright.records.tables.kept import PlainRows
from slipwright.records.tables.progress import Progress
from slipwright.records.tables.reading import TableReader, Values
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.source import Source

TABLE = table_named("garden")
FILE = "garden.csv"


@dataclass(frozen=True, slots=True)
class Chosen:
    """The garden of a load: ``record`` is the one that is there, ``None`` if it is to be made.

    ``values`` are all columns as they will be, ``before`` as they are; ``since`` says how far the
    garden had come when it was chosen. A garden that is made without an id of its own is the first.
    """

    record: Garden | None
    garden: str
    values: dict[str, Plain | None] = field(default_factory=dict)
    before: dict[str, Plain | None] = field(default_factory=dict)
    is_first: bool = False

    @property
    def since(self) -> tuple[int, int]:
        """The numbers of the newest entry and of the newest edit."""
        return (self.record.last_number, self.record.last_edit) if self.record else (0, 0)

    @property
    def is_changed(self) -> bool:
        """Whether its own row is to be changed."""
        return self.values != self.before


def choose(source: Source, within: str, report: LoadReport, progress: Progress) -> Chosen | None:
    """Return the garden that the tables are for; ``None``, with a remark, if that cannot be told."""
    if "garden" not in source.names:
        record = _named(within, report)
        return None if record is None else _kept(record)
    row = _only_row(source, report, progress)
    if row is None:
        return None
    line, values, columns = row
    record, may_make = _of_row(values, line, within, report)
    if record is None and not may_make:
        return None
    count = report.count("garden")
    if record is None:
        return _to_make(values, line, report)
    chosen = _kept(record)
    after = chosen.before | {name: values.get(name) for name in columns if name != "garden"}
    chosen = Chosen(record, chosen.garden, after, chosen.before)
    count.accepted, count.unchanged = (1, 0) if chosen.is_changed else (0, 1)
    return chosen


def _only_row(
    source: Source, report: LoadReport, progress: Progress
) -> tuple[int, Values, tuple[str, ...]] | None:
    reader = TableReader(source, TABLE, report, progress)
    if not reader.begin():
        return None
    found = list(reader.rows())
    if any(not sound for _, _, sound in found):
        return None
    if len(found) != 1:
        line = found[1][0] if found else 0
        report.reject("garden", remark(FILE, line, "", "", f"must have one row; this has {len(found)}"))
        return None
    line, values, _ = found[0]
    return line, values, tuple(column.name for column in reader.columns)


def _of_row(values: Values, line: int, within: str, report: LoadReport) -> tuple[Garden | None, bool]:
    """Return the garden that the row is about, and whether it may be made if it is not there."""

    def refuse(column: str, value: object, rule: str) -> tuple[None, bool]:
        report.reject("garden", remark(FILE, line, column, value, rule))
        return None, False

    named = _named(within, report) if within else None
    if within and named is None:
        return None, False
    if own := values.get("garden"):
        if named is not None and str(named.garden) != own:
            return refuse("garden", own, f"is not the garden asked for, {named.name} ({named.garden})")
        return Garden.objects.filter(garden=uuid.UUID(str(own))).first(), True
    if named is not None:
        return named, False
    gardens = list(Garden.objects.order_by("name", "pk")[:2])
    if not gardens:
        return None, True
    if len(gardens) > 1:
        return refuse("garden", "", "must be given, or the garden named with --in: there are several")
    if gardens[0].name != values.get("name"):
        return refuse(
            "name",
            values.get("name", ""),
            f"is not the name of the garden that is here, {gardens[0].name}; name that with --in to load "
            "into it, or give a UUID of its own as `garden` to make a second one",
        )
    return gardens[0], False


def _named(within: str, report: LoadReport) -> Garden | None:
    """Return the garden called ``within``, or the only one."""
    try:
        return the_garden(within or None)
    except SeveralGardens as error:
        rule = f"there are several gardens ({', '.join(error.names)}): name one with --in, or give garden.csv"
    except NotFound as error:
        rule = str(error) if within else "there is no garden yet: give garden.csv with its name and place"
    except Ambiguous as error:
        rule = str(error)
    report.reject("", remark(FILE, 0, "garden", within, rule))
    return None


def _kept(record: Garden) -> Chosen:
    rows = PlainRows(TABLE)
    _, values = next(rows.read(Garden.objects.filter(pk=record.pk)))
    before = dict(zip(TABLE.names, values, strict=True))
    return Chosen(record, str(record.garden), before, before)


def _to_make(values: Values, line: int, report: LoadReport) -> Chosen | None:
    missing = [column.name for column in TABLE.columns if column.required and column.name not in values]
    for name in missing:
        report.reject("garden", remark(FILE, line, name, "", f"{REQUIRED} for a new garden"))
    if missing:
        return None
    garden = str(values.get("garden") or uuid.uuid4())
    report.count("garden").accepted = 1
    row = {name: values.get(name) for name in TABLE.names} | {"garden": garden}
    return Chosen(None, garden, row, is_first="garden" not in values)
