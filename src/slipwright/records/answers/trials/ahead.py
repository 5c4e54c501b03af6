"""What the pots of a running trial will likely do by the count, all together: by way nothing is told yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from slipwright.records.answers.trials.now import TrialNow
from slipwright.records.models import Garden
from slipwright.records.selectors.forecasts_made import newest_made_for
from slipwright.rooting.scoring import HIGH, LEVELS, LOW


@dataclass(frozen=True, slots=True)
class PotsAhead:
    """So many of all that were stuck will have rooted by the count, 8 times in 10."""

    low: int
    high: int
    n_stuck: int
    on: date


def pots_ahead(garden: Garden, now: TrialNow) -> PotsAhead | None:
    """Return how many will have rooted by the count; None where it is not told of every pot. One query.

    The points of all pots are added level by level, as if they shared one luck: pots of one plant stuck on
    one day share most of it, and the range is rather too wide than too narrow.
    """
    if now.state != "running" or now.due_on is None:
        return None
    waiting = {
        pot.pot.pk: pot.due_on
        for pot in now.pots
        if pot.pot.n_waiting and pot.state == "waits" and pot.due_on
    }
    made = newest_made_for(garden, waiting)
    if not waiting or len(made) < len(waiting):
        return None
    known = sum(pot.n_seen for pot in now.pots if pot.pot.pk not in waiting)
    at = [known + sum(points[k] for points in made.values()) for k in range(len(LEVELS))]
    return PotsAhead(at[LOW], at[HIGH], sum(pot.pot.n_stuck for pot in now.pots), now.due_on)
