"""What a want still needs, given what was stuck for it, and whether it can be ready in time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from slipwright.advice.answer import Plan
from slipwright.advice.walk import clocks_of_batch
from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.outputs.measures import day_text
from slipwright.records import selectors
from slipwright.records.answers.walk import SEED, batches_on_round
from slipwright.records.models import Garden
from slipwright.records.selectors import BatchNow, WantNow
from slipwright.rooting.dates import give_up_on
from slipwright.rooting.forecast import forecast_batch

#: stages that a rooted cutting reaches without the losses of growing on
AT_ROOTING = ("rooted", "potted")


@dataclass(frozen=True, slots=True)
class Need:
    """A want in rooted cuttings: how many it takes, and how many are likely to come."""

    want: WantNow
    #: share of rooted cuttings that live to what is wanted, the handbook's middle
    survive: float
    #: rooted cuttings that batches stuck for it have or likely get, the middle of the forecast
    n_expected: int

    @property
    def n_rooted_needed(self) -> int:
        """Rooted cuttings it takes to have the plants wanted."""
        return math.ceil(self.want.n_wanted / self.survive)

    @property
    def n_short(self) -> int:
        """Rooted cuttings still to be stuck for."""
        return max(self.n_rooted_needed - self.n_expected, 0)


def needs_of(garden: Garden, handbook: Handbook, *, on: date, only: str = "") -> list[Need]:
    """Return every want, or only the one of that id, with what it still needs, soonest first."""
    found: dict[str, list[BatchNow]] = {}
    for batch in selectors.states_of_all_batches(garden):
        if batch.want:
            found.setdefault(batch.want, []).append(batch)
    return [
        Need(want, _survive(handbook, want), _expected(garden, handbook, found.get(want.want, []), on))
        for want in selectors.wants(garden)
        if only in ("", want.want)
    ]


def asked_for(garden: Garden, handbook: Handbook, *, on: date) -> dict[str, int]:
    """Return how many rooted cuttings of each taxon are still to be stuck for, on a day."""
    asked: dict[str, int] = {}
    for need in needs_of(garden, handbook, on=on):
        if need.want.ready_by >= on:
            asked[need.want.taxon] = asked.get(need.want.taxon, 0) + need.n_short
    return asked


def _survive(handbook: Handbook, want: WantNow) -> float:
    page = handbook.page_of(want.taxon)
    if want.ready_as in AT_ROOTING or page is None or page.survive_percent is None:
        return 1.0
    return page.survive_percent.p50 / 100


def _expected(garden: Garden, handbook: Handbook, batches: list[BatchNow], on: date) -> int:
    alive = sum(batch.n_rooted - batch.n_lost_rooted for batch in batches)
    waiting = [batch for batch in batches if batch.ended_on is None and batch.n_waiting > 0]
    generator = np.random.default_rng(SEED)
    for batch in batches_on_round(garden, handbook, waiting):
        clocks = clocks_of_batch(batch)
        left = (give_up_on(batch.counts.stuck_on, clocks.patience_days) - on).days
        told = forecast_batch(
            clocks, batch.counts, on=on, generator=generator, ahead=[0, *([left] if left > 0 else [])]
        )
        alive += told.days[-1].rooted.p50 - batch.counts.until(on).n_rooted
    return max(alive, 0)


def in_time(want: WantNow, plan: Plan) -> str:
    """Return a sentence where a plan is likely late for its want, else nothing."""
    early, middle, late = _ready(want.ready_as, plan)
    if late is None or want.ready_by >= late:
        return ""
    when = ""
    if early:
        when = Said(
            "{ready_as} {first} to {last}, 8 times in 10",
            ready_as=Said(want.ready_as),
            first=day_text(early),
            last=day_text(late),
        )
    told = {"day": day_text(want.ready_by), "when": when}
    if early and want.ready_by < early:
        return Said("Too late for {day}: {when}.", **told)
    if middle and want.ready_by < middle:
        return Said("Likely too late for {day}: {when}.", **told)
    return Said("May be late for {day}: {when}.", **told)


def _ready(ready_as: str, plan: Plan) -> tuple[date | None, date | None, date | None]:
    pot_up = plan.pot_up_on
    if ready_as == "rooted":
        days = [plan.start_on + timedelta(days=round(7 * week)) for week in plan.odds.weeks_to_root]
        return days[0], days[1], days[2]
    if ready_as == "potted":
        return pot_up.p10, pot_up.p50, pot_up.p90
    if ready_as == "weaned":
        wean = plan.leaf.weaning_days
        points = zip((pot_up.p10, pot_up.p50, pot_up.p90), (wean.p10, wean.p50, wean.p90), strict=True)
        found = [day and day + timedelta(days=round(more)) for day, more in points]
        return found[0], found[1], found[2]
    return plan.ready_on.p10, plan.ready_on.p50, plan.ready_on.p90
