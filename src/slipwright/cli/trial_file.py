"""Any table of counts, read as text (nothing in it is ever evaluated), and what it taught."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from slipwright.cli.answer import BadInput
from slipwright.outputs.tables import plain_cell

if TYPE_CHECKING:
    from slipwright.rooting.trials import TrialFit

Row = tuple[int, dict[str, str]]
MOST_BYTES = 20_000_000


def read_table(file: Path) -> tuple[list[str], Iterator[Row]]:
    """Return the columns of a table and its rows, each with the line it begins on."""
    try:
        if file.stat().st_size > MOST_BYTES:
            raise BadInput(
                f"{file} is larger than {MOST_BYTES // 1_000_000} MB: give the trial's table alone"
            )
        text = file.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise BadInput(f"{file} cannot be read: {error.strerror}") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{file} is not text in UTF-8: save it as CSV, UTF-8") from error
    reader = csv.reader(text.splitlines(keepends=True), strict=True)
    try:
        columns = [name.strip() for name in next(reader, [])]
    except csv.Error as error:
        raise BadInput(f"{file} line 1 cannot be read as CSV ({error})") from error
    _check_header(file, columns)
    return columns, _rows(file, columns, reader)


def _check_header(file: Path, columns: Sequence[str]) -> None:
    if not any(columns):
        raise BadInput(f"{file} line 1 is empty: the first line must name the columns")
    for sign, called in ((";", "semicolons"), ("\t", "tabs")):
        if len(columns) == 1 and sign in columns[0]:
            raise BadInput(f"{file}: cells are parted by {called}; save it with commas between cells")
    for at, name in enumerate(columns):
        if name and name in columns[:at]:
            raise BadInput(f"{file} line 1, {name}: stands twice in the header")


def _rows(file: Path, columns: Sequence[str], reader: Iterator[list[str]]) -> Iterator[Row]:
    line = getattr(reader, "line_num", 1)
    try:
        for cells in reader:
            begins, line = line + 1, getattr(reader, "line_num", line + 1)
            if not any(cells):
                continue
            if len(cells) != len(columns):
                raise BadInput(f"{file} row {begins}: must have {len(columns)} cells, not {len(cells)}")
            yield begins, {name: plain_cell(cell) for name, cell in zip(columns, cells, strict=True)}
    except csv.Error as error:
        raise BadInput(f"{file} row {line + 1} cannot be read as CSV ({error})") from error


def pairs_of(ctx: click.Context, param: click.Parameter, values: Iterable[str]) -> dict[str, str]:
    """Return what was given as NAME=VALUE, each name once."""
    found: dict[str, str] = {}
    for value in values:
        name, sign, rest = (part.strip() for part in value.partition("="))
        if not (name and sign and rest):
            raise click.BadParameter(f"{value!r}: give NAME=VALUE", ctx, param)
        if name in found:
            raise click.BadParameter(f"{name} is given twice", ctx, param)
        found[name] = rest
    return found


def fit_of(file: Path, *, rooted: str, stuck: str, by: str, unit: str, **given: Any) -> TrialFit:
    """Return what a table taught."""
    from slipwright.rooting.trial_table import factors_in, read_trial
    from slipwright.rooting.trials import fit_trial

    columns, rows = read_table(file)
    sets = factors_in(by, columns)
    factors = list(dict.fromkeys(factor for one in sets for factor in one))
    _check_columns(columns, {"--rooted": rooted, "--stuck": stuck, "--unit": unit}, factors)
    found = read_trial(rows, rooted=rooted, stuck=stuck, factors=factors, unit=unit)
    return fit_trial(found, sets, **given)


def _check_columns(columns: Sequence[str], named: dict[str, str], factors: Sequence[str]) -> None:
    taken: dict[str, str] = dict.fromkeys(factors, "--by")
    for option, name in named.items():
        if not name and option == "--unit":
            continue
        if name not in columns:
            raise BadInput(f"{option}: the table has no column {name}; it has {', '.join(columns)}")
        if name in taken:
            raise BadInput(f"{option}: column {name} is given to {taken[name]} as well")
        taken[name] = option
