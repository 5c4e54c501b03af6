"""Recording a look: what is asked, what is kept, and what happens when the counts do not add up."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.models import Act, BatchState, Garden, Look, Member, Plant, Sticking
from tests.records.making import stick

TODAY = date(2025, 10, 20)


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch of 18 roses stuck on 1 October and not looked at yet."""
    return stick(garden, grower, now, n_stuck=18)


def address(batch: Sticking) -> str:
    return f"/batches/{batch.batch}/look"


def shown(client: Client, where: str) -> str:
    return re.sub(r"\s+", " ", client.get(where).content.decode())


def form(client: Client, batch: Sticking, **typed: Any) -> dict[str, Any]:
    """Return the hidden fields of the form as it was given out, and what is typed into it."""
    page = client.get(address(batch)).content.decode()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    return {**hidden, **typed}


def looks(batch: Sticking) -> list[Look]:
    return list(Look.rows.filter(batch=batch).order_by("number"))


def test_the_page_names_plant_day_and_how_many_wait(client: Client, batch: Sticking) -> None:
    page = shown(client, address(batch))
    assert "‘Pale Ferry’" in page
    assert "day 19" in page
    assert "18 waiting</strong> not looked at yet" in page


def test_nothing_is_filled_in_but_the_day(client: Client, batch: Sticking) -> None:
    page = client.get(address(batch)).content.decode()
    for name in ("n_rooted", "n_lost", "n_removed", "n_tried", "n_tried_rooted", "n_lost_rooted"):
        assert re.search(rf'name="{name}"[^>]*value=""', page), name
    assert "checked" not in page
    assert 'name="on" value="2025-10-20"' in page


def test_a_look_with_counts_is_kept(client: Client, batch: Sticking, grower: Member) -> None:
    typed = {"n_rooted": "5", "n_lost": "1", "cause": "rot-from-base", "signs": ["new-leaf", "callus"]}
    answer = client.post(address(batch), form(client, batch, pot_weight="lighter", note="moist", **typed))
    assert (answer.status_code, answer["Location"]) == (302, f"/batches/{batch.batch}")
    (look,) = looks(batch)
    assert (look.n_rooted, look.n_lost, look.n_removed, look.n_waiting) == (5, 1, None, None)
    assert (look.cause, look.signs, look.pot_weight) == ("rot-from-base", "new-leaf;callus", "lighter")
    assert (look.on, look.note, look.by) == (TODAY, "moist", grower)


def test_saving_with_nothing_typed_is_a_look_without_a_count(client: Client, batch: Sticking) -> None:
    client.post(address(batch), form(client, batch))
    (look,) = looks(batch)
    assert {look.n_rooted, look.n_lost, look.n_removed, look.n_lost_rooted, look.n_tried} == {None}
    assert (look.cause, look.signs, look.pot_weight) == ("", "", "")


def test_a_nought_typed_is_a_nought_kept(client: Client, batch: Sticking) -> None:
    client.post(address(batch), form(client, batch, n_rooted="0"))
    (look,) = looks(batch)
    assert (look.n_rooted, look.n_lost) == (0, None)


def test_pressed_twice_it_is_saved_once_and_both_presses_succeed(client: Client, batch: Sticking) -> None:
    sent = form(client, batch, n_rooted="18")
    first, second = client.post(address(batch), sent), client.post(address(batch), sent)
    assert (first.status_code, second.status_code) == (302, 302)
    assert len(looks(batch)) == 1


def test_the_same_form_with_other_figures_is_refused(client: Client, batch: Sticking) -> None:
    sent = form(client, batch, n_rooted="2")
    client.post(address(batch), sent)
    answer = client.post(address(batch), {**sent, "n_rooted": "3"})
    assert answer.status_code == 422
    assert [look.n_rooted for look in looks(batch)] == [2]


def test_a_tried_sample_leaves_the_counts_alone(client: Client, batch: Sticking) -> None:
    client.post(address(batch), form(client, batch, n_tried="2", n_tried_rooted="1"))
    (look,) = looks(batch)
    assert (look.n_tried, look.n_tried_rooted, look.n_rooted) == (2, 1, None)
    assert BatchState.rows.get(batch=batch).n_waiting == 18


def test_more_rooted_of_those_tried_than_tried_is_refused(client: Client, batch: Sticking) -> None:
    answer = client.post(address(batch), form(client, batch, n_tried="2", n_tried_rooted="3"))
    assert answer.status_code == 422
    assert "Rooted of those tried: must not be more than were tried" in answer.content.decode()
    assert looks(batch) == []


