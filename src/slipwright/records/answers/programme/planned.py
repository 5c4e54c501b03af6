"""A programme that was asked for, made and kept with all that is told of it."""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.records.answers.programme.content import content_of
from slipwright.records.answers.programme.planning import programme_of_garden
from slipwright.records.answers.programme.progress import Stretch
from slipwright.records.answers.sayings import put_away, said_again
from slipwright.records.models import Garden, SeasonPlan, fields
from slipwright.records.packed_plan import (
    content_now,
    packed_content,
    packed_programme,
    unpacked_programme,
)
from slipwright.records.selectors.plans import mark_of_plan
from slipwright.records.services.plan_lists import KeptLists
from slipwright.records.services.plans import Made, finish_plan
from slipwright.records.tables.progress import Progress, quiet
from slipwright.season.planning import N_FRESH
from slipwright.season.programme import Programme

#: a batch in a week that was not announced must save so much of what a batch costs: people have arranged
#: themselves by the weeks they were told (common practice, no source)
MOVING_COSTS = 0.1
#: which share of the work is done when the programme is there and must only be told
_MADE = 0.9


def make_plan(
    plan: SeasonPlan, handbook: Handbook, *, now: datetime, progress: Progress = quiet, **more: Any
) -> bool:
    """Make a programme that was taken, and keep it; return False where it was dropped or taken meanwhile.

    ``now`` is when its making begins; it counts as made when that is over.
    ``more`` goes to ``programme_of_garden``.
    """
    began, whole = time.perf_counter(), Stretch(progress)
    garden = Garden.objects.get(pk=plan.garden_id)
    mark = mark_of_plan(garden)
    before, before_content = _before(plan)
    lists = KeptLists(garden, on=now.date())
    found = programme_of_garden(
        garden,
        handbook,
        on=plan.on,
        seed=plan.seed,
        change=plan.change,
        kept=lists,
        before=before,
        change_cost=moving_costs(before),
        progress=whole.part(0.0, _MADE),
        **more,
    )
    whole.share(_MADE, Said("putting it in words"))
    content = content_of(
        found, before_content, before, change=plan.change, n_fresh=more.get("n_fresh", N_FRESH)
    )
    kept = packed_content(content), packed_programme(found.programme)
    made = Made(*kept, mark, time.perf_counter() - began)
    is_kept = finish_plan(plan, made, now=now + timedelta(seconds=made.seconds))
    lists.settle()
    return is_kept


def moving_costs(before: Programme | None) -> float:
    """Return what a batch in another week than announced counts as, in money."""
    if before is None or not before.lines:
        return 0.0
    return MOVING_COSTS * before.cost / len(before.lines)


def _before(plan: SeasonPlan) -> tuple[Programme | None, Mapping[str, Any] | None]:
    """Return the programme that was in use when one was asked for, and what was told of it.

    Neither where another version of the program made it.
    """
    before = plan.before
    content = content_now(before.content) if before is not None else {}
    if before is None or before.programme is None or not content:
        return None, None
    return unpacked_programme(bytes(before.programme)), content


# --- why one could not be made ------------------------------------------------------------------------


def words_to_keep(why: str) -> str:
    """Return a sentence in as much room as a line of text has, so that it can be said in another tongue."""
    kept = json.dumps(put_away(why), ensure_ascii=False, separators=(",", ":"))
    return kept if isinstance(why, Said) and len(kept) <= fields.TEXT else str(why)[: fields.TEXT]


def why_not_made(plan: SeasonPlan) -> str:
    """Return why a programme could not be made, as ``words_to_keep`` kept it."""
    told: str = said_again(json.loads(plan.wrong)) if plan.wrong.startswith('{"said":') else plan.wrong
    return told
