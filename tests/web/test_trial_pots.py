"""The pots of a trial are stuck in one form, each a batch, and counted in one, each by a look of its own."""

from __future__ import annotations

import re
import uuid
from datetime import datetime

import pytest
from django.http import HttpResponse
from django.test import Client

from slipwright.records.answers.trials.count import MOST_AT_ONCE
from slipwright.records.answers.trials.now import trial_now
from slipwright.records.models import Garden, Look, Member, Method, Sticking
from tests.records.answers.trial_making import NAME, STUCK_ON, fix, stick_all
from tests.records.making import stick
from tests.web.trial_asking import plan_it, said_on

ADDRESS = "/trials/Dip or none"


@pytest.fixture
def usual(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Stick one batch by a method, so that there is a usual way."""
    return stick(garden, grower, now, method="rose-autumn", plant="rose-gate", cutting="piece")


def test_all_pots_are_stuck_in_one_form_and_once(client: Client, garden: Garden, usual: Sticking) -> None:
    plan_it(client)
    page = said_on(client.get(f"{ADDRESS}/stick"))
    assert "Stick all 8 pots" in page
    assert page.count('name="n_') == 8 + 1  # and the shoots
    form = {"entry_id": str(uuid.uuid4()), "place": "frame-1", "n_shoots": "20", "n_3": "5", "n_8": "0"}
    for _ in range(2):
        assert client.post(f"{ADDRESS}/stick", form).status_code == 302
    pots = list(Sticking.rows.of(garden).filter(trial__trial=NAME).order_by("number"))
    assert [pot.n_stuck for pot in pots] == [6, 6, 5, 6, 6, 6, 6]
    assert sum(pot.n_shoots or 0 for pot in pots) == 18
    assert {(pot.auxin, pot.auxin_form) for pot in pots} == {("none", ""), ("iba", "talc")}
    assert {pot.plant.plant for pot in pots if pot.plant} == {"rose-gate"}
    assert {pot.block for pot in pots} == {"1", "2", "3", "4"}
    assert len({pot.batch for pot in pots}) == 7
    assert client.get(f"{ADDRESS}/stick").status_code == 302
    again = client.post(f"{ADDRESS}/stick", {**form, "entry_id": str(uuid.uuid4())})
    assert again.status_code == 422
    assert "The pots of this trial were stuck already." in said_on(again)


def test_all_pots_can_be_taken_back_at_once_and_stuck_again(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    plan_it(client)
    client.post(f"{ADDRESS}/stick", {"entry_id": str(uuid.uuid4()), "place": "frame-1"})
    saved = client.session["saved"]["id"]
    assert client.post("/undo", {"saved": saved}).status_code == 302
    assert trial_now(garden, NAME, on=STUCK_ON).state == "planned"
    again = client.post(f"{ADDRESS}/stick", {"entry_id": str(uuid.uuid4()), "place": "frame-1"})
    assert again.status_code == 302
    assert len(trial_now(garden, NAME, on=STUCK_ON).pots) == 8


def test_without_a_place_nothing_is_stuck(client: Client, garden: Garden, usual: Sticking) -> None:
    plan_it(client)
    answer = client.post(f"{ADDRESS}/stick", {"entry_id": str(uuid.uuid4())})
    assert answer.status_code == 422
    assert "say where they stand" in said_on(answer)
    assert not Sticking.rows.of(garden).filter(trial__trial=NAME).exists()


def test_a_protected_plant_is_told_at_the_plan_and_refused_at_the_bench(
    client: Client, garden: Garden, grower: Member
) -> None:
    lavender = {"plant": "", "taxon": "Lavandula 'Night Tide'"}
    Method.rows.create(garden=garden, method="lavender", wood="semi-hardwood")
    page = said_on(client.get("/trials/new", {**lavender, "differs": "auxin"}))
    assert "May not be multiplied" in page
    assert plan_it(client, **lavender, way="method lavender").status_code == 302
    answer = client.post(f"{ADDRESS}/stick", {"entry_id": str(uuid.uuid4()), "place": "frame-1"})
    assert answer.status_code == 422
    assert not Sticking.rows.of(garden).exists()


def _count(client: Client, garden: Garden, **said: str) -> HttpResponse:
    page = client.get(f"{ADDRESS}/count").content.decode()
    hidden = dict(re.findall(r'name="((?:after|waiting) [^"]+|entry_id)" value="([^"]*)"', page))
    return client.post(f"{ADDRESS}/count", {**hidden, **said})  # type: ignore[return-value]


def test_pots_are_counted_in_one_form_each_as_a_look(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    first, second, *_rest = stick_all(garden, grower, now)
    answer = _count(client, garden, **{f"rooted {first.batch}": "5", f"lost {second.batch}": "1"})
    assert answer.status_code == 302
    looks = {look.batch_id: look for look in Look.rows.of(garden)}
    assert len(looks) == 2
    assert (looks[first.pk].n_rooted, looks[first.pk].n_lost) == (5, 0)
    assert (looks[second.pk].n_rooted, looks[second.pk].n_lost) == (0, 1)
    assert looks[first.pk].after == first.entry_id


def test_the_rest_is_counted_as_none_only_where_that_is_said(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    stick_all(garden, grower, now)
    nothing = _count(client, garden)
    assert nothing.status_code == 422
    assert "nothing is counted yet" in said_on(nothing)
    assert _count(client, garden, rest_none="1").status_code == 302
    assert set(Look.rows.of(garden).values_list("n_rooted", "n_lost")) == {(0, 0)}
    found = trial_now(garden, NAME, on=STUCK_ON.replace(month=12))
    assert found.state == "done"


def test_many_pots_are_counted_page_by_page_and_none_is_passed_over(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, blocks=65, each=2)
    pots = stick_all(garden, grower, now, blocks=65, each=2)
    address, n_looks = f"{ADDRESS}/count", []
    while "/count" in address:
        page = client.get(address).content.decode()
        assert page.count("<input") <= 4 * MOST_AT_ONCE + 10
        hidden = dict(re.findall(r'name="((?:after|waiting) [^"]+|entry_id)" value="([^"]*)"', page))
        all_rooted = {name.replace("waiting", "rooted"): "2" for name in hidden if "waiting" in name}
        answer = client.post(address, {**hidden, **all_rooted})
        assert answer.status_code == 302
        address = answer.headers["Location"]
        n_looks.append(Look.rows.of(garden).count())
    assert n_looks == [60, 120, 130]
    assert {look.batch_id for look in Look.rows.of(garden)} == {pot.pk for pot in pots}


def test_pages_of_the_count_lead_there_and_back_and_say_which_pots_they_are(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, blocks=65, each=2)
    stick_all(garden, grower, now, blocks=65, each=2)
    middle = said_on(client.get(f"{ADDRESS}/count?from=61"))
    assert "Pots 61 to 120 of the 130" in middle
    assert 'href="?from=1"' in middle
    assert 'href="?from=121"' in middle
    wrong = client.post(f"{ADDRESS}/count?from=61", {"entry_id": str(uuid.uuid4())})
    assert wrong.status_code == 422
    assert "Pots 61 to 120 of the 130" in said_on(wrong)
    assert "in which something waits" in said_on(client.get(f"{ADDRESS}/count?from=9999"))


def test_more_than_waited_is_asked_about_and_what_was_typed_stays(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    answer = _count(client, garden, **{f"rooted {pots[0].batch}": "9", f"lost {pots[1].batch}": "2"})
    assert answer.status_code == 422
    assert "9 are more than the 8 that waited" in said_on(answer)
    assert (
        f'name="lost {pots[1].batch}" inputmode="numeric" maxlength="4" autocomplete="off" value="2"'
        in said_on(answer)
    )
    assert not Look.rows.of(garden).exists()
