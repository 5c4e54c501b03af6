"""Potting up: whether it is time, what is kept, and what comes next."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.round import round_of
from slipwright.records.models import BatchState, Garden, Look, Member, Potting, Sticking
from tests.records.making import stick


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch of 15 roses of which 3 have rooted."""
    made = stick(garden, grower, now, n_stuck=15, place="frame-1", stuck_on=date(2025, 9, 1))
    services.record_look(
        garden=garden, by=grower, now=now, batch=made.batch, on=date(2025, 10, 10), n_rooted=3
    )
    return made


@pytest.fixture
def resting(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch that is to stand undisturbed until spring."""
    made = stick(garden, grower, now, n_stuck=12, wood="hardwood", stuck_on=date(2025, 9, 1))
    services.record_look(
        garden=garden, by=grower, now=now, batch=made.batch, on=date(2025, 10, 10), n_rooted=4
    )
    return made


def address(batch: Sticking) -> str:
    return f"/batches/{batch.batch}/pot-up"


def shown(client: Client, where: str) -> str:
    return re.sub(r"\s+", " ", client.get(where).content.decode())


def form(client: Client, batch: Sticking, *, ask: str = "", **typed: Any) -> dict[str, Any]:
    page = client.get(address(batch) + ask).content.decode()
    return {**dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page)), **typed}


def test_the_page_tells_how_many_have_rooted_and_fills_nothing_in(client: Client, batch: Sticking) -> None:
    page = shown(client, address(batch))
    assert "3 rooted</strong> and unpotted since 10 Oct; 12 waiting" in page
    assert re.search(r'name="n_potted"[^>]*value=""', page)
    assert "checked" not in page


def test_three_drawings_to_hold_a_root_ball_against(client: Client, batch: Sticking) -> None:
    page = shown(client, address(batch))
    assert page.count("drawing root-ball") == 3
    for state in ("Not yet", "Now", "Overdue"):
        assert state in page


def test_what_comes_next_has_days_and_spreads_of_the_handbook(client: Client, batch: Sticking) -> None:
    page = shown(client, address(batch))
    assert "3 Nov" in page
    assert "7 to 28 days" in page
    assert "Oct 2026" in page
    assert "Aug 2026 to Jan 2027" in page
    assert "about 8 in 10 of those potted live to it; 8 times in 10 between 6 and 9" in page
    assert "Rests on the handbook" in page


def test_a_plant_without_a_page_rests_on_common_practice(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    services.add_reference(garden=garden, by=grower, now=now, table="taxa", row={"taxon": "Zzyzxia obscura"})
    odd = stick(garden, grower, now, taxon="Zzyzxia obscura")
    page = shown(client, address(odd))
    assert "the handbook has no page for this plant; no source" in page
    assert "Ready to plant out" not in page


def test_a_potting_is_kept(client: Client, batch: Sticking, grower: Member) -> None:
    typed = {"roots": "now", "n_potted": "3", "container": "pot-1l", "medium": "half-and-half"}
    answer = client.post(address(batch), form(client, batch, place="frame-1", **typed))
    assert (answer.status_code, answer["Location"]) == (302, f"/batches/{batch.batch}")
    potting = Potting.rows.get()
    assert (potting.n_potted, str(potting.container), str(potting.medium), str(potting.place)) == (
        3,
        "pot-1l",
        "half-and-half",
        "frame-1",
    )
    assert (potting.on, potting.by) == (date(2025, 10, 20), grower)
    assert Look.rows.count() == 1


def test_pressed_twice_it_is_saved_once(client: Client, batch: Sticking) -> None:
    sent = form(client, batch, n_potted="15")
    assert [client.post(address(batch), sent).status_code for _ in range(2)] == [302, 302]
    assert Potting.rows.count() == 1
    assert Look.rows.count() == 2


def test_more_than_have_rooted_adds_a_look_and_says_so(client: Client, batch: Sticking) -> None:
    assert "More than 3? Then more have rooted: a look of that day is added" in shown(client, address(batch))
    client.post(address(batch), form(client, batch, n_potted="5"))
    assert Look.rows.order_by("-number")[0].n_rooted == 2
    page = client.get(address(batch)).content.decode()
    assert "5 potted; a look says that 2 more had rooted" in page


def test_more_than_stand_there_is_asked_about(client: Client, batch: Sticking) -> None:
    answer = client.post(address(batch), form(client, batch, n_potted="16"))
    assert answer.status_code == 422
    assert "16 potted, but only 15 stand there" in answer.content.decode()
    assert not Potting.rows.exists()
    client.post(address(batch), form(client, batch, n_potted="16", really="1"))
    assert BatchState.rows.get(batch=batch).n_potted == 16


@pytest.mark.parametrize("n_potted", ["", "0", "some"])
def test_without_a_number_nothing_is_saved(client: Client, batch: Sticking, n_potted: str) -> None:
    answer = client.post(address(batch), form(client, batch, n_potted=n_potted, note="big ones"))
    assert answer.status_code == 422
    assert "big ones" in answer.content.decode()
    assert not Potting.rows.exists()


class TestNotYet:
    """Roots too short to be potted: a look of the day is kept, and the round goes on."""

    def test_a_look_without_counts_is_kept_and_nothing_potted(self, client: Client, batch: Sticking) -> None:
        before = BatchState.rows.get(batch=batch)
        answer = client.post(address(batch), form(client, batch, roots="not-yet", n_potted=""))
        assert (answer.status_code, answer["Location"]) == (302, f"/batches/{batch.batch}")
        look = Look.rows.order_by("-number")[0]
        assert (look.on, look.note, look.n_rooted, look.n_lost) == (
            date(2025, 10, 20),
            "not yet ready to pot",
            None,
            None,
        )
        assert not Potting.rows.exists()
        assert BatchState.rows.get(batch=batch).n_rooted == before.n_rooted

    def test_the_round_asks_to_pot_it_again_in_a_week_only(
        self, client: Client, garden: Garden, grower: Member, batch: Sticking, now: datetime
    ) -> None:
        services.record_look(
            garden=garden, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 13), n_rooted=8
        )

        def why_pot_up(on: date) -> list[str]:
            found = round_of(garden, load_handbook(), on=on).acts
            return [act.why for act in found if (act.batch, act.act) == (batch.batch, "pot_up")]

        assert why_pot_up(date(2025, 10, 20))
        client.post(address(batch), form(client, batch, roots="not-yet"))
        assert why_pot_up(date(2025, 10, 26)) == []
        assert why_pot_up(date(2025, 10, 27)) == ["11 rooted; not ready to pot 7 days ago"]

    def test_pressed_twice_it_is_one_look_and_a_note_stays(self, client: Client, batch: Sticking) -> None:
        sent = form(client, batch, roots="not-yet", note="callus only")
        assert [client.post(address(batch), sent).status_code for _ in range(2)] == [302, 302]
        assert Look.rows.count() == 2
        assert Look.rows.order_by("-number")[0].note == "not yet ready to pot. callus only"

    def test_it_can_be_undone(self, client: Client, batch: Sticking) -> None:
        client.post(address(batch), form(client, batch, roots="not-yet"))
        assert "Looked: not yet ready to pot" in shown(client, f"/batches/{batch.batch}")
        client.post("/undo", {"saved": client.session["saved"]["id"]})
        assert Look.rows.standing().count() == 1

    def test_the_round_goes_on(self, client: Client, batch: Sticking) -> None:
        answer = client.post(address(batch) + "?round=1", form(client, batch, roots="not-yet"))
        assert answer["Location"] == "/"

    def test_pots_counted_as_well_are_asked_about(self, client: Client, batch: Sticking) -> None:
        answer = client.post(address(batch), form(client, batch, n_potted="3", roots="not-yet"))
        assert answer.status_code == 422
        assert "must be empty where they are not yet ready to pot" in answer.content.decode()
        assert (Potting.rows.count(), Look.rows.count()) == (0, 1)

    def test_a_day_before_they_were_stuck_is_asked_about(self, client: Client, batch: Sticking) -> None:
        answer = client.post(address(batch), form(client, batch, roots="not-yet", on="2025-08-01"))
        assert answer.status_code == 422
        assert "before they were stuck" in answer.content.decode()
        assert Look.rows.count() == 1

    def test_no_reason_is_asked_for_leaving_them(self, client: Client, resting: Sticking) -> None:
        sent = form(client, resting, ask="?all-the-same=1", roots="not-yet")
        assert client.post(address(resting), sent).status_code == 302

    def test_without_a_script_the_form_lets_it_pass(self, client: Client, batch: Sticking) -> None:
        page = client.get(address(batch)).content.decode()
        field = re.search(r'<input id="n_potted"[^>]*>', page)
        assert field is not None
        assert "required" not in field[0]
        assert 'data-not-yet="Not yet. Look again in a week"' in page


class TestLeaveInThePot:
    """Rooted, and not to be disturbed before spring."""

    def test_the_page_says_leave_it_and_until_when(self, client: Client, resting: Sticking) -> None:
        page = shown(client, address(resting))
        assert "Leave in the pot" in page
        assert "about 5 Apr 2026; 8 times in 10 between 20 Mar 2026 and 25 Apr 2026" in page
        assert 'name="n_potted"' not in page
        assert "do not disturb" in page

    def test_going_on_asks_why(self, client: Client, resting: Sticking) -> None:
        assert "Why now" in shown(client, address(resting) + "?all-the-same=1")
        sent = form(client, resting, ask="?all-the-same=1", n_potted="4")
        assert client.post(address(resting), sent).status_code == 422
        assert not Potting.rows.exists()
        assert client.post(address(resting), {**sent, "note": "pot broke"}).status_code == 302
        assert Potting.rows.get().note == "pot broke"

    def test_once_spring_is_there_nothing_holds_it(
        self, client: Client, resting: Sticking, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setenv("SLIPWRIGHT_TODAY", "2026-04-20")
        assert "Leave in the pot" not in shown(client, address(resting))


def test_a_reader_reads_and_does_not_save(
    as_member: Callable[[Member], Client], reader: Member, batch: Sticking
) -> None:
    client = as_member(reader)
    assert "You may read here" in shown(client, address(batch))
    assert client.post(address(batch), {"n_potted": "3", "entry_id": "a"}).status_code == 403


def test_days_of_this_year_go_without_it(
    client: Client, resting: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SLIPWRIGHT_TODAY", "2026-01-10")
    assert "about 5 Apr 2026; 8 times in 10 between 20 Mar and 25 Apr." in shown(client, address(resting))


def test_a_potting_saved_before_with_other_figures_is_told(client: Client, batch: Sticking) -> None:
    sent = form(client, batch, roots="now", n_potted="2")
    client.post(address(batch), sent)
    answer = client.post(address(batch), {**sent, "n_potted": "3"})
    assert answer.status_code == 422
    assert "saved before with other figures" in answer.content.decode()


def test_potting_early_says_beforehand_that_the_reason_is_needed(client: Client, resting: Sticking) -> None:
    page = shown(client, f"{address(resting)}?all-the-same=1")
    assert "needed: it is before their time" in page
