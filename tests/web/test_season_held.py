"""A programme held against what came since: plants half cut, wants gone, rights lost, long weeks."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db.models import F
from django.test import Client

from slipwright.records.models import Garden, Member, Plant, SeasonPlan, Taxon, Want
from tests.outputs.reading_pdf import pages_of
from tests.web.season_content import MONDAY, ROSE, content, kept_plan, line_told, want_told
from tests.web.test_season import of_line, page
from tests.web.test_season_now import card

WEEKS = timedelta(weeks=1)


def typed(client: Client, at: str) -> str:
    """Return the number that stands in the form for sticking."""
    found = re.search(r'id="n_stuck".*?value="(\d*)"', page(client, at))
    assert found is not None
    return found[1]


# --- several plants -------------------------------------------------------------------------------------


def test_once_one_plant_gave_its_share_the_rest_is_cut_from_the_other(
    client: Client, garden: Garden, grower: Member, now: datetime, need_program: Callable[[str], str]
) -> None:
    rose = Plant.rows.get(garden=garden, plant="rose-gate").taxon
    Plant.rows.create(garden=garden, plant="rose-wall", taxon=rose)
    shoots = [
        {"plant": plant, "place": "", "n_shoots": 25, "n_bundles": 1, "n_over": 0}
        for plant in ("rose-gate", "rose-wall")
    ]
    line = line_told(n_to_stick=100, plant="rose-gate; rose-wall", shoots=shoots)
    plan = kept_plan(garden, now, content() | {"lines": [line]}, used=True)
    at = f"/stick?plan={plan.pk}&line=0"
    assert typed(client, f"{at}&plant=rose-wall") == "50"
    of_line(garden, grower, now, n_stuck=50)
    assert typed(client, f"{at}&plant=rose-wall") == "50"
    assert typed(client, f"{at}&plant=rose-gate") == ""
    assert typed(client, at) == "50"
    told = page(client)
    assert "25 shoots of rose-wall" in told
    assert "shoots of rose-gate" not in told
    assert "semi-hardwood from rose-wall;" in page(client, "/")
    pdf = client.get("/season/collecting.pdf").content
    sheet = " ".join(pages_of(need_program("pdftotext"), pdf))
    assert "rose-wall" in sheet
    assert "rose-gate" not in sheet


# --- rights, and wants that are gone, on Today ------------------------------------------------------------


def edited(garden: Garden) -> None:
    """Count an edit, as each page for editing does."""
    Garden.objects.filter(pk=garden.pk).update(last_edit=F("last_edit") + 1)


@pytest.mark.parametrize("is_remembered", [True, False])
def test_today_asks_for_nothing_that_became_protected(
    client: Client, garden: Garden, now: datetime, *, is_remembered: bool
) -> None:
    if is_remembered:
        page(client, "/")
    kept_plan(garden, now, used=True)
    assert "This week’s cuttings" in page(client, "/")
    taxa = Taxon.rows.of(garden).filter(taxon=ROSE)
    taxa.update(rights="protected", licence="")
    edited(garden)
    assert "This week’s cuttings" not in page(client, "/")
    taxa.update(rights="licensed", licence="L 7", licence_until=MONDAY)
    edited(garden)
    assert "This week’s cuttings" in page(client, "/")


def test_today_asks_for_nothing_that_nobody_wants_any_more(
    client: Client, garden: Garden, now: datetime
) -> None:
    told = content() | {
        "wants": [want_told(), want_told(want="other")],
        "lines": [line_told(), line_told(1, want="other", n_to_stick=17)],
    }
    kept_plan(garden, now, told, used=True)
    Want.rows.of(garden).filter(want="roses-27").delete()
    shown = page(client, "/")
    assert "Stick 17" in shown
    assert "Stick 24" not in shown


# --- a used programme with a changed want -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"kind": "want_n", "n": 50}, {"n_wanted": 50}),
        ({"kind": "want_by", "on": "2027-05-01"}, {"ready_by": "2027-05-01"}),
        ({"kind": "want_assurance", "p": 0.9}, {"assurance": 0.9}),
    ],
)
def test_what_a_change_in_use_made_other_is_the_want_all_the_same(
    client: Client, garden: Garden, now: datetime, change: dict[str, Any], told: dict[str, Any]
) -> None:
    change |= {"want": "roses-27"}
    made = content() | {"wants": [want_told(**told)], "change": change}
    kept_plan(garden, now, made, used=True, change=change)
    wants = page(client, "/wants")
    assert "New or changed since the season was planned" not in wants
    assert "promised 6 in 10" in wants
    assert "Made with one thing changed: roses-27:" in wants
    assert "Changed since" not in page(client)
    # what it did not change still counts
    Want.rows.of(garden).filter(want="roses-27").update(ready_as="rooted")
    assert "New or changed since the season was planned" in page(client, "/wants")
    assert "Changed since" in page(client)


# --- long weeks -------------------------------------------------------------------------------------------


def test_the_head_tells_what_is_to_do_however_much_is_done(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, content() | {"lines": [line_told(n) for n in range(20)]}, used=True)
    for _ in range(16):
        of_line(garden, grower, now)
    this_week = card(page(client))
    assert this_week.count('class="stake due"') == 4
    assert "4 batches, 96 cuttings" in this_week
    assert "All of this week is stuck" not in this_week


def test_all_of_the_week_is_stuck_only_where_none_was_refused(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    told = content() | {
        "wants": [want_told(), want_told(want="other")],
        "lines": [line_told(), line_told(1, want="other"), line_told(2, MONDAY + 2 * WEEKS, want="other")],
    }
    kept_plan(garden, now, told, used=True)
    of_line(garden, grower, now)
    Want.rows.of(garden).filter(want="other").delete()
    this_week = card(page(client))
    assert "All of this week is stuck" not in this_week
    # the week after next has nothing but what nobody wants
    assert "Next in the week" not in this_week
    assert "Nothing is left to stick in this season." in this_week


@pytest.mark.parametrize("week", [MONDAY, MONDAY + 3 * WEEKS])
def test_each_line_of_a_long_week_can_be_reached(
    client: Client, garden: Garden, now: datetime, week: date
) -> None:
    lines = [line_told(n, week) for n in range(37)] + [line_told(37, MONDAY + 5 * WEEKS)]
    plan = kept_plan(garden, now, content() | {"lines": lines}, used=True)
    seen: set[int] = set()
    at: str | None = "/season"
    for _ in range(6):
        if at is None:
            break
        told = page(client, at)
        seen |= {int(n) for n in re.findall(rf'href="/stick\?plan={plan.pk}&line=(\d+)"', told)}
        ahead = re.findall(r'href="(/season\?(?:from=[0-9-]+&)?(?:skip=\d+)?[^"#]*)#weeks"', told)
        at = next((one for one in ahead if one != at), None)
    assert seen == set(range(38))
    assert SeasonPlan.rows.of(garden).count() == 1
    assert "From this week on" in page(client, f"/season?from={week.isoformat()}&skip=16")


def test_all_that_was_missed_is_counted(client: Client, garden: Garden, now: datetime) -> None:
    over = {"opens_on": "2025-08-15", "closes_on": "2025-10-12"}
    lines = [line_told(n, MONDAY - 3 * WEEKS, window=over) for n in range(19)]
    kept_plan(garden, now, content() | {"lines": lines}, used=True)
    assert "19 batches were not stuck, and their wood is over" in page(client)
