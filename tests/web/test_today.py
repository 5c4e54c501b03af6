"""Today: the way round, what is to do at each place, and nothing to note."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers import seasons, told
from slipwright.records.models import Garden, Look, Member, Plant, Sticking, WeatherDay
from slipwright.records.services.own_rules import state_rule
from tests.records.making import every_kind_of_entry, stick
from tests.web.season_made import in_use

ON = date(2025, 10, 20)


@pytest.fixture
def no_plants(garden: Garden) -> None:
    """Leave no stock plant to cut from, so that batches stand alone."""
    Plant.rows.of(garden).delete()


def page(client: Client, address: str = "/") -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", answer.content.decode())


@pytest.mark.usefixtures("garden")
def test_without_batches_it_points_to_the_first_one(client: Client) -> None:
    shown = page(client)
    assert "No cuttings are under way" in shown
    assert 'href="/stick"' in shown
    assert 'href="/one-pot"' in shown
    assert "No weather known" in shown


@pytest.mark.usefixtures("garden")
def test_wood_to_cut_is_shown_before_anything_is_stuck(client: Client) -> None:
    shown = page(client)
    assert '<a class="stake due" href="/plants/rose-gate">' in shown
    assert "more rooted wanted; " in shown


@pytest.mark.usefixtures("no_plants")
def test_it_says_how_many_need_you_and_where(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    due = stick(garden, grower, now)
    services.record_look(
        garden=garden, by=grower, now=now, batch=due.batch, on=date(2025, 10, 13), n_rooted=9, n_lost=1
    )
    stick(garden, grower, now, taxon="Salvia rosmarinus", place="frame-1", stuck_on=date(2025, 10, 18))
    shown = page(client)
    assert "Monday 20 October. 1 needs you, 1 can wait." in shown
    assert f'<a class="stake due" href="/batches/{due.batch}/pot-up?round=1">' in shown
    assert "9 rooted since 13 Oct, unpotted 7 days" in shown
    assert "<b>19</b> days" in shown
    assert "9 of 20 rooted as counted" in shown
    assert "1 batch needs nothing today" in shown


def test_the_way_round_leads_to_each_place(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now, place="frame-1")
    stick(garden, grower, now)
    shown = page(client)
    assert shown.index('href="#place-1"') < shown.index('href="#place-2"') < shown.index('id="place-1"')
    assert shown.index('id="stop-1">mist-1') < shown.index('id="stop-2">frame-1')


def test_frost_stands_above_the_walk_only_when_it_is_true(
    client: Client, garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    stick(garden, grower, now, place="frame-1")
    row = {"on": ON, "tmax_c": Decimal(14)}
    record = {"garden": garden, "by": owner, "now": now, "table": "weather"}
    services.add_reference(**record, row=row | {"tmin_c": Decimal(6), "made_on": ON})
    assert "strip frost" not in page(client)
    services.add_reference(**record, row=row | {"tmin_c": Decimal(-2)})
    shown = page(client)
    assert "Fleece before dark: frame-1." in shown
    assert "Roots in pots are tenderer than tops" in shown
    assert "−2 °C" in shown
    assert '<span class="stake urgent">' in shown


def test_heat_is_told_the_day_before_by_the_shade_of_the_place(
    client: Client, garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    stick(garden, grower, now, place="frame-1")
    record = {"garden": garden, "by": owner, "now": now, "table": "weather"}
    day = {"tmin_c": Decimal(9), "made_on": ON}
    services.add_reference(**record, row=day | {"on": ON, "tmax_c": Decimal(19)})
    services.add_reference(**record, row=day | {"on": ON + timedelta(days=1), "tmax_c": Decimal(28)})
    assert "strip heat" not in page(client)
    thin = {"shade_percent": Decimal(20)}
    services.edit_reference(garden=garden, by=owner, now=now, table="places", key=("frame-1",), changes=thin)
    shown = page(client)
    assert "Hot under the tents tomorrow: second cloth this evening." in shown
    assert "A looser tie does not cool; shade does." in shown
    assert "hot under the tents tomorrow" in shown
    assert '<span class="stake due">' in shown


def test_nothing_to_note_is_one_look_each_and_a_double_press_saves_once(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now)
    for _ in range(3):
        stick(garden, grower, now, stuck_on=date(2025, 10, 15))
    shown = page(client)
    assert "Nothing to note on the other 3" in shown
    found = re.search(r'name="entry_id" value="([^"]+)"', shown)
    assert found
    form = {"entry_id": found[1], "place": "mist-1"}
    for _ in range(2):
        assert client.post("/round/nothing-to-note", form).status_code == 302
    looks = Look.rows.of(garden)
    assert looks.count() == 3
    assert all(look.n_rooted is None for look in looks)
    assert client.session["saved"]["words"] == "3 batches looked at, nothing to note"
    shown = page(client)
    assert "Nothing to note on" not in shown
    assert "1 of 4" in shown
    assert "3 batches looked at" in shown


def test_a_place_walked_to_its_end_stands_under_done(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    due = stick(garden, grower, now)
    services.record_look(garden=garden, by=grower, now=now, batch=due.batch, on=ON)
    assert re.search(r"mist-1: 1 looked at.*Received \d\d:\d\d", page(client))


def test_a_made_up_form_is_told_so(client: Client, garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now)
    answer = client.post("/round/nothing-to-note", {"entry_id": "x", "place": "mist-1"})
    assert answer.status_code == 422
    assert not Look.rows.of(garden).exists()


def test_a_reader_is_not_offered_and_may_not(
    garden: Garden,
    grower: Member,
    reader: Member,
    now: datetime,
    as_member: Callable[[Member], Client],
) -> None:
    stick(garden, grower, now)
    theirs = as_member(reader)
    assert "Nothing to note" not in page(theirs)
    assert theirs.post("/round/nothing-to-note", {"place": "mist-1"}).status_code == 403


def test_it_says_of_how_many_plants_the_season_is_still_being_worked_out(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    rose = Plant.rows.get(garden=garden, plant="rose-gate").taxon
    Plant.rows.bulk_create([Plant(garden=garden, plant=f"rose-{n}", taxon=rose) for n in range(7)])
    stick(garden, grower, now)
    assert "The seasons of 3 stock plants are still being worked out" in page(client)
    seasons.refresh(garden, load_handbook(), on=now.date(), now=now)
    assert "still being worked out" not in page(client)


def test_plants_to_cut_told_by_the_weather_of_the_day_before_say_so(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now)
    seasons.refresh(garden, load_handbook(), on=now.date() - timedelta(days=1), now=now)
    assert "Which plants to cut is told as of 19 Oct" in page(client)
    assert "(as of 19 Oct)" in page(client, "/plants")
    garden.refresh_from_db()
    seasons.refresh(garden, load_handbook(), on=now.date(), now=now)
    assert "as of 19 Oct" not in page(client) + page(client, "/plants")


@pytest.mark.usefixtures("no_plants")
def test_one_place_by_itself(client: Client, garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now)
    stick(garden, grower, now, place="frame-1")
    shown = page(client, "/?place=frame-1&from=zz")
    assert "The whole round" in shown
    assert shown.count('<li class="act">') == 1
    assert "Nothing is left to do at nowhere today." in page(client, "/?place=nowhere")


def asked_by_today(client: Client, garden: Garden, now: datetime) -> tuple[list[str], str]:
    """Return what the page asks the database with the helper done, and the page."""
    for kept in (told, seasons):
        kept.refresh(garden, load_handbook(), on=ON, now=now)
    with CaptureQueriesContext(connection) as asked:
        shown = page(client)
    return [query["sql"][:90] for query in asked], shown


@pytest.fixture
def looked_at(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch with three rooted, in a garden with an entry of every kind, on a day of frost and heat."""
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    every_kind_of_entry(**who)
    batch = stick(**who)
    services.record_look(**who, batch=batch.batch, on=ON, n_rooted=3)
    WeatherDay.rows.create(garden=garden, on=ON, tmin_c=Decimal(-2), tmax_c=Decimal(34))
    return batch


