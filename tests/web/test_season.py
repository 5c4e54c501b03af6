"""The season: what is promised, what to stick this week, what one change brings, and what is used."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from html import unescape
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import translation

from slipwright.craft.said import Said
from slipwright.records.answers.programme.planned import words_to_keep
from slipwright.records.answers.sayings import put_away
from slipwright.records.models import Garden, Member, Place, PlanState, SeasonPlan, Sticking, Want
from slipwright.records.selectors.plans import plan_in_use
from tests.records.making import stick
from tests.web.season_content import MONDAY, ROSE, content, kept_plan, line_told, want_told

SignIn = Callable[[Member], Client]


def page(client: Client, address: str = "/season", status: int = 200) -> str:
    """Return a page as people read it: white space closed up, signs as signs."""
    answer = client.get(address)
    assert answer.status_code == status
    return unescape(re.sub(r"\s+", " ", answer.content.decode()))


def of_line(garden: Garden, grower: Member, now: datetime, **columns: Any) -> Sticking:
    """Stick what the first line of the programme asks for."""
    asked = {"plant": "rose-gate", "method": "rose-autumn", "want": "roses-27", "stuck_on": MONDAY}
    return stick(garden, grower, now, **{"n_stuck": 24, **asked, **columns})


# --- the states ---------------------------------------------------------------------------------------


def test_without_wants_it_asks_for_one(client: Client, garden: Garden) -> None:
    Want.rows.of(garden).delete()
    told = page(client)
    assert "Nothing is wanted yet" in told
    assert 'href="/rows/wants/new"' in told
    assert "Plan the season" not in told


def test_with_wants_and_no_programme_one_press_asks_for_it(client: Client, garden: Garden) -> None:
    told = page(client)
    assert "1 want, and no programme yet" in told
    assert "40 plants are wanted." in told
    assert "Plan the season" in told
    answer = client.post("/season/ask", {"again": "1"})
    assert (answer.status_code, answer["Location"]) == (302, "/season")
    asked = SeasonPlan.rows.of(garden).get()
    assert (asked.state, asked.on, asked.change) == (PlanState.ASKED, MONDAY, {})
    assert asked.asked_by is not None


def test_while_it_is_planned_a_bar_tells_how_far_it_is(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, state=PlanState.RUNNING, content=None, done=0.45, doing="plans of each want")
    told = page(client)
    assert "The season is being planned" in told
    assert 'value="0.450"' in told
    assert "plans of each want" in told
    assert '<noscript><meta http-equiv="refresh"' in told
    assert "/js/season." in told
    assert "Plan again" not in told
    (plan,) = SeasonPlan.rows.of(garden)
    assert client.get("/season/progress").json() == {
        "working": True,
        "plan": plan.pk,
        "done": 0.45,
        "doing": "plans of each want",
    }


def test_when_nothing_is_planned_there_is_no_bar_and_nothing_refreshes(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    told = page(client)
    assert "http-equiv" not in told
    assert "<progress" not in told
    assert client.get("/season/progress").json() == {"working": False, "asked": True}


def test_who_comes_before_the_first_programme_sees_it_come(
    client: Client, garden: Garden, now: datetime
) -> None:
    told = page(client)
    assert 'data-season-planning="/season/progress" data-season-at="/season"' in told
    assert '<noscript><meta http-equiv="refresh" content="10; url=/season"></noscript>' in told
    assert "/js/season." in told
    assert client.get("/season/progress").json() == {"working": False, "asked": False}
    kept_plan(garden, now, state=PlanState.FAILED, content=None, wrong="no")
    told = page(client)
    assert "data-season-planning" not in told
    assert "http-equiv" not in told


def test_what_failed_says_why_and_what_is_in_use_stays(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    wrong = words_to_keep(Said("There is no want called {want}", want="sages"))
    failed = kept_plan(garden, now, state=PlanState.FAILED, content=None, wrong=wrong)
    told = page(client)
    assert "The season could not be planned" in told
    assert "There is no want called sages" in told
    assert "Wanted, wished, promised" in told
    client.post("/season/drop", {"plan": failed.pk})
    assert "could not be planned" not in page(client)


def test_one_that_is_made_counts_only_once_it_is_used(client: Client, garden: Garden, now: datetime) -> None:
    made = kept_plan(garden, now)
    told = page(client)
    assert "Made, not yet used" in told
    assert "/stick?plan=" not in told
    assert "This week’s cuttings" not in page(client, "/")
    client.post("/season/use", {"plan": made.pk})
    assert plan_in_use(Garden.objects.get(pk=garden.pk)) == made
    told = page(client)
    assert "Made, not yet used" not in told
    assert f"/stick?plan={made.pk}&line=0" in told


def test_looks_and_stickings_since_are_told(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    assert "since it was planned" not in page(client)
    stick(garden, grower, now)
    assert "1 sticking since it was planned on 20 Oct." in page(client)


# --- the wants ----------------------------------------------------------------------------------------


def test_the_head_counts_what_can_be_promised(client: Client, garden: Garden, now: datetime) -> None:
    states = ("likely", "met", "near", "short", "past")
    wants = [want_told(0, want=f"w{i}", state=state) for i, state in enumerate(states)]
    kept_plan(garden, now, content(wants=1) | {"wants": wants}, used=True)
    told = page(client)
    assert "Season to April 2027" in told
    assert "5 wants, 200 plants. <strong>2 can be promised</strong>, 1 near, 1 short, 1 past its day." in told
    assert "Planned Monday 20 October." in told
    assert "1 whose day is past" in told


def test_a_want_stands_on_a_bar_with_its_promise_in_words(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    told = page(client)
    assert "wished 8 in 10, <strong>promised 6 in 10</strong>; for 33: 8 in 10" in told
    assert "40 wanted; likely 28 to 55 are ready, 8 times in 10" in told
    assert '#near"/></svg> Near' in told
    assert "Room for containers." in told
    assert "Promised: counted over 20 000 fresh seasons" in told


def test_room_is_drawn_against_load_with_its_table(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    told = page(client)
    assert told.count('class="drawing room-load"') == 4
    assert 'aria-label="Cuttings: mist. room for 2 m²; 1 week is full"' in told
    assert '<th scope="row">27 Oct 2025<td class="n">2 full' in told
    assert "Mist: 0.2 m² more" in told


# --- the weeks ----------------------------------------------------------------------------------------


def test_this_week_says_all_it_takes(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    told = page(client)
    assert "1 batch, 24 cuttings; 1 h 10 of sticking" in told
    for words in (
        "12 shoots of rose-gate (frame-1)",
        "semi-hardwood tips",
        "2 to 4 nodes",
        "4 × pot-1l, 6 to each",
        "IBA 1 000 mg/L, quick dip: 12 ml",
        "5 labels",
        "first look 3 Nov",
        "costs 3.40 USD",
        "<dt>Sticking</dt><dd>1 h 10</dd>",
        "<dt>Work in all</dt><dd>2 h 10 of 6 h, with looks and potting</dd>",
        "no other week of it gives nearly as many",
    ):
        assert words in told


def test_what_was_stuck_is_shown_as_stuck(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    plan = kept_plan(garden, now, used=True)
    batch = of_line(garden, grower, now)
    told = page(client)
    assert "stuck 24 by 20 Oct" in told
    assert f'href="/batches/{batch.batch}"' in told
    assert f"/stick?plan={plan.pk}&line=0" not in told
    assert "Nothing to stick this week" in told


def test_a_part_that_was_stuck_leaves_the_rest_to_stick(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    of_line(garden, grower, now, n_stuck=10)
    told = page(client)
    assert "10 of 24 are stuck." in told
    assert "Stick 14" in told


def test_another_wood_or_no_want_is_not_taken_for_the_line(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    of_line(garden, grower, now, wood="hardwood")
    of_line(garden, grower, now, want="")
    assert "Stick 24" in page(client)


def test_what_is_late_stands_with_this_week_until_its_wood_is_over(
    client: Client, garden: Garden, now: datetime
) -> None:
    week = MONDAY - timedelta(weeks=2)
    lines = [
        line_told(0, week),
        line_told(1, week, window={"opens_on": "2025-08-01", "closes_on": "2025-10-15"}),
    ]
    kept_plan(garden, now, content() | {"lines": lines}, used=True)
    told = page(client)
    assert "planned for the week of 6 Oct; its wood is right until about 31 Oct" in told
    assert "1 batch was not stuck, and its wood is over" in told
    assert "1 batch, 24 cuttings; 1 h 10 of sticking" in told


# --- sticking and today ---------------------------------------------------------------------------------


def test_sticking_from_a_line_fills_everything_in(client: Client, garden: Garden, now: datetime) -> None:
    plan = kept_plan(garden, now, used=True)
    told = page(client, f"/stick?plan={plan.pk}&line=0")
    assert "From the programme, line 1, week of 20 Oct: 24, semi-hardwood." in told
    assert 'name="plant" value="rose-gate"' in told
    assert re.search(r'name="n_stuck"[^>]* value="24"', told)
    assert '<option value="roses-27"' in told
    assert re.search(r'name="way" value="other" checked', told)
    assert '<option value="rose-autumn" selected>' in told
    assert re.search(r'name="place" value="mist-1" required checked', told)
    assert '<option value="pot-1l" selected>' in told
    assert re.search(r'name="n_per_container"[^>]* value="6"', told)


def test_a_line_of_two_plants_is_stuck_plant_by_plant(client: Client, garden: Garden, now: datetime) -> None:
    shoots = [
        {"plant": "rose-gate", "place": "", "n_shoots": 4, "n_bundles": 0, "n_over": 4},
        {"plant": "rose-wall", "place": "", "n_shoots": 8, "n_bundles": 0, "n_over": 8},
    ]
    lines = [line_told(plant="rose-gate; rose-wall", shoots=shoots)]
    plan = kept_plan(garden, now, content() | {"lines": lines}, used=True)
    told = page(client, f"/stick?plan={plan.pk}&line=0")
    assert 'name="plant" value="rose-gate"' in told
    assert re.search(r'name="n_stuck"[^>]* value="8"', told)
    assert f'href="?plan={plan.pk}&line=0&plant=rose-wall"' in told


def test_a_line_whose_plant_or_programme_is_gone_still_leads_to_sticking(
    client: Client, garden: Garden, now: datetime
) -> None:
    shoots = [{"plant": "gone", "place": "", "n_shoots": 4, "n_bundles": 0, "n_over": 4}]
    plan = kept_plan(garden, now, content() | {"lines": [line_told(shoots=shoots)]}, used=True)
    assert f'name="taxon" value="{ROSE}"' in page(client, f"/stick?plan={plan.pk}&line=0")
    assert "Stick" in page(client, "/stick?plan=999&line=0")
    assert "Stick" in page(client, f"/stick?plan={plan.pk}&line=77")


def test_of_two_places_with_the_cover_none_is_chosen(client: Client, garden: Garden, now: datetime) -> None:
    Place.rows.create(garden=garden, place="mist-2", kind="bench", cover="mist", walk_order=3)
    plan = kept_plan(garden, now, used=True)
    told = page(client, f"/stick?plan={plan.pk}&line=0")
    assert "Stands in one of: mist-1, mist-2." in told
    assert not re.search(r'name="place"[^>]* checked', told)


def test_today_names_this_weeks_cuttings_until_they_are_stuck(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    plan = kept_plan(garden, now, used=True)
    told = page(client, "/")
    assert "This week’s cuttings" in told
    assert f'<a class="stake due" href="/stick?plan={plan.pk}&line=0">' in told
    assert "semi-hardwood from rose-gate; on about Wednesday 22 October" in told
    of_line(garden, grower, now)
    assert "This week’s cuttings" not in page(client, "/")


def test_a_programme_costs_today_the_round_told_anew_once(
    client: Client, garden: Garden, now: datetime
) -> None:
    def n_queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            page(client, "/")
        return len(asked)

    page(client, "/")
    before = n_queries()
    kept_plan(garden, now, content() | {"lines": [line_told(week=MONDAY + timedelta(weeks=3))]}, used=True)
    first, second = n_queries(), n_queries()
    assert first <= 12
    assert second == before
    kept_plan(garden, now, used=True)
    first, second = n_queries(), n_queries()
    assert first <= 12
    assert second == before


# --- one change ---------------------------------------------------------------------------------------


def test_an_offered_change_is_asked_for(client: Client, garden: Garden, now: datetime) -> None:
    plan = kept_plan(garden, now, used=True)
    assert "Half as much mist again" in page(client)
    client.post("/season/ask", {"plan": plan.pk, "key": "room:mist"})
    asked = SeasonPlan.rows.of(garden).get(state=PlanState.ASKED)
    assert asked.change == {"kind": "room", "place": "mist", "factor": 1.5}
    assert asked.before == plan
    assert "The change is being tried" in page(client)


@pytest.mark.parametrize(
    ("form", "change"),
    [
        (
            {"kind": "room", "place": "tent", "factor": "2"},
            {"kind": "room", "place": "tent", "factor": 2.0},
        ),
        (
            {"kind": "room", "place": "nursery", "factor": "1.5"},
            {"kind": "room", "place": "nursery", "factor": 1.5},
        ),
        (
            {"kind": "shoots", "plant": "rose-gate", "more": "5"},
            {"kind": "shoots", "plant": "rose-gate", "more": 5},
        ),
        ({"kind": "hours", "more_h": "2,5"}, {"kind": "hours", "more_h": 2.5}),
        (
            {"kind": "want", "want": "roses-27", "n": "30"},
            {"kind": "want_n", "want": "roses-27", "n": 30},
        ),
        (
            {"kind": "want", "want": "roses-27", "on": "2027-06-01"},
            {"kind": "want_by", "want": "roses-27", "on": "2027-06-01"},
        ),
        (
            {"kind": "want", "want": "roses-27", "p": "0.7"},
            {"kind": "want_assurance", "want": "roses-27", "p": 0.7},
        ),
        (
            {"kind": "cover", "taxon": ROSE, "cover": "tent"},
            {"kind": "cover", "taxon": ROSE, "cover": "tent"},
        ),
        ({"kind": "no_method", "method": "rose-autumn"}, {"kind": "no_method", "method": "rose-autumn"}),
    ],
)
def test_a_change_of_ones_own_is_asked_for(
    client: Client, garden: Garden, now: datetime, form: dict[str, str], change: dict[str, Any]
) -> None:
    plan = kept_plan(garden, now, used=True)
    assert client.post("/season/ask", {"plan": plan.pk, **form}).status_code == 302
    assert SeasonPlan.rows.of(garden).get(state=PlanState.ASKED).change == change
    with translation.override("en"):
        assert "The change is being tried" in page(client)


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({}, "choose one, or say one of your own"),
        ({"key": "made up"}, "is not offered any more"),
        ({"kind": "hours", "more_h": "much"}, "Hours more a week: must be a number"),
        ({"kind": "want", "want": "roses-27", "n": "30", "p": "0.7"}, "say one of the three"),
        ({"kind": "want", "want": "roses-27", "on": "2025-01-01"}, "must be a day to come"),
        ({"kind": "room", "place": "moon", "factor": "2"}, "Place: must be one of the choices"),
    ],
)
def test_what_cannot_be_tried_is_said_and_nothing_is_asked(
    client: Client, garden: Garden, now: datetime, form: dict[str, str], said: str
) -> None:
    plan = kept_plan(garden, now, used=True)
    answer = client.post("/season/ask", {"plan": plan.pk, **form})
    assert answer.status_code == 422
    assert said in unescape(answer.content.decode())
    assert not SeasonPlan.rows.of(garden).filter(state=PlanState.ASKED).exists()


@pytest.fixture
def tried(garden: Garden, now: datetime) -> SeasonPlan:
    """One change that was tried beside a programme in use."""
    before = kept_plan(garden, now, used=True)
    told = content() | {
        "beside": {
            "cost": [40.0, 78.0],
            "n_to_stick": [48, 60],
            "n_batches": [2, 3],
            "n_short": [1, 0],
            "wants": [
                {"want": "roses-27", "taxon": ROSE, "promised": [0.61, 0.92], "planned": [33, 41]},
                {"want": "sages", "taxon": "Salvia rosmarinus", "promised": [0.9, 0.8], "planned": [9, 9]},
            ],
        },
        "diff": [
            {
                "want": "roses-27",
                "kind": "resized",
                "was": line_told(),
                "now": line_told(n_to_stick=36),
                "why": put_away(Said("there is more room")),
            }
        ],
    }
    change = {"kind": "room", "place": "mist", "factor": 1.5}
    return kept_plan(garden, now, told, change=change, before=before)


def test_a_tried_change_stands_beside_the_one_in_use(client: Client, tried: SeasonPlan) -> None:
    told = page(client)
    assert "Tried: Half as much room again: mist" in told
    assert "1 want gains, 1 loses. It costs 38 USD more." in told
    assert "6 in 10 → <strong>9 in 10</strong>" in told
    assert "planned for 33 → 41" in told
    assert "9 in 10 → <strong>8 in 10</strong>" in told
    assert "24 of rose-gate in the week of 20 Oct → 36 of rose-gate" in told
    assert "there is more room" in told
    assert "All below is of the programme that waits" not in told
    assert "All below is of the programme that waits" in page(client, f"/season?plan={tried.pk}")


def test_it_is_used_or_dropped_and_nothing_else_changes_the_one_in_use(
    client: Client, garden: Garden, tried: SeasonPlan
) -> None:
    in_use = plan_in_use(Garden.objects.get(pk=garden.pk))
    page(client, f"/season?plan={tried.pk}")
    assert plan_in_use(Garden.objects.get(pk=garden.pk)) == in_use
    client.post("/season/drop", {"plan": tried.pk})
    assert plan_in_use(Garden.objects.get(pk=garden.pk)) == in_use
    assert "Tried:" not in page(client)
    assert client.post("/season/drop", {"plan": tried.pk}).status_code == 302
    assert page(client, f"/season?plan={tried.pk}", 404)


def test_a_change_in_use_is_said_to_be_in_no_record(
    client: Client, garden: Garden, tried: SeasonPlan
) -> None:
    client.post("/season/use", {"plan": tried.pk})
    assert plan_in_use(Garden.objects.get(pk=garden.pk)) == tried
    told = page(client)
    assert "Made with one thing changed: Half as much room again: mist." in told
    assert "Tried:" not in told


def test_planning_again_says_what_is_another_and_why(
    client: Client, garden: Garden, tried: SeasonPlan
) -> None:
    SeasonPlan.rows.filter(pk=tried.pk).update(change={})
    told = page(client)
    assert "Planned again on 20 Oct" in told
    assert "1 batch differs" in told
    assert "Keep the old" in told


# --- who may, and how large ---------------------------------------------------------------------------


def test_a_volunteer_asks_and_sticks_but_does_not_use(
    as_member: SignIn, volunteer: Member, tried: SeasonPlan
) -> None:
    theirs = as_member(volunteer)
    told = page(theirs)
    assert "Try this change" in told
    assert "/stick?plan=" in told
    assert "Use this change" not in told
    assert theirs.post("/season/use", {"plan": tried.pk}).status_code == 403


def test_a_reader_sees_all_and_changes_nothing(as_member: SignIn, reader: Member, tried: SeasonPlan) -> None:
    theirs = as_member(reader)
    told = page(theirs)
    assert "promised 6 in 10" in told
    for words in ("Plan again", "Try this change", "Use this change", "Drop it", "/stick?plan="):
        assert words not in told
    assert theirs.post("/season/ask", {"again": "1"}).status_code == 403


def test_ten_wants_are_told_in_few_queries_and_few_bytes(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, content(wants=10, lines=24), used=True)
    of_line(garden, grower, now)
    with CaptureQueriesContext(connection) as asked:
        told = client.get("/season").content
    assert len(asked) <= 12
    assert len(told) <= 120_000
    assert len(gzip.compress(told)) <= 35_000


def test_three_hundred_wants_are_told_page_by_page(client: Client, garden: Garden, now: datetime) -> None:
    told = content(wants=300, lines=400)
    for i, want in enumerate(told["wants"]):
        want |= {"state": "short" if i == 299 else "likely"}
    kept_plan(garden, now, told, used=True)
    first = client.get("/season").content
    assert len(first) <= 120_000
    shown = page(client)
    assert "page 1 of 30" in shown
    # what falls short comes first
    assert shown.index("want-299: batches and curve") < shown.index("want-001: batches and curve")
    assert "want-298: batches and curve" not in shown
    assert "want-298: batches and curve" in page(client, "/season?wants=30")
    later = re.search(r'href="/season\?from=([0-9-]+)#weeks"', shown)
    assert later is not None
    assert date.fromisoformat(later[1]) > MONDAY
    assert "From this week on" in page(client, f"/season?from={later[1]}")


def test_the_way_there_is_in_the_navigation(client: Client, garden: Garden) -> None:
    assert re.search(r'<nav class="nav".*?href="/season".*?Season</a>', page(client, "/plants"))
    assert re.search(r'href="/season" aria-current="page"', page(client))
    assert 'href="/season"' in page(client, "/garden")
