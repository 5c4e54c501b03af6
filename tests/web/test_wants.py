"""What is wanted, as the programme in use has it; without one, each want by itself."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from html import unescape

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records.answers.papers import sheet_for
from slipwright.records.errors import Refused
from slipwright.records.models import Garden, Member, PlanState, SeasonPlan, Taxon, Want
from tests.records.making import stick
from tests.web.season_content import MONDAY, ROSE, content, kept_plan, line_told, want_told

SignIn = Callable[[Member], Client]
UNWEIGHED = "New or changed since the season was planned"
QUICK = re.compile(r"Stick \d+ more for about")


def page(client: Client, at: str = "/wants") -> str:
    """Return a page with its tags, blanks and entities made plain."""
    answer = client.get(at)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", unescape(answer.content.decode()))


def words(client: Client, at: str = "/wants") -> str:
    """Return the words of a page, tags left out."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page(client, at))).replace(" .", ".")


def three_lines() -> list[dict[str, object]]:
    """One of this week, one of a month on, and one whose wood was over before it was stuck."""
    return [
        line_told(0),
        line_told(1, MONDAY + timedelta(weeks=4), n_to_stick=30, wood="hardwood", method=""),
        line_told(
            2,
            MONDAY - timedelta(weeks=3),
            window={"opens_on": "2025-08-15", "closes_on": "2025-10-12"},
            wood="softwood",
        ),
    ]


def test_a_want_of_the_programme_is_told_as_it_was_planned(
    client: Client, garden: Garden, now: datetime
) -> None:
    plan = kept_plan(garden, now, content() | {"lines": three_lines()[:2]}, used=True)
    told, text = page(client), words(client)
    assert not QUICK.search(text)
    assert UNWEIGHED not in text
    assert "Stick 54 more, in 2 batches." in text
    assert "promised 6 in 10 ; for 33: 8 in 10" in text
    assert "Room for containers." in text
    assert "24 semi-hardwood from rose-gate this week" in text
    assert "30 hardwood from rose-gate week of 17 Nov" in text
    assert f'href="/stick?plan={plan.pk}&line=0"' in told
    assert 'href="/season#want-0"' in told
    assert 'id="want-0"' in page(client, "/season")


def test_what_was_stuck_since_is_left_out(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, content() | {"lines": three_lines()[:2]}, used=True)
    stick(garden, grower, now, n_stuck=24, want="roses-27", wood="semi-hardwood", plant="rose-gate")
    text = words(client)
    assert "Stick 30 more, in 1 batch." in text
    assert "24 semi-hardwood" not in text
    stick(garden, grower, now, n_stuck=10, want="roses-27", wood="hardwood", plant="rose-gate")
    assert "20 hardwood" in words(client)
    stick(garden, grower, now, n_stuck=20, want="roses-27", wood="hardwood", plant="rose-gate")
    text = words(client)
    assert "All that was planned for it is stuck." in text
    assert not QUICK.search(text)


def test_a_batch_whose_wood_is_over_is_told_and_can_be_planned_again(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, content() | {"lines": three_lines()[2:]}, used=True)
    text = words(client)
    assert "What was planned for it was not stuck in time." in text
    assert "1 batch was not stuck while its wood was right" in text
    assert 'action="/season/ask"' in page(client)


