"""A programme that is asked for is made, told of and kept, and is the same with kept lists and without."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records.answers.programme import planned
from slipwright.records.answers.programme.planned import make_plan, moving_costs
from slipwright.records.answers.programme.planning import programme_of_garden
from slipwright.records.models import (
    Cost,
    Garden,
    Hours,
    Member,
    Method,
    Place,
    PlanList,
    PlanState,
    Plant,
    SeasonPlan,
    Taxon,
    Want,
)
from slipwright.records.packed_plan import CONTENT_VERSION, packed_content, unpacked_programme
from slipwright.records.selectors import plans as found
from slipwright.records.services import plans
from slipwright.records.services.plan_lists import KeptLists
from slipwright.season import _lists
from slipwright.season.asked import Effort
from slipwright.season.programme import Programme, Seconds

HANDBOOK = load_handbook()
ON = date(2025, 10, 20)
FEW: dict[str, Any] = {
    "n_scenarios": 400,
    "n_fresh": 1000,
    "n_workers": 0,
    "effort": Effort(n_rounds=2),
}

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


@pytest.fixture
def garden(garden: Garden) -> Garden:
    """A small garden with two wants, a bench of known room, hours and shoots that are counted."""
    Plant.rows.of(garden).filter(plant="rose-gate").update(
        shoots_per_season=80, max_share_taken=Decimal("0.5"), shoot_length_mm=700, nodes_per_shoot=16
    )
    Want.rows.create(
        garden=garden,
        want="sage-26",
        taxon=Taxon.rows.get(garden=garden, taxon="Salvia rosmarinus"),
        n_wanted=20,
        ready_by=date(2026, 8, 1),
        ready_as="rooted",
        assurance=Decimal("0.8"),
    )
    Place.rows.of(garden).update(room_m2=Decimal(2))
    Place.rows.create(garden=garden, place="yard", kind="nursery", room_m2=Decimal(5))
    Method.rows.of(garden).update(n_per_container=6)
    Hours.rows.create(garden=garden, from_on=ON, to_on=date(2027, 12, 31), hours_per_week=7)
    Cost.rows.create(garden=garden, item="labour", unit="hour", cost=Decimal(20))
    garden.refresh_from_db()
    return garden


def made(
    garden: Garden, now: datetime, *, change: dict[str, Any] | None = None, on: date = ON, **more: Any
) -> SeasonPlan:
    plans.ask_plan(garden, on=on, now=now, by=None, change=change)
    taken = plans.take_plan()
    assert taken is not None
    assert make_plan(taken, HANDBOOK, now=now, **(FEW | more))
    return SeasonPlan.rows.select_related("garden").get(pk=taken.pk)


def programme(plan: SeasonPlan) -> Programme:
    assert plan.programme is not None
    kept = unpacked_programme(bytes(plan.programme))
    assert kept is not None
    return replace(kept, seconds=Seconds(0, 0, 0, 0))


def test_it_is_the_same_whether_lists_are_kept_in_the_table_or_not(garden: Garden, now: datetime) -> None:
    fresh = programme_of_garden(Garden.objects.get(pk=garden.pk), HANDBOOK, on=ON, **FEW).programme
    without = replace(fresh, seconds=Seconds(0, 0, 0, 0))
    first = made(garden, now)
    n_lists = PlanList.rows.of(garden).count()
    again = made(garden, now)
    assert n_lists == PlanList.rows.of(garden).count() > 0
    assert without.lines
    assert programme(first) == without == programme(again)


def test_with_lists_kept_nothing_is_listed_anew_and_they_are_read_together(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(garden, now)

    def listed(task: Any) -> None:
        raise AssertionError("a list was made")

    monkeypatch.setattr(_lists, "_listed", listed)
    lists = KeptLists(garden, on=now.date())
    with CaptureQueriesContext(connection) as asked:
        programme_of_garden(Garden.objects.get(pk=garden.pk), HANDBOOK, on=ON, kept=lists, **FEW)
    of_lists = [one for one in asked.captured_queries if "planlist" in one["sql"]]
    # which there are, those of all wants, and a few while it is explained what stops the rest
    assert 2 <= len(of_lists) < PlanList.rows.of(garden).count() / 2


def test_it_is_kept_with_all_that_is_told_of_it(garden: Garden, now: datetime) -> None:
    plan = made(garden, now)
    assert (plan.state, plan.done) == (PlanState.MADE, 1.0)
    assert plan.seconds
    assert plan.made_at
    # it is made when the making is over
    assert abs((plan.made_at - now).total_seconds() - plan.seconds) < 0.001
    content = found.plan_content(plan)
    assert [want["want"] for want in content["wants"]] == ["sage-26", "roses-27"]
    assert len(content["lines"]) == len(programme(plan).lines) > 0
    assert not found.since_plan(Garden.objects.get(pk=garden.pk), plan).is_any


def test_one_is_made_beside_what_another_version_made(garden: Garden, owner: Member, now: datetime) -> None:
    before = made(garden, now)
    older = packed_content({"version": CONTENT_VERSION - 1, "lines": [{}]})
    SeasonPlan.rows.filter(pk=before.pk).update(content=older)
    plans.use_plan(before, now=now, by=owner)
    again = made(garden, now)
    assert again.before == before
    assert found.plan_content(again)["beside"] is None


def test_what_is_tried_changes_that_alone_and_not_the_garden(garden: Garden, now: datetime) -> None:
    plain = made(garden, now)
    tried = made(garden, now, change={"kind": "want_n", "want": "sage-26", "n": 35})
    n_wanted = {want.want: want.n_wanted for want in programme(tried).wants}
    assert n_wanted == {"sage-26": 35, "roses-27": 40}
    assert found.plan_content(tried)["change"] == tried.change
    assert programme(made(garden, now)) == programme(plain)


def test_the_one_in_use_is_what_the_next_is_held_against(
    garden: Garden, owner: Member, now: datetime
) -> None:
    first = made(garden, now)
    plans.use_plan(first, now=now, by=owner)
    again = made(garden, now)
    assert again.before == first
    assert programme(again).lines == programme(first).lines
    assert programme(again).moves == 0


def test_moving_an_announced_batch_costs_a_part_of_a_batch(garden: Garden, now: datetime) -> None:
    assert moving_costs(None) == 0
    before = programme(made(garden, now))
    assert before.cost > 0
    assert moving_costs(before) == pytest.approx(planned.MOVING_COSTS * before.cost / len(before.lines))
    assert moving_costs(replace(before, lines=())) == 0


def test_how_far_it_has_come_never_falls_and_ends_at_the_whole(garden: Garden, now: datetime) -> None:
    told: list[tuple[float, str]] = []
    made(garden, now, progress=lambda done, total, label: told.append((done / total, label)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[0] < 0.1
    assert shares[-1] == planned._MADE
    labels = list(dict.fromkeys(label for _, label in told))
    assert labels[-5:] == [
        "listing the plans of each want",
        "choosing among the plans",
        "counting what is promised on fresh draws",
        "finding what stops the rest",
        "putting it in words",
    ]


def test_one_dropped_at_the_last_moment_is_not_kept_but_its_lists_are(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    plans.ask_plan(garden, on=ON, now=now, by=None)
    taken = plans.take_plan()
    assert taken is not None
    content: Callable[..., Any] = planned.content_of

    def dropped(*given: Any, **more: Any) -> Any:
        plans.drop_plan(taken)
        return content(*given, **more)

    monkeypatch.setattr(planned, "content_of", dropped)
    assert not make_plan(taken, HANDBOOK, now=now, **FEW)
    assert not found.plans_of(garden)
    assert PlanList.rows.of(garden).exists()
