"""The season page as things move on: this week at its head, what changed since, two people at once."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import dateformat, translation

from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, in_tongue
from slipwright.records import services
from slipwright.records.answers.programme.rest import rest_of
from slipwright.records.answers.sayings import put_away
from slipwright.records.models import Garden, Member, PlanState, SeasonPlan, Taxon, Want
from slipwright.records.selectors.plans import plan_in_use
from tests.outputs.reading_pdf import pages_of
from tests.records.making import stick
from tests.web.season_content import MONDAY, ROSE, content, kept_plan, line_told, want_told
from tests.web.test_season import of_line, page

SignIn = Callable[[Member], Client]


def card(told: str) -> str:
    """Return what stands at the head of the page about this week."""
    found = re.search(r'<section class="card now-card".*?</section>', told)
    assert found is not None
    return found[0]


# --- this week, at the head -----------------------------------------------------------------------------


def test_this_week_comes_first_with_its_lines_and_papers(
    client: Client, garden: Garden, now: datetime
) -> None:
    plan = kept_plan(garden, now, used=True)
    told = page(client)
    assert told.index('id="now"') < told.index('class="row jumps"') < told.index('id="wants"')
    this_week = card(told)
    for words in (
        "1 batch, 24 cuttings; 1 h 10 of sticking",
        f'<a class="stake due" href="/stick?plan={plan.pk}&line=0">',
        "semi-hardwood from rose-gate; on about Wednesday 22 October. For roses-27.",
        "no other week of it gives nearly as many",
        'href="#line-1">line 1</a>',
        'href="/season/collecting.pdf?week=2025-10-20"',
        'href="/season/crew.pdf?week=2025-10-20&tongue=en"',
        'href="/season/crew.pdf?week=2025-10-20&tongue=es"',
    ):
        assert words in this_week


def test_each_jump_lands_somewhere(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    told = page(client)
    jumps = re.search(r'<nav class="row jumps".*?</nav>', told)
    assert jumps is not None
    aims = re.findall(r'href="#([a-z]+)"', jumps[0])
    assert aims == ["now", "wants", "room", "change", "weeks"]
    for aim in [*aims, "line-1", "line-2"]:
        assert told.count(f'id="{aim}"') == 1


def test_with_all_of_it_stuck_the_head_says_what_comes_next(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    lines = [line_told(), line_told(1, MONDAY + timedelta(weeks=3))]
    kept_plan(garden, now, content() | {"lines": lines}, used=True)
    of_line(garden, grower, now)
    this_week = card(page(client))
    assert "All of this week is stuck. Next in the week of Monday 10 November." in this_week
    assert ".pdf" not in this_week


def test_many_lines_lead_to_the_rest(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, content() | {"lines": [line_told(n) for n in range(9)]}, used=True)
    this_week = card(page(client))
    assert this_week.count('class="stake due"') == 6
    assert "3 more this week" in this_week
    assert "9 batches, 216 cuttings" in this_week


def test_what_would_bring_all_that_is_wanted_is_said(client: Client, garden: Garden, now: datetime) -> None:
    stops = ("shoots", "rights", "chance")
    wants = [
        want_told(want=f"w-{limit}", stopped_by=[{"limit": limit, "why": put_away(Said("because"))}])
        for limit in stops
    ]
    kept_plan(garden, now, content() | {"wants": wants}, used=True)
    told = page(client)
    assert "More shoots to cut, from more stock plants or a larger share of each: w-shoots" in told
    assert "A licence: protected plants are not multiplied without one: w-rights" in told
    assert "sticking more does not help: w-chance" in told


# --- numbers are the same everywhere --------------------------------------------------------------------


def test_a_part_stuck_leaves_the_same_rest_on_page_and_papers(
    client: Client,
    garden: Garden,
    grower: Member,
    now: datetime,
    need_program: Callable[[str], str],
) -> None:
    kept_plan(garden, now, content() | {"lines": [line_told()]}, used=True)
    of_line(garden, grower, now, n_stuck=10)
    told = page(client)
    assert "1 batch, 14 cuttings" in card(told)
    for words in (
        "<dt>Cuttings</dt><dd>14</dd>",
        "<dt>Pots or trays</dt><dd>3</dd>",
        "7 shoots of rose-gate",
        "3 × pot-1l",
    ):
        assert words in told
    pdf = client.get("/season/crew.pdf?week=2025-10-20").content
    crew = " ".join(pages_of(need_program("pdftotext"), pdf))
    assert "3 × pot-1l" in crew
    assert "4 × pot-1l" not in crew
    (row,) = csv.DictReader(io.StringIO(client.get("/season/programme.csv").content.decode("utf-8-sig")))
    assert (row["line"], row["n_to_stick"]) == ("1", "24")


def test_the_rest_of_a_line_is_all_of_it_or_fewer_of_everything() -> None:
    told = line_told()
    assert rest_of(told, 24) is told
    assert rest_of(told, 0) is told
    rest = rest_of(told, 7)
    assert (rest["n_to_stick"], rest["n_containers"], rest["labels"]) == (7, 2, 3)
    assert rest["litres"] == pytest.approx(2.0)
    assert sum(part["litres"] for part in rest["parts"]) == pytest.approx(2.2)
    assert rest["shoots"][0]["n_shoots"] == 4
    assert rest["hours"] == pytest.approx(0.25 + 0.95 * 7 / 24)
    assert told["n_to_stick"] == 24


# --- what changed since -----------------------------------------------------------------------------------


def test_a_want_that_is_gone_is_not_stuck_for(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    Want.rows.of(garden).filter(want="roses-27").delete()
    told = page(client)
    assert "Nobody wants these any more." in told
    assert "Not to be stuck" in told
    assert "/stick?plan=" not in told
    assert "Nothing to stick this week" in card(told)
    assert client.get("/season/crew.pdf").status_code == 422


def test_a_want_that_was_changed_or_came_since_is_told(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    assert "Changed since" not in page(client)
    Want.rows.of(garden).filter(want="roses-27").update(n_wanted=25, ready_by=date(2027, 5, 12))
    sage = Taxon.rows.of(garden).get(taxon="Salvia rosmarinus")
    Want.rows.create(
        garden=garden, want="sages", taxon=sage, n_wanted=9, ready_by=date(2026, 9, 1), ready_as="rooted",
        assurance=0.8,
    )  # fmt: skip
    told = page(client)
    assert "Changed since: 25 are wanted by 12 May 2027, wished 8 in 10." in told
    assert "1 want came after it was planned, and is not in it: sages" in told


def test_a_plant_protected_since_is_neither_stuck_nor_counted(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    Taxon.rows.of(garden).filter(taxon=ROSE).update(rights="protected", licence="")
    told = page(client)
    assert "no licence is recorded" in told
    assert "/stick?plan=" not in told
    assert "Nothing to stick this week" in card(told)


def test_a_want_past_its_day_since_stands_with_those(client: Client, garden: Garden, now: datetime) -> None:
    told = content() | {"wants": [want_told(ready_by=(MONDAY - timedelta(days=1)).isoformat())]}
    kept_plan(garden, now, told, used=True)
    assert "1 whose day is past" in page(client)


# --- two people at once -----------------------------------------------------------------------------------


def test_who_used_it_and_when_is_said(client: Client, garden: Garden, grower: Member, now: datetime) -> None:
    kept_plan(garden, now, used=True, used_by=grower)
    day = dateformat.format(now, "j M")
    assert f"In use since {day}, by {grower}." in page(client)


def test_one_used_before_says_so_and_is_not_worked_by(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    first = kept_plan(garden, now, used=True, used_by=grower)
    kept_plan(garden, now + timedelta(days=1), used=True, used_by=grower)
    told = page(client, f"/season?plan={first.pk}")
    assert f"by {grower}; another is in use since." in told
    assert "/stick?plan=" not in told
    assert 'class="card now-card"' not in told
    assert f'href="/season?plan={first.pk}"' in page(client)


def test_pressed_twice_it_is_used_once(client: Client, garden: Garden, now: datetime) -> None:
    before = kept_plan(garden, now, used=True)
    made = kept_plan(garden, now, before=before)
    form = {"plan": made.pk, "in_use": before.pk}
    assert client.post("/season/use", form).status_code == 302
    used_at = SeasonPlan.rows.get(pk=made.pk).used_at
    assert client.post("/season/use", form).status_code == 302
    assert SeasonPlan.rows.get(pk=made.pk).used_at == used_at


def test_one_used_by_somebody_else_meanwhile_is_not_replaced_unseen(
    client: Client, as_member: SignIn, owner: Member, garden: Garden, now: datetime
) -> None:
    before = kept_plan(garden, now, used=True)
    mine, theirs = kept_plan(garden, now, before=before), kept_plan(garden, now, before=before)
    other = as_member(owner)
    assert other.post("/season/use", {"plan": theirs.pk, "in_use": before.pk}).status_code == 302
    answer = client.post("/season/use", {"plan": mine.pk, "in_use": before.pk})
    assert answer.status_code == 409
    assert "Another programme was used meanwhile" in answer.content.decode()
    assert plan_in_use(Garden.objects.get(pk=garden.pk)) == theirs


def test_figures_beside_another_programme_are_not_shown(
    client: Client, garden: Garden, now: datetime
) -> None:
    first = kept_plan(garden, now, used=True)
    beside = {
        "cost": [1.0, 2.0],
        "n_to_stick": [1, 2],
        "n_batches": [1, 1],
        "n_short": [0, 0],
        "wants": [],
    }
    kept_plan(garden, now, used=True)
    made = kept_plan(garden, now, content() | {"beside": beside}, before=first)
    told = page(client)
    assert "Another programme was used since this was asked for" in told
    assert "It costs" not in told
    SeasonPlan.rows.filter(pk=made.pk).update(before=plan_in_use(Garden.objects.get(pk=garden.pk)))
    assert "It costs 1 USD more." in page(client)


def test_two_that_wait_can_both_be_looked_at(client: Client, garden: Garden, now: datetime) -> None:
    before = kept_plan(garden, now, used=True)
    change = {"kind": "hours", "more_h": -2.0}
    one = kept_plan(garden, now, before=before, change=change)
    kept_plan(garden, now, before=before, change={"kind": "hours", "more_h": 2.0})
    told = page(client)
    assert "Tried: 2 hours more a week" in told
    assert f'href="/season?plan={one.pk}">2 hours fewer a week</a>' in told


def test_asked_twice_it_is_made_once(client: Client, garden: Garden, now: datetime) -> None:
    plan = kept_plan(garden, now, used=True)
    for _ in range(2):
        assert client.post("/season/ask", {"again": "1"}).status_code == 302
        assert client.post("/season/ask", {"plan": plan.pk, "key": "room:mist"}).status_code == 302
    assert SeasonPlan.rows.of(garden).filter(state=PlanState.ASKED).count() == 2


def test_who_may_not_stop_it_is_not_asked_to(
    as_member: SignIn, volunteer: Member, owner: Member, garden: Garden, now: datetime
) -> None:
    plan = kept_plan(garden, now, state=PlanState.RUNNING, content=None, asked_by=owner)
    theirs = as_member(volunteer)
    assert "Stop it" not in page(theirs)
    SeasonPlan.rows.filter(pk=plan.pk).update(asked_by=volunteer)
    assert "Stop it" in page(theirs)


def test_who_may_not_drop_a_programme_is_told_so(
    as_member: SignIn, volunteer: Member, owner: Member, garden: Garden, now: datetime
) -> None:
    plan = kept_plan(garden, now, asked_by=owner)
    assert as_member(volunteer).post("/season/drop", {"plan": plan.pk}).status_code == 403
    assert SeasonPlan.rows.filter(pk=plan.pk).exists()


def test_dropping_what_is_in_use_by_now_leaves_it(client: Client, garden: Garden, now: datetime) -> None:
    plan = kept_plan(garden, now, used=True)
    assert client.post("/season/drop", {"plan": plan.pk}).status_code == 302
    assert plan_in_use(Garden.objects.get(pk=garden.pk)) == plan


# --- measures, money and tongues ------------------------------------------------------------------------


def test_a_garden_of_us_measures_reads_feet_and_quarts(client: Client, garden: Garden, now: datetime) -> None:
    Garden.objects.filter(pk=garden.pk).update(units="us")
    kept_plan(garden, now, used=True)
    kept_plan(garden, now, change={"kind": "room", "place": "mist", "more_m2": 1.5})
    told = page(client)
    assert 'aria-label="Cuttings: mist. room for 22 ft²; 1 week is full"' in told
    assert "4¼ US qt (4 L)" in told
    assert "16 ft² more room: mist" in told
    assert "m²" not in re.sub(r'<section class="card season-room".*?</section>', "", told)


def test_may_is_whole_in_a_full_day_and_short_in_a_short_one() -> None:
    may = date(2026, 5, 12)
    assert day_in_words(may) == "12 May 2026"
    spanish = {"May{short}": "may{short}", "May": "mayo"}
    assert in_tongue(day_in_words(may), lambda text: spanish.get(text, text)) == "12 may 2026"
    with translation.override("es"):
        assert dateformat.format(may, "j \\d\\e F") == "12 de mayo"


# --- what was taken back does not count -----------------------------------------------------------------


def test_looks_and_stickings_taken_back_are_not_counted(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    kept_plan(garden, now, used=True)
    stuck = [stick(**who, want="roses-27") for _ in range(2)]
    look = services.record_look(**who, batch=stuck[0].batch, on=MONDAY, n_rooted=1)
    services.withdraw(**who, withdraws=look.entry_id, reason="wrong tray", at=now)
    told = page(client)
    assert "2 stickings since it was planned" in told
    assert "1 look and" not in told
    services.withdraw(**who, withdraws=stuck[1].entry_id, reason="wrong tray", at=now)
    assert "1 sticking since it was planned" in page(client)