def test_a_want_changed_or_new_since_is_reckoned_by_itself_and_planned_again(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    Want.rows.of(garden).filter(want="roses-27").update(n_wanted=41)
    text = words(client)
    assert QUICK.search(text)
    assert UNWEIGHED in text
    assert "promised 6 in 10" not in text
    Want.rows.of(garden).filter(want="roses-27").update(n_wanted=40)
    sage = Taxon.rows.of(garden).get(taxon="Salvia rosmarinus")
    Want.rows.create(
        garden=garden, want="sages", taxon=sage, n_wanted=9, ready_by=date(2026, 9, 1), ready_as="rooted",
        assurance=0.8,
    )  # fmt: skip
    text = words(client)
    assert text.count(UNWEIGHED) == 1
    assert "promised 6 in 10" in text
    assert client.post("/season/ask", {"again": "1"}).status_code == 302
    assert SeasonPlan.rows.of(garden).filter(state=PlanState.ASKED).count() == 1


def test_each_way_a_want_can_change_is_seen(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    was = Want.rows.of(garden).get(want="roses-27")
    for changed in ({"ready_by": date(2027, 4, 2)}, {"ready_as": "potted"}, {"assurance": "0.7"}):
        Want.rows.of(garden).filter(want="roses-27").update(**changed)
        assert UNWEIGHED in words(client), changed
        was.save()
    assert UNWEIGHED not in words(client)


def test_without_a_programme_one_line_says_that_nothing_is_weighed(client: Client, garden: Garden) -> None:
    text = words(client)
    assert text.count("The season is not planned yet") == 1
    assert UNWEIGHED not in text
    assert QUICK.search(text)


def test_a_plant_protected_since_is_not_stuck_whatever_was_planned(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    Taxon.rows.of(garden).filter(taxon=ROSE).update(rights="protected", licence="")
    told = page(client)
    assert "Not to be stuck." in told
    assert "/stick?plan=" not in told


def test_a_reader_reads_the_batches_and_presses_nothing(
    as_member: SignIn, reader: Member, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, used=True)
    Want.rows.of(garden).create(
        garden=garden,
        want="more",
        taxon=Taxon.rows.of(garden).get(taxon=ROSE),
        n_wanted=9,
        ready_by=date(2027, 9, 1),
        ready_as="rooted",
        assurance=0.8,
    )
    told = page(as_member(reader))
    assert "24 semi-hardwood" in told
    assert UNWEIGHED in told
    for pressed in ("/stick?", "/season/ask"):
        assert pressed not in told


def test_the_place_on_the_season_is_found_on_its_page(client: Client, garden: Garden, now: datetime) -> None:
    told = content(wants=14, lines=14)
    for i, want in enumerate(told["wants"]):
        want |= {"state": "short" if i == 13 else "likely"}
    kept_plan(garden, now, told, used=True)
    links = re.findall(r'href="(/season(?:\?wants=\d+)?)#(want-\d+)"', page(client))
    assert len(links) == len(set(links)) == 14
    seen = {at: client.get(at).content.decode() for at, _id in set(links) | {("/season", "")}}
    assert len(seen) == 2
    assert all(f'id="{place}"' in seen[at] for at, place in links)
    # what falls short stands first
    assert re.search(r'id="want-0".*?want-013', seen["/season"], re.DOTALL)


def test_a_programme_costs_the_page_no_more_queries_than_it_saves(
    client: Client, garden: Garden, now: datetime
) -> None:
    def n_queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            page(client)
        return len(asked)

    n_queries()
    before = n_queries()
    kept_plan(garden, now, content(wants=10, lines=24), used=True)
    first = n_queries()
    assert n_queries() <= before
    assert first <= before + 2


def test_beside_the_number_to_stick_stands_what_the_programme_says(
    client: Client, garden: Garden, now: datetime
) -> None:
    plan = kept_plan(garden, now, content() | {"lines": three_lines()[:2]}, used=True)
    at = "/stick?plant=rose-gate"
    text = words(client, at)
    assert "roses-27, 40 wanted by 1 Apr 2027: promised 6 in 10." in text
    assert "The season has for it: 24 semi-hardwood from rose-gate this week" in text
    assert "more rooted are needed" not in text
    assert f"/stick?plan={plan.pk}&line=1" in page(client, at)
    of_line = words(client, f"/stick?plan={plan.pk}&line=0")
    assert "Besides this, the season has for it: 30 hardwood" in of_line
    Want.rows.of(garden).filter(want="roses-27").update(n_wanted=41)
    text = words(client, at)
    assert UNWEIGHED in text
    assert "more rooted are needed" in text


def test_a_line_is_told_with_its_own_want_not_the_first_of_its_plant(
    client: Client, garden: Garden, now: datetime
) -> None:
    told = content() | {
        "wants": [want_told(), want_told(1, want="roses-28", ready_by="2027-10-01", promised=0.3)],
        "lines": [line_told(), line_told(1, want="roses-28")],
    }
    plan = kept_plan(garden, now, told, used=True)
    text = words(client, f"/stick?plan={plan.pk}&line=1")
    assert "roses-28, 40 wanted by 1 Oct 2027: promised 3 in 10." in text
    assert "roses-27" not in text


# --- the stick sheet ------------------------------------------------------------------------------------


def test_the_sheet_of_a_want_is_that_of_its_next_batch(garden: Garden, grower: Member, now: datetime) -> None:
    kept_plan(garden, now, content() | {"lines": three_lines()[:2]}, used=True)
    sheet = sheet_for(garden, load_handbook(), "roses-27", on=MONDAY)
    assert sheet.answer == (
        "Stick 24 cuttings of semi-hardwood, week of 20 Oct 2025: line 1 of the programme. "
        "1 more batch for it comes later."
    )
    facts = dict(sheet.facts)
    assert facts["For"] == "40 established by 1 Apr 2027"
    assert facts["Promised"] == "6 in 10"
    assert facts["Cut from"] == "rose-gate"
    assert "1,000 mg/L" in facts["Hormone"] or "1\u00a0000 mg/L" in facts["Hormone"]
    stick(garden, grower, now, n_stuck=24, want="roses-27", wood="semi-hardwood", plant="rose-gate")
    as_read = Garden.objects.get(pk=garden.pk)
    sheet = sheet_for(as_read, load_handbook(), "roses-27", on=MONDAY)
    assert sheet.answer == "Stick 30 cuttings of hardwood, week of 17 Nov 2025: line 2 of the programme."


def test_where_the_programme_has_nothing_more_the_sheet_says_so(garden: Garden, now: datetime) -> None:
    told = content() | {"wants": [want_told(state="met", stopped_by=[])], "lines": []}
    kept_plan(garden, now, told, used=True)
    with pytest.raises(Refused, match="nothing more to stick by the programme"):
        sheet_for(garden, load_handbook(), "roses-27", on=MONDAY)
    Want.rows.of(garden).filter(want="roses-27").update(n_wanted=41)
    assert dict(sheet_for(garden, load_handbook(), "roses-27", on=MONDAY).facts)["For"].startswith("41 ")


def test_what_is_to_be_stuck_soonest_comes_first(client: Client, garden: Garden, now: datetime) -> None:
    told = content() | {
        "wants": [want_told(), want_told(1, want="roses-28", ready_by="2027-10-01")],
        "lines": [line_told(0, MONDAY + timedelta(weeks=2)), line_told(1, want="roses-28")],
    }
    kept_plan(garden, now, told, used=True)
    text = words(client)
    assert text.index("roses-28") < text.index("roses-27")
