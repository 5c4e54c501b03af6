"""A trial as a table of its own: a pot a row, as ``slipwright trial`` reads it."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator

from slipwright.outputs.tables import write_csv
from slipwright.records.answers.trials.now import TrialNow

#: columns of the table; ``rooted`` is empty as long as a pot was not counted
COLUMNS = ("unit", "block", "position", "letter", "arm", "stuck", "rooted", "stuck_on", "counted_on", "note")
_TEXTS = ("unit", "letter", "arm", "note")


def trial_csv(now: TrialNow) -> Iterator[bytes]:
    """Return a trial's pots as CSV, block by block; ``stuck`` leaves out what was taken away."""
    return write_csv(COLUMNS, _rows(now), _TEXTS)


def _rows(now: TrialNow) -> Iterator[dict[str, object]]:
    # a pot that names no way is not judged here, and stays out of the sums of who reads the table
    no_way = "names no way of this trial"
    notes = {"counted": "", "due": "its day has come, and it was not counted", "waits": "not counted yet"}
    for pot in now.pots:
        yield {
            "unit": pot.pot.batch,
            "block": pot.block,
            "position": pot.position,
            "letter": pot.arm.letter if pot.arm else "",
            "arm": pot.arm.name if pot.arm else pot.pot.arm or "not said",
            "stuck": pot.pot.n_stuck if pot.n_tried is None else pot.n_tried,
            "rooted": pot.n_rooted if pot.arm else None,
            "stuck_on": pot.pot.stuck_on,
            "counted_on": pot.counted_on,
            "note": notes[pot.state] if pot.arm else no_way,
        }


def file_name(now: TrialNow) -> str:
    """Return the name of the table's file: letters, figures and hyphens."""
    return f"trial-{re.sub('[^a-z0-9]+', '-', now.row.trial.lower()).strip('-') or 'table'}.csv"


def command(now: TrialNow) -> str:
    """Return the command that reads the table as it stands, for a shell."""
    words = ["slipwright", "trial", file_name(now)]
    for name in ("rooted", "stuck"):
        words += [f"--{name}", name]
    words += ["--by", "arm", "--unit", "unit", "--reference", f"arm={now.arms[0].name}"]
    return shlex.join(words)