def test_a_page_asks_the_database_twelve_times_at_most_also_right_after_a_potting(
    client: Client, garden: Garden, grower: Member, now: datetime, looked_at: Sticking
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "batch": looked_at.batch, "on": ON}
    # nothing is remembered yet
    asked, _ = asked_by_today(client, garden, now)
    assert len(asked) <= 13, asked
    services.record_look(**who, n_rooted=1)
    assert len(selectors.states_of_open_batches(garden)) == 2
    asked, _ = asked_by_today(client, garden, now)
    assert len(asked) <= 11, asked
    services.record_potting(**who, n_potted=2)
    asked, _ = asked_by_today(client, garden, now)
    assert len(asked) <= 12, asked


def test_neither_a_programme_in_use_nor_own_rules_make_it_ask_more(
    client: Client, garden: Garden, grower: Member, now: datetime, looked_at: Sticking
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    of_batch: dict[str, Any] = {**who, "batch": looked_at.batch, "on": ON}
    for rule in ("Take the second from the tip", "Never by the gate"):
        state_rule(**who, plant="Rosa", wood="", rule=rule, evidence="41 in 3 batches. More is in the book.")
    in_use(garden)

    def asked_and_told() -> list[str]:
        asked, shown = asked_by_today(client, garden, now)
        assert "This week’s cuttings" in shown
        assert shown.index("Never by the gate") < shown.index("Take the second from the tip")
        return asked

    asked = asked_and_told()
    # the lines of the programme are read once
    assert len(asked) <= 14, asked
    assert sum("seasonplan" in query for query in asked) == 1
    asked = asked_and_told()
    assert len(asked) <= 5, asked
    services.record_look(**of_batch, n_rooted=1)
    asked = asked_and_told()
    assert len(asked) <= 11, asked
    services.record_potting(**of_batch, n_potted=2)
    asked = asked_and_told()
    assert len(asked) <= 12, asked
    state_rule(**who, plant="Rosa", wood="", rule="Cut before ten", evidence="")
    asked, shown = asked_by_today(client, garden, now)
    assert len(asked) <= 12, asked
    assert "Cut before ten" in shown
    stick(**who, want="roses-27", wood="semi-hardwood", plant="rose-gate", n_stuck=120)
    asked, shown = asked_by_today(client, garden, now)
    assert len(asked) <= 12, asked
    assert "This week’s cuttings" not in shown
