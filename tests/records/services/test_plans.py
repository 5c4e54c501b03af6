"""Programmes are asked for once, taken by one, and used or dropped by whoever may; old ones go."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from slipwright.records.errors import BadValue, Busy, NotAllowed, NotFound, Refused, UsedMeanwhile
from slipwright.records.models import Garden, Member, PlanState, SeasonPlan
from slipwright.records.packed_plan import CONTENT_VERSION, packed_content
from slipwright.records.selectors import plans as found
from slipwright.records.selectors import season_stuck
from slipwright.records.selectors.gardens import beside, large_beside
from slipwright.records.selectors.season_stuck import programme_in_use
from slipwright.records.services import plans
from slipwright.records.services.plans import Made, ask_plan, drop_plan, use_plan
from tests.records.conftest import small_garden

ON = date(2025, 10, 20)
CONTENT = {
    "version": CONTENT_VERSION,
    "lines": [{"n": 0, "week": "2025-10-27"}, {"n": 1, "week": "2025-11-03"}],
}
HOURS = {"kind": "hours", "more_h": 2}
MADE = Made(packed_content(CONTENT), b"programme", "0 0 prior", 1.25)


def ask(garden: Garden, now: datetime, by: Member | None = None, **more: Any) -> SeasonPlan:
    return ask_plan(garden, on=more.pop("on", ON), now=now, by=by, **more)


def make(garden: Garden, now: datetime, made: Made = MADE, **more: Any) -> SeasonPlan:
    ask(garden, now, **more)
    taken = plans.take_plan()
    assert taken is not None
    assert plans.finish_plan(taken, made, now=now)
    return found.plan_of(garden, taken.pk)


def as_read(garden: Garden) -> Garden:
    """Return the garden as pages read it: with its programme."""
    members = Member.objects.filter(garden=garden, role="owner").select_related(*beside("garden"))
    return members.defer(*large_beside("garden")).get().garden


def test_one_asked_for_twice_is_asked_for_once(garden: Garden, volunteer: Member, now: datetime) -> None:
    hours = {"kind": "hours", "more_h": 3}
    first, again = ask(garden, now, volunteer), ask(garden, now, volunteer)
    other, other_again = (ask(garden, now, volunteer, change=hours) for _ in range(2))
    assert first.pk == again.pk != other.pk == other_again.pk
    assert [one.change for one in found.plans_asked(garden)] == [{}, hours]
    make(garden, now)
    assert ask(garden, now, volunteer).pk not in (first.pk, other.pk)


def test_one_being_made_is_not_handed_back_once_something_was_written_or_another_is_used(
    garden: Garden, owner: Member, now: datetime
) -> None:
    used = make(garden, now)
    waiting = ask(garden, now)
    running = plans.take_plan()
    assert running == waiting == ask(garden, now)
    Garden.objects.filter(pk=garden.pk).update(last_number=F("last_number") + 1)
    again = ask(garden, now)
    assert again != running
    assert again == ask(garden, now)
    use_plan(used, now=now, by=owner)
    beside_it = ask(garden, now)
    assert beside_it not in (running, again)
    assert beside_it.before == used


def test_only_members_who_record_ask_and_only_those_who_edit_use(
    garden: Garden, owner: Member, volunteer: Member, reader: Member, now: datetime
) -> None:
    with pytest.raises(NotAllowed):
        ask(garden, now, reader)
    plan = make(garden, now)
    for member in (volunteer, reader):
        with pytest.raises(NotAllowed):
            use_plan(plan, now=now, by=member)
        with pytest.raises(NotAllowed):
            drop_plan(plan, by=member)
    stranger = Member.objects.get(garden=small_garden("Long Reach"), role="owner")
    with pytest.raises(NotAllowed):
        use_plan(plan, now=now, by=stranger)
    use_plan(plan, now=now, by=owner)
    asked = ask(garden, now, volunteer)
    drop_plan(asked, by=volunteer)
    assert not found.plans_asked(garden)


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"kind": "weather"}, "change"),
        ({"kind": "room", "place": "mist"}, "change"),
        ({"kind": "room", "place": "mist", "factor": 2, "more_m2": 1}, "change"),
        ({"kind": "hours", "more_h": "3"}, "more_h"),
        ({"kind": "hours", "more_h": float("nan")}, "more_h"),
        ({"kind": "want_n", "want": "roses-27", "n": True}, "n"),
        ({"kind": "want_by", "want": "roses-27", "on": "tomorrow"}, "on"),
    ],
)
def test_a_change_nobody_can_make_is_refused(
    garden: Garden, now: datetime, change: dict[str, Any], column: str
) -> None:
    with pytest.raises(BadValue) as refused:
        ask(garden, now, change=change)
    assert refused.value.column == column


def test_so_many_wait_at_most(garden: Garden, now: datetime) -> None:
    for n in range(plans.MOST_WAITING):
        ask(garden, now, change={"kind": "hours", "more_h": n + 1})
    with pytest.raises(Busy):
        ask(garden, now)


def test_the_one_asked_for_first_is_taken_and_by_one_only(garden: Garden, now: datetime) -> None:
    later = ask(garden, now, change={"kind": "hours", "more_h": 1})
    first = ask(garden, now - timedelta(minutes=1))
    taken = [plans.take_plan() for _ in range(3)]
    assert [one and one.pk for one in taken] == [first.pk, later.pk, None]


def test_taking_one_reads_no_large_parts(garden: Garden, owner: Member, now: datetime) -> None:
    use_plan(make(garden, now), now=now, by=owner)
    ask(garden, now)
    with CaptureQueriesContext(connection) as asked:
        assert plans.take_plan()
    assert not any('"content"' in one["sql"] for one in asked.captured_queries)


def test_what_another_version_made_tells_nothing(garden: Garden, owner: Member, now: datetime) -> None:
    older = replace(MADE, content=packed_content({**CONTENT, "version": CONTENT_VERSION - 1}))
    plan = make(garden, now, older)
    assert found.plan_content(plan) == {}
    use_plan(plan, now=now, by=owner)
    garden = as_read(garden)
    assert programme_in_use(garden) is None
    with CaptureQueriesContext(connection) as asked:
        assert programme_in_use(garden) is None
    assert not asked.captured_queries


def test_two_who_take_at_once_do_not_take_the_same(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = ask(garden, now), ask(garden, now, change={"kind": "hours", "more_h": 1})
    running, other = plans._running, []

    def slow(plan: SeasonPlan, **values: Any) -> bool:
        if not other:
            other.append(plan.pk)
            SeasonPlan.rows.filter(pk=plan.pk).update(state=PlanState.RUNNING)
        return running(plan, **values)

    monkeypatch.setattr(plans, "_running", slow)
    taken = plans.take_plan()
    assert taken is not None
    assert (other, taken.pk) == ([first.pk], second.pk)


def test_what_was_dropped_is_not_written_to(garden: Garden, now: datetime) -> None:
    ask(garden, now)
    taken = plans.take_plan()
    assert taken is not None
    assert plans.tell_progress(taken, 0.5, "choosing among the plans")
    assert found.plan_of(garden, taken.pk).done == 0.5
    drop_plan(taken)
    drop_plan(taken)
    assert not plans.tell_progress(taken, 0.6, "")
    assert not plans.finish_plan(taken, MADE, now=now)
    with pytest.raises(NotFound):
        found.plan_of(garden, taken.pk)


def test_the_one_used_last_is_the_programme_whatever_the_clock_said(
    garden: Garden, owner: Member, now: datetime
) -> None:
    first, second = make(garden, now, change=HOURS), make(garden, now)
    assert found.plan_in_use(as_read(garden)) is None
    assert use_plan(first, now=now, by=owner).used_at == now
    assert use_plan(first, now=now + timedelta(days=1), by=owner).used_at == now
    use_plan(second, now=now - timedelta(hours=1), by=owner)
    in_use = found.plan_in_use(as_read(garden))
    assert in_use is not None
    assert (in_use.pk, in_use.used_by) == (second.pk, owner)
    assert ask(garden, now).before == in_use
    with pytest.raises(Refused):
        drop_plan(in_use)
    with pytest.raises(Refused):
        use_plan(ask(garden, now), now=now, by=owner)


def test_one_is_not_used_in_place_of_another_than_it_was_seen_beside(
    garden: Garden, owner: Member, now: datetime
) -> None:
    first, second, third = (make(garden, now, change=HOURS) for _ in range(3))
    use_plan(first, now=now, by=owner)
    use_plan(second, now=now, by=owner, instead_of=first.pk)
    with pytest.raises(UsedMeanwhile):
        use_plan(third, now=now, by=owner, instead_of=first.pk)
    in_use = found.plan_in_use(as_read(garden))
    assert in_use is not None
    assert in_use.pk == second.pk
    # pressed twice
    assert use_plan(second, now=now, by=owner, instead_of=first.pk).pk == second.pk


def test_of_those_never_used_few_stay_and_those_used_stay_two_years(
    garden: Garden, owner: Member, now: datetime
) -> None:
    long_ago = now - timedelta(days=900)
    old = [make(garden, long_ago, change=HOURS) for _ in range(2)]
    for plan in old:
        use_plan(plan, now=long_ago, by=owner)
    made = [make(garden, now, change=HOURS).pk for _ in range(plans.MADE_KEPT + 3)]
    left = {plan.pk for plan in found.plans_of(garden, 100)}
    assert left == {old[1].pk, *made[3:]}


def test_one_made_anew_takes_the_place_of_those_unused_and_changes_tried_stay(
    garden: Garden, owner: Member, now: datetime
) -> None:
    used = make(garden, now)
    use_plan(used, now=now, by=owner)
    tried = make(garden, now, change=HOURS)
    make(garden, now)
    elsewhere = make(small_garden("elsewhere"), now)
    again = make(garden, now)
    assert {plan.pk for plan in found.plans_of(garden)} == {used.pk, tried.pk, again.pk}
    make(garden, now, change={"kind": "hours", "more_h": 3})
    assert again in found.plans_of(garden)
    assert found.plans_of(elsewhere.garden) == [elsewhere]


def test_a_failed_one_says_why(garden: Garden, now: datetime) -> None:
    ask(garden, now)
    taken = plans.take_plan()
    assert taken is not None
    plans.fail_plan(taken, "no" * 500, now=now)
    plan = found.plan_of(garden, taken.pk)
    assert (plan.state, len(plan.wrong)) == (PlanState.FAILED, 200)
    assert found.plan_content(plan) == {}


def test_lists_of_programmes_read_no_large_parts(garden: Garden, now: datetime) -> None:
    make(garden, now)
    with CaptureQueriesContext(connection) as asked:
        [plan] = found.plans_of(garden)
    assert len(asked) == 1
    assert not any('"content"' in one["sql"] for one in asked.captured_queries)
    assert found.plan_content(plan) == CONTENT


def test_the_lines_are_those_of_the_programme_in_use_and_are_read_once(
    garden: Garden, owner: Member, now: datetime
) -> None:
    plan, other = (
        make(garden, now, change=HOURS),
        make(garden, now, replace(MADE, content=packed_content({**CONTENT, "lines": []}))),
    )
    assert programme_in_use(as_read(garden)) is None
    use_plan(plan, now=now, by=owner)
    with CaptureQueriesContext(connection) as asked:
        garden = as_read(garden)
        in_use = programme_in_use(garden)
        assert programme_in_use(garden) == in_use
    assert in_use is not None
    assert (in_use.plan, in_use.number, list(in_use.lines)) == (plan.pk, 0, CONTENT["lines"])
    # the garden with its programme, and once the lines
    assert len(asked) == 2
    assert '"content"' not in asked[0]["sql"]
    use_plan(other, now=now, by=owner)
    again = programme_in_use(as_read(garden))
    assert again is not None
    assert (again.plan, again.lines) == (other.pk, ())
    # of the one before nothing is held any more
    assert season_stuck._IN_USE.get(garden.garden, (plan.pk, plan.made_at, plan.mark)) is None


def test_what_was_written_since_is_seen(garden: Garden, now: datetime) -> None:
    mark = found.mark_of_plan(garden)
    plan = make(garden, now, Made(b"", b"", mark, 1.0))
    assert not found.since_plan(garden, plan).is_any
    garden.last_number += 3
    garden.last_edit += 1
    since = found.since_plan(garden, plan)
    assert (since.n_entries, since.n_edits, since.is_learned_anew) == (3, 1, False)
