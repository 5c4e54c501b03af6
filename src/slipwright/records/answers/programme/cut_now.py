"""Why the programme in use asks to cut from stock plants this week."""

from __future__ import annotations

from datetime import date

from slipwright.craft.said import Said
from slipwright.records.answers.programme.lines_now import cuttings_of_week
from slipwright.records.models import Garden


def why_cut(garden: Garden, *, on: date) -> dict[str, str]:
    """Return why the programme in use asks to cut from plants in the week of a day, by plant.

    ``garden`` must have just been read, with its programme. Queries as of ``cuttings_of_week``.
    """
    week = cuttings_of_week(garden, on=on)
    shoots: dict[str, list[int | None]] = {}
    now: set[str] = set()
    for line in week.lines if week else ():
        rest = line.rest
        of_plants = {one["plant"]: one.get("n_shoots") for one in rest.get("shoots") or ()}
        for plant, n in (of_plants or {rest.get("plant") or "": None}).items():
            if plant and n != 0:
                shoots.setdefault(plant, []).append(n)
                now |= {plant} if line.standing == "now" else set()
    return {plant: _why(counts, is_late=plant not in now) for plant, counts in shoots.items()}


def _why(counts: list[int | None], *, is_late: bool) -> str:
    known = [n for n in counts if n is not None]
    if len(known) < len(counts):
        return Said("late for the programme") if is_late else Said("in this week’s programme")
    if is_late:
        return Said("late for the programme; shoots: {n}", n=sum(known))
    return Said("in this week’s programme; shoots: {n}", n=sum(known))