def test_a_look_follows_the_look_before_it(client: Client, batch: Sticking) -> None:
    client.post(address(batch), form(client, batch, n_rooted="1", on="2025-10-10"))
    client.post(address(batch), form(client, batch, n_rooted="2"))
    first, second = looks(batch)
    assert (first.after, second.after) == (batch.entry_id, first.entry_id)


def test_a_look_written_down_later_of_an_earlier_day_follows_none(client: Client, batch: Sticking) -> None:
    client.post(address(batch), form(client, batch, n_rooted="1", on="2025-10-15"))
    client.post(address(batch), form(client, batch, n_rooted="2", on="2025-10-08"))
    assert [look.after for look in looks(batch)] == [batch.entry_id, ""]
    assert BatchState.rows.get(batch=batch).n_rooted == 3


def test_a_day_to_come_is_refused(client: Client, batch: Sticking) -> None:
    answer = client.post(address(batch), form(client, batch, on="2025-10-21"))
    assert answer.status_code == 422
    assert looks(batch) == []


def test_what_is_no_number_comes_back_as_it_was_typed(client: Client, batch: Sticking) -> None:
    answer = client.post(address(batch), form(client, batch, n_rooted="five", note="by the door"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Rooted new today: must be a whole number" in page
    assert 'value="five"' in page
    assert "by the door" in page


def test_every_cause_but_giving_up_and_every_sign_is_offered_in_words(
    client: Client, batch: Sticking
) -> None:
    page = shown(client, address(batch))
    for word in ("Rot from base", "Dieback from top", "Mould", "Don’t know", "Leaf drop", "Lighter"):
        assert f"{word}</span>" in page, word
    assert 'name="cause" value="given-up"' not in page


class TestCountsThatDoNotAddUp:
    """12 and 7 of 18."""

    def ask(self, client: Client, batch: Sticking, **more: str) -> Any:
        return client.post(address(batch), form(client, batch, n_rooted="12", n_lost="7", **more))

    def test_they_are_asked_about_and_not_saved(self, client: Client, batch: Sticking) -> None:
        answer = self.ask(client, batch)
        page = re.sub(r"\s+", " ", answer.content.decode())
        assert answer.status_code == 422
        assert "12 and 7 is more than 18" in page
        assert "18 were waiting" in page
        assert "1 too many" in page
        assert looks(batch) == []

    def test_both_figures_stay_and_the_mark_too_many_is_shown(self, client: Client, batch: Sticking) -> None:
        page = self.ask(client, batch).content.decode()
        assert 'value="12"' in page
        assert 'value="7"' in page
        assert page.count('class="tally rooted"') == 12
        assert page.count('class="tally lost"') == 6
        assert page.count('class="tally lost over"') == 1

    def test_said_to_be_so_they_are_kept_as_typed_and_flagged(self, client: Client, batch: Sticking) -> None:
        assert self.ask(client, batch, really="1").status_code == 302
        (look,) = looks(batch)
        assert (look.n_rooted, look.n_lost) == (12, 7)
        assert "more-than-stuck" in BatchState.rows.get(batch=batch).flags

    def test_more_than_waited_after_the_looks_before(self, client: Client, batch: Sticking) -> None:
        client.post(address(batch), form(client, batch, n_rooted="10", on="2025-10-10"))
        answer = client.post(address(batch), form(client, batch, n_lost="9"))
        assert "9 is more than 8" in answer.content.decode()

    def test_rooted_ones_that_died_must_have_stood_there(self, client: Client, batch: Sticking) -> None:
        answer = client.post(address(batch), form(client, batch, n_rooted="2", n_lost_rooted="3"))
        assert answer.status_code == 422
        assert "3 died, but only 2 stood rooted" in answer.content.decode()

    def test_a_day_before_sticking_is_asked_about(self, client: Client, batch: Sticking) -> None:
        answer = client.post(address(batch), form(client, batch, on="2025-09-30"))
        assert answer.status_code == 422
        assert "before they were stuck, 1 Oct 2025" in answer.content.decode()


class TestGivingUp:
    """Patience is at an end."""

    @pytest.fixture
    def old(self, garden: Garden, grower: Member, now: datetime) -> Sticking:
        return stick(garden, grower, now, n_stuck=18, stuck_on=date(2024, 10, 1))

    def test_it_is_offered_only_when_patience_has_run_out(
        self, client: Client, batch: Sticking, old: Sticking
    ) -> None:
        assert "Give up the 18" not in shown(client, address(batch))
        assert "Give up the 18 that wait" in shown(client, address(old))

    def test_all_that_is_not_rooted_is_lost_as_given_up(self, client: Client, old: Sticking) -> None:
        sent = form(client, old, n_rooted="4", give_up="18")
        assert client.post(address(old), sent).status_code == 302
        assert client.post(address(old), sent).status_code == 302
        (look,) = looks(old)
        assert (look.n_rooted, look.n_lost, look.cause) == (4, 14, "given-up")

    def test_stale_figures_are_asked_about_and_can_be_said_to_be_so(
        self, client: Client, old: Sticking
    ) -> None:
        sent = form(client, old, give_up="18")
        client.post(address(old), form(client, old, n_rooted="4"))
        page = client.post(address(old), sent).content.decode()
        assert 'name="give_up" value="18" formaction="?really=1"' in page
        assert client.post(address(old) + "?really=1", sent).status_code == 302
        assert looks(old)[-1].n_lost == 18

    def test_a_loss_typed_beside_it_is_asked_about(self, client: Client, old: Sticking) -> None:
        answer = client.post(address(old), form(client, old, n_lost="2", give_up="18"))
        assert answer.status_code == 422
        assert looks(old) == []


def test_wetting_again_is_an_act_and_only_when_said(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    tented = stick(garden, grower, now, place="frame-1")
    client.post(address(tented), form(client, tented))
    assert not Act.rows.exists()
    sent = form(client, tented, rewetted="1")
    client.post(address(tented), sent)
    client.post(address(tented), sent)
    assert [act.act for act in Act.rows.all()] == ["re-wet"]


def test_a_reader_reads_and_does_not_save(
    as_member: Callable[[Member], Client], reader: Member, batch: Sticking
) -> None:
    client = as_member(reader)
    page = shown(client, address(batch))
    assert "You may read here" in page
    assert 'name="n_rooted"' not in page
    answer = client.post(address(batch), {"n_rooted": "1", "entry_id": "a"})
    assert answer.status_code == 403
    assert looks(batch) == []


def test_a_volunteer_saves(as_member: Callable[[Member], Client], volunteer: Member, batch: Sticking) -> None:
    client = as_member(volunteer)
    assert client.post(address(batch), form(client, batch, n_rooted="1")).status_code == 302


def test_a_batch_taken_back_is_not_looked_at(
    client: Client, garden: Garden, grower: Member, now: datetime, batch: Sticking
) -> None:
    services.withdraw(garden=garden, by=grower, now=now, withdraws=batch.entry_id, reason="twice", at=now)
    answer = client.post(address(batch), form(client, batch, n_rooted="1"))
    assert answer.status_code == 422
    assert "was taken back" in answer.content.decode()


class TestOnTheRound:
    """One look after the other, in walking order."""

    @pytest.fixture
    def next_one(self, garden: Garden, grower: Member, now: datetime, batch: Sticking) -> Sticking:
        Plant.rows.of(garden).delete()
        return stick(garden, grower, now, place="frame-1", taxon="Salvia rosmarinus")

    def test_it_says_which_of_how_many_and_what_comes_next(
        self, client: Client, batch: Sticking, next_one: Sticking
    ) -> None:
        page = shown(client, address(batch) + "?round=1")
        assert "1 of 2 in today&#x27;s round" in page or "1 of 2 in today's round" in page
        assert "Save, next" in page
        assert "Salvia rosmarinus</i>, frame-1" in page

    def test_saving_leads_to_the_next_and_the_last_one_home(
        self, client: Client, batch: Sticking, next_one: Sticking
    ) -> None:
        answer = client.post(address(batch) + "?round=1", form(client, batch))
        assert answer["Location"] == address(next_one) + "?round=1"
        assert "2 of 2 in today" in shown(client, answer["Location"])
        answer = client.post(address(next_one) + "?round=1", form(client, next_one))
        assert answer["Location"] == "/"

    def test_off_the_round_nothing_is_said_of_it(self, client: Client, batch: Sticking) -> None:
        assert "in today" not in shown(client, address(batch))


def test_roots_sooner_than_wood_roots_are_asked_about_and_never_refused(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fresh = stick(garden, grower, now, n_stuck=14, wood="hardwood", stuck_on=TODAY)
    said = form(client, fresh, n_rooted="6")
    answer = client.post(address(fresh), said)
    assert answer.status_code == 422
    assert "6 rooted 0 days after sticking?" in re.sub(r"\s+", " ", answer.content.decode())
    assert not looks(fresh)
    assert client.post(address(fresh), {**said, "really": "1"}).status_code == 302
    assert [look.n_rooted for look in looks(fresh)] == [6]


def test_roots_in_their_time_are_not_asked_about(client: Client, batch: Sticking) -> None:
    assert client.post(address(batch), form(client, batch, n_rooted="2")).status_code == 302
