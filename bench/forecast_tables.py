"""Published tables as batches: each plot, plate, dish or cell one, counted once, to be held out in turn.

The tables tell no day: all counts are taken as of day 84. The study stands as a genus, what it compares as
taxa and seasons, or as what was stuck where the model has a term for that.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind

DATA = Path(__file__).parents[1] / "tests" / "outside" / "data"
STUCK_ON = date(2024, 6, 1)
COUNTED_DAY = 84
WOOD = "semi-hardwood"
RIPENESS = {"top": 0.2, "base": 0.8}


@dataclass(frozen=True)
class Unit:
    """One unit of a table: its record, the arm it is of, the fold it is held out with."""

    record: BatchRecord
    arm: tuple[str, ...]
    fold: str


Row = Mapping[str, str]


def _unit(
    kind: Kind, n_rooted: str, n_stuck: str, arm: tuple[str, ...], fold: str, cuttings: Cuttings
) -> Unit:
    looks = (LookCounts(STUCK_ON + timedelta(days=COUNTED_DAY), n_rooted=int(n_rooted)),)
    return Unit(BatchRecord(cuttings, kind, BatchCounts(STUCK_ON, int(n_stuck), looks)), arm, fold)


def _crowder(row: Row) -> Unit:
    plate, arm = row["plate"], (row["seed"], row["root"])
    kind = Kind("Orobanche", row["seed"], WOOD, row["root"], plate)
    return _unit(kind, row["germinated"], row["n"], arm, str(int(plate) % 7), Cuttings())


def _mead(row: Row) -> Unit:
    arm = (row["temp"], row["conc"])
    kind = Kind("Seeds", row["temp"], WOOD, row["conc"], " ".join((*arm, row["rep"])))
    return _unit(kind, row["germ"], row["seeds"], arm, row["rep"], Cuttings())


def _yifru(row: Row) -> Unit:
    arm = (row["stock_age_years"], row["position"], row["iba_percent"])
    kind = Kind("Study", f"age {arm[0]}", WOOD, "one", row["plot"])
    strength = float(row["iba_percent"]) * 10_000
    cuttings = Cuttings(
        ripeness=RIPENESS[row["position"]], auxin="dip" if strength else "none", strength=strength
    )
    return _unit(kind, row["rooted"], row["stuck"], arm, row["plot"][-1], cuttings)


def _bartlett(row: Row) -> Unit:
    arm = (row["time"], row["length"])
    kind = Kind("Prunus", row["time"], WOOD, row["length"], " ".join(arm))
    return _unit(kind, row["alive"], row["n"], arm, " ".join(arm), Cuttings())


TABLES: dict[str, tuple[str, Callable[[Row], Unit]]] = {
    "plates of Crowder 1978": ("crowder1978_table3_orobanche.csv", _crowder),
    "plots of Yifru 2005": ("yifru2005_cuttings.csv", _yifru),
    "dishes of Mead 2002": ("mead2002_germination.csv", _mead),
    "cells of Bartlett 1935": ("bartlett1935_plum_root_cuttings.csv", _bartlett),
}


def units(name: str) -> list[Unit]:
    """Read a table."""
    file, read = TABLES[name]
    with (DATA / file).open(encoding="utf-8", newline="") as lines:
        return [read(row) for row in csv.DictReader(lines)]


def folds(table: list[Unit]) -> Iterator[tuple[list[Unit], list[Unit]]]:
    """Yield what is learned from and what is held out, fold by fold."""
    for fold in sorted({unit.fold for unit in table}):
        yield [one for one in table if one.fold != fold], [one for one in table if one.fold == fold]
