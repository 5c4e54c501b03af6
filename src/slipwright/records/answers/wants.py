"""What a want still needs, given what was stuck for it, and whether it can be ready in time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from slipwright.advice.answer import Plan
from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.outputs.measures import day_text
from slipwright.records import selectors
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.programme.of_wants import known_wants
from slipwright.records.answers.told import Told, told_batches, work_out
from slipwright.records.answers.walk import batches_on_round
from slipwright.records.models import Garden
from slipwright.records.selectors import BatchNow, WantNow
from slipwright.rooting.growing import Growth

#: stages that a rooted cutting reaches without the losses of growing on
AT_ROOTING = ("rooted", "potted")


@dataclass(frozen=True, slots=True)
class Need:
    """A want in rooted cuttings: how many it takes, and how many are likely to come."""

    want: WantNow
    #: share of rooted cuttings that live to what is wanted, the middle of what is known
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


def needs_of(garden: Garden, handbook: Handbook, *, on: date, only: str = "", taxon: str = "") -> list[Need]:
    """Return every want, or only those of an id or a taxon, with what each still needs, soonest first."""
    found: dict[str, list[BatchNow]] = {}
    wants = [
        want for want in selectors.wants(garden) if only in ("", want.want) and taxon in ("", want.taxon)
    ]
    names = {want.want for want in wants}
    for batch in selectors.states_of_all_batches(garden):
        if batch.want in names:
            found.setdefault(batch.want, []).append(batch)
    told = _told(garden, handbook, [batch for batches in found.values() for batch in batches], on)
    shares = shares_that_live(garden, handbook, [(want.taxon, want.ready_as) for want in wants], on=on)
    return [
        Need(
            want,
            share,
            _expected(found.get(want.want, []), told),
        )
        for want, share in zip(wants, shares, strict=True)
    ]


def asked_for(garden: Garden, handbook: Handbook, *, on: date) -> dict[str, int]:
    """Return how many rooted cuttings of each taxon are still to be stuck for, on a day.

    Of wants that the programme in use was made for none: when to cut for them is its to say.
    """
    asked: dict[str, int] = {}
    needs = [need for need in needs_of(garden, handbook, on=on) if need.want.ready_by >= on]
    known = known_wants(garden, [need.want for need in needs], on=on)
    for need in needs:
        n_short = 0 if need.want.want in known else need.n_short
        asked[need.want.taxon] = asked.get(need.want.taxon, 0) + n_short
    return asked


def shares_that_live(
    garden: Garden, handbook: Handbook, asked: Sequence[tuple[str, str]], *, on: date
) -> list[float]:
    """Return for each taxon and stage the middle share of rooted cuttings that live to it.

    It is learned where the garden grew the genus, else the handbook's; 1 where neither says anything.
    """
    if all(ready_as in AT_ROOTING for _, ready_as in asked):
        return [1.0] * len(asked)
    growth = growth_of(garden, handbook, on=on)
    return [_share(growth, handbook, taxon, ready_as) for taxon, ready_as in asked]


def _share(growth: Growth, handbook: Handbook, taxon: str, ready_as: str) -> float:
    page = handbook.page_of(taxon)
    known = growth.of(taxon, page)
    if ready_as in AT_ROOTING or not (known.n_batches or (page and page.survive_percent)):
        return 1.0
    return known.living(ready_as)[1]


def _expected(batches: list[BatchNow], told: Mapping[int, Told]) -> int:
    alive = sum(batch.n_rooted - batch.n_lost_rooted for batch in batches)
    return max(alive + sum(told[batch.pk].n_to_come for batch in batches if batch.pk in told), 0)


def _told(garden: Garden, handbook: Handbook, batches: list[BatchNow], on: date) -> dict[int, Told]:
    """Return what is told of those with cuttings that wait, as Today's round has it."""
    waiting = [batch for batch in batches if batch.ended_on is None and batch.n_waiting > 0]
    if not waiting:
        return {}
    told = told_batches(garden, handbook, waiting, on=on)
    missing = [batch for batch in waiting if batch.pk not in told]
    fresh = work_out(garden, batches_on_round(garden, handbook, missing), on=on) if missing else []
    return told | {batch.pk: one for batch, one in zip(missing, fresh, strict=True)}


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
        wean = plan.grows.days("weaned", plan.leaf.wood) or (0.0, 0.0, 0.0)
        points = zip((pot_up.p10, pot_up.p50, pot_up.p90), wean, strict=True)
        found = [day and day + timedelta(days=round(more)) for day, more in points]
        return found[0], found[1], found[2]
    return plan.ready_on.p10, plan.ready_on.p50, plan.ready_on.p90
