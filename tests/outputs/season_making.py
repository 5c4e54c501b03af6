"""Sheets of an invented programme."""

from __future__ import annotations

from datetime import date, timedelta

from slipwright.outputs.collecting import CollectingSheet, CollectingWeek, Refused, Shoots, Warned
from slipwright.outputs.crew import CrewLine, CrewSheet, CrewWeek, Mix, SmallCutting, Way
from slipwright.outputs.sheet import Step
from tests.outputs.making import LONG_NAME, ROSE

MONDAY = date(2026, 9, 14)
STEPS = (
    Step("From a healthy plant.", "Ask your plant health authority.", "Choose."),
    Step("In the cool of the morning.", "A sharp, clean blade.", "Cut."),
    Step("All the same way up.", "", "Bundle."),
)


def shoots(n: int = 1, **changes: object) -> Shoots:
    """What is cut of one plant."""
    fields: dict[str, object] = {
        "plant": f"rose-gate-{n}",
        "name_runs": ROSE,
        "bring_in_by": MONDAY + timedelta(days=2),
        "n_shoots": 43,
        "n_cuttings": 120,
        "common_name": "lantern rose",
        "place": "long border",
        "length_mm": (100.0, 125.0),
        "n_nodes": (3, 4),
        "numbers": (n,),
    }
    return Shoots(**(fields | changes))  # type: ignore[arg-type]


def collecting(n_weeks: int = 2, n_rows: int = 3, **changes: object) -> CollectingSheet:
    """So many weeks of so many plants; in the first one plant may not be cut."""
    refused = (Refused(LONG_NAME, "Protected; no licence is recorded.", "teasdale-1"),)
    weeks = tuple(
        CollectingWeek(
            MONDAY + timedelta(weeks=w),
            tuple(shoots(w * n_rows + i + 1) for i in range(n_rows)),
            () if w else refused,
            (Warned("Prickles: stout gloves.", "rose-gate-1"),),
        )
        for w in range(n_weeks)
    )
    fields: dict[str, object] = {
        "weeks": weeks,
        "steps": STEPS,
        "garden": "Saltmarsh Lane Community Garden",
        "programme_on": date(2026, 9, 10),
        "made_on": date(2026, 9, 11),
    }
    return CollectingSheet(**(fields | changes))  # type: ignore[arg-type]


def crew_line(n: int = 1, **changes: object) -> CrewLine:
    """One batch to stick."""
    fields: dict[str, object] = {
        "number": n,
        "name_runs": ROSE,
        "day": MONDAY + timedelta(days=2),
        "n_to_stick": 96,
        "n_containers": 8,
        "container": "pot-3l",
        "n_per_container": 12,
        "litres": 16.2,
        "n_labels": 8,
        "common_name": "lantern rose",
        "plant": "rose-gate",
        "want": "Gate roses 2027",
        "dip_ml": 12.4,
        "hours": 1.6,
        "length_mm": (100.0, 125.0),
        "n_nodes": (3, 4),
    }
    return CrewLine(**(fields | changes))  # type: ignore[arg-type]


def crew(n_weeks: int = 2, n_lines: int = 3, **changes: object) -> CrewSheet:
    """So many weeks of two ways with so many lines each."""
    forms = ("piece", "heel", "mallet", "tip", "single-node")
    weeks = []
    for w in range(n_weeks):
        first = w * 2 * n_lines + 1
        ways = (
            Way(
                "Semi-hardwood pieces, under mist",
                STEPS,
                tuple(crew_line(first + i) for i in range(n_lines)),
                SmallCutting(forms[w % 5]),  # type: ignore[arg-type]
            ),
            Way(
                "Hardwood pieces, no cover",
                STEPS[:1],
                tuple(crew_line(first + n_lines + i, dip_ml=None) for i in range(n_lines)),
            ),
        )
        weeks.append(
            CrewWeek(
                MONDAY + timedelta(weeks=w),
                ways,
                (Mix("half-and-half", 97.2, (("perlite", 54.0), ("vermiculite", 54.0))),),
                (Warned("Dust: wet the bag's contents."),),
                () if w else (Refused(ROSE, "Protected; no licence is recorded.", "rose-7"),),
                26.0 if w % 2 else 14.2,
                20.0,
            )
        )
    fields: dict[str, object] = {
        "weeks": tuple(weeks),
        "garden": "Saltmarsh Lane Community Garden",
        "programme_on": date(2026, 9, 10),
        "made_on": date(2026, 9, 11),
    }
    return CrewSheet(**(fields | changes))  # type: ignore[arg-type]
