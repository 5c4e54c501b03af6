"""What papers need of a programme that was just made and is kept nowhere."""

from __future__ import annotations

from typing import Any

from slipwright.records.answers.programme.lines import line_facts, told_line
from slipwright.records.answers.programme.load import told_weeks
from slipwright.records.answers.programme.planning import GardenProgramme


def content_for_papers(found: GardenProgramme) -> dict[str, Any]:
    """Return of a programme's content what papers go by: its lines and its weeks."""
    facts = line_facts(found)
    lines = [told_line(found, one) for one in facts]
    weeks = told_weeks(found, facts, lines)
    return {"on": found.problem.given.on.isoformat(), "lines": lines, "weeks": weeks}
