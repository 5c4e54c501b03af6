"""The demonstration garden as tables: the same rows, and the same bytes, every time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from slipwright.outputs.tables import write_csv
from slipwright.records.columns import TABLES, table_named
from slipwright.records.demo import around, trials, years
from slipwright.records.demo.course import follow
from slipwright.records.demo.setting import BY_HAND, Luck, Row, rows_by_hand
from slipwright.records.demo.sticking import Stuck, methods, stickings
from slipwright.records.tables.progress import Progress, quiet
from slipwright.rooting.simulate import chances, drawn_effects, hazards_of

#: where along the shoot the middle of the usual cutting sat, and of the usual tip
USUAL_RIPENESS: Final = (0.5, 0.36)

Tables = dict[str, list[Row]]

#: which draw of the effects is taken: one of a few hundred in which no genus is out of the ordinary
EFFECTS: Final = 39
#: days on which nobody read the thermometers
_UNREAD: Final = ("2014-11-18", "2014-11-22")
#: a look that was written to the wrong batch, and taken back
_MISTAKEN: Final = "look-mistaken"


def demo_tables(progress: Progress = quiet) -> Tables:
    """Return the rows of every table of the demonstration garden."""
    batches = stickings()
    rows: Tables = {table.name: [dict(row) for row in _by_hand(table.name)] for table in TABLES}
    effects = drawn_effects(Luck("effects", EFFECTS).generator, [batch.kind for batch in batches])
    for number, (batch, effect) in enumerate(zip(batches, effects, strict=True)):
        progress(number, len(batches), "growing the demonstration")
        rows["batches"].append(batch.row)
        more, less = _towards_handbook(batch)
        hazards = hazards_of(batch.cuttings, (float(effect[0]) + more, float(effect[1]) - less))
        follow(batch, hazards, rows)
    rows["methods"] = methods(batches)
    rows["stages"] = years.stages(rows_by_hand("plants"))
    rows["firmness"] = years.firmness(rows_by_hand("plants"), batches)
    rows["acts"] = around.acts(batches, rows_by_hand("plants"), rows["looks"])
    rows["beds"] = around.beds()
    rows["notes"] = around.notes(batches)
    rows["weather"] = [row for row in rows["weather"] if not _UNREAD[0] <= row["on"] <= _UNREAD[1]]
    rows["weather"] += around.forecasts()
    rows["plants"] += around.raised_here(rows["outcomes"], batches)
    _mistake(rows)
    trials.begin(rows)
    return rows


def write_demo(folder: Path, progress: Progress = quiet) -> None:
    """Write the demonstration garden's tables into a folder."""
    for name, rows in demo_tables(progress).items():
        if rows:
            (folder / f"{name}.csv").write_bytes(b"".join(_as_csv(name, rows)))


def _by_hand(table: str) -> Sequence[Row]:
    return rows_by_hand(table) if table in BY_HAND else ()


def _towards_handbook(batch: Stuck) -> tuple[float, float]:
    """Return what brings the usual cuttings of a leaf to the handbook's middle share of rooted ones.

    It is added to the log hazard of rooting, and taken from that of loss: twice as much, so that the
    days to root stay about what they are.
    """
    usual = replace(batch.cuttings, ripeness=USUAL_RIPENESS[batch.leaf.cutting == "tip"], bloom=0, n_nodes=3)
    share, _, _ = chances(hazards_of(usual), 0, batch.leaf.patience_days.value)
    wished = batch.leaf.rooted_percent[0].p50 / 100
    odds = math.log(wished / (1 - wished) * (1 - share) / share)
    return odds / 3, 2 * odds / 3


def _as_csv(name: str, rows: Sequence[Row]) -> list[bytes]:
    table = table_named(name)
    texts = [column.name for column in table.columns if column.kind in ("text", "note", "ref", "parts")]
    full = [dict.fromkeys(table.names, "") | row for row in rows]
    return list(write_csv(table.names, full, texts))


def _mistake(rows: Tables) -> None:
    """Add a look that was written down wrong and its withdrawal, and one count that does not add up."""
    wrong = dict(rows["looks"][-40]) | {"id": _MISTAKEN, "n_rooted": "1", "note": "", "by": "jun"}
    doubtful = next(row for row in reversed(rows["looks"]) if int(row.get("n_waiting", "0")) > 5)
    doubtful |= {"n_waiting": str(int(doubtful["n_waiting"]) + 1), "note": "counted in a hurry"}
    rows["looks"].append({name: value for name, value in wrong.items() if name != "n_waiting"})
    at = f"{wrong['on']}T18:40:00-07:00"
    back = {"withdraws": _MISTAKEN, "at": at, "by": "orla", "reason": "the pot beside it was meant"}
    rows["withdrawals"].append(back)
