"""From weaning to ready: what stands, what became of it, and the card that goes along."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.models import Garden, Member, Outcome, Plant, Sticking, Taxon
from tests.records.making import stick


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch of which six were potted."""
    return _potted(garden, grower, now, place="frame-1")


def _potted(garden: Garden, by: Member, now: datetime, *, place: str = "", **columns: Any) -> Sticking:
    batch = stick(garden, by, now, **columns)
    on = date(2025, 10, 15)
    services.record_potting(garden=garden, by=by, now=now, batch=batch.batch, on=on, n_potted=6, place=place)
    return batch


def _text(client: Client, address: str) -> str:
    return re.sub(r"\s+", " ", client.get(address).content.decode())


def test_what_was_potted_stands_at_its_place_with_what_is_next(client: Client, batch: Sticking) -> None:
    page = _text(client, "/growing-on")
    assert "frame-1" in page
    assert "6 stand" in page
    assert re.search(r"weaned \d+ \w+( 2025)? to \d+ \w+ 202\d · 6 stand", page)
    assert "8 times in 10" in page
    assert "common practice, no source" in page


def test_the_list_asks_few_queries_however_long(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    for _ in range(3):
        _potted(garden, grower, now, place="frame-1")
    for n_at_most in (7, 4):
        with CaptureQueriesContext(connection) as asked:
            client.get("/growing-on")
        assert len(asked) <= n_at_most


def _outcome(client: Client, batch: Sticking, **fields: str) -> int:
    return client.post(f"/batches/{batch.batch}/outcome", fields).status_code


def test_an_outcome_pressed_twice_is_kept_once_and_the_plants_are_gone(
    client: Client, batch: Sticking
) -> None:
    fields = {
        "entry_id": str(uuid.uuid4()),
        "ready_as": "finished",
        "n_reached": "5",
        "n_lost": "1",
        "fate": "given",
        "to": "school garden",
    }
    assert [_outcome(client, batch, **fields) for _ in range(2)] == [302, 302]
    (kept,) = Outcome.rows.filter(batch=batch)
    assert (kept.n_reached, kept.n_lost, kept.fate, kept.to) == (5, 1, "given", "school garden")
    assert "Nothing grows on." in _text(client, "/growing-on")


def test_more_than_stand_is_told_and_kept_if_it_was_really_so(client: Client, batch: Sticking) -> None:
    fields = {"entry_id": str(uuid.uuid4()), "ready_as": "weaned", "n_reached": "7", "n_lost": "1"}
    answer = client.post(f"/batches/{batch.batch}/outcome", fields)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "7 and 1 lost are more than the 6 that stand" in page
    assert 'name="really"' in page
    assert 'value="7"' in page
    assert not Outcome.rows.filter(batch=batch).exists()
    assert _outcome(client, batch, **fields, really="yes") == 302


@pytest.mark.parametrize(
    "fields",
    [{"n_reached": "2"}, {"ready_as": "weaned"}, {"ready_as": "tall", "n_reached": "1"},
     {"ready_as": "weaned", "n_reached": "-1"}, {"ready_as": "weaned", "n_reached": "1", "on": "soon"}],
)  # fmt: skip
def test_what_cannot_be_read_is_not_kept(client: Client, batch: Sticking, fields: dict[str, str]) -> None:
    assert _outcome(client, batch, entry_id=str(uuid.uuid4()), **fields) == 422
    assert not Outcome.rows.filter(batch=batch).exists()


def test_those_weaned_still_stand_and_the_next_stage_is_told(client: Client, batch: Sticking) -> None:
    fields = {"entry_id": str(uuid.uuid4()), "ready_as": "weaned", "n_reached": "6"}
    assert _outcome(client, batch, **fields) == 302
    page = _text(client, "/growing-on")
    assert re.search(r"finished \d+ \w+( 202\d)? to \d+ \w+ 202\d · 6 stand", page)
    assert not re.search(r"weaned \d", page)


def test_what_is_due_lies_open_by_the_stage_to_look_for_and_the_rest_is_folded(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    early, late = _potted(garden, grower, now), _potted(garden, grower, now)
    fields = {"entry_id": str(uuid.uuid4()), "ready_as": "finished", "n_reached": "6"}
    assert _outcome(client, early, **fields) == 302
    page = _text(client, "/growing-on")
    assert "Look at 1 batch today." in page
    due, later = page.split("<details", 1)
    assert "Ready: plant, give or sell" in due
    assert f"/batches/{early.batch}/outcome" in due
    assert f"/batches/{late.batch}/outcome" in later


def test_a_reader_writes_no_outcome(
    reader: Member, batch: Sticking, as_member: Callable[[Member], Client]
) -> None:
    assert _outcome(as_member(reader), batch, ready_as="weaned", n_reached="1") == 403


def test_the_card_holds_name_history_code_and_what_it_is_not(client: Client, batch: Sticking) -> None:
    page = _text(client, f"/batches/{batch.batch}/card")
    assert "stuck 1 Oct 2025, potted 15 Oct 2025, given 20 Oct 2025." in page
    assert "Not an official plant passport." in page
    assert "First winter:" in page
    assert "common practice, no source" in page
    assert "<strong>Light:</strong>" in page


def test_the_givers_own_words_stand_and_an_empty_line_is_left_out(client: Client, batch: Sticking) -> None:
    page = _text(client, f"/batches/{batch.batch}/card?light=full+sun&winter=")
    assert "<strong>Light:</strong> full sun" in page
    assert "First winter:" not in page.split("<form")[0]


def test_the_pdf_has_as_many_cards_as_were_asked(client: Client, batch: Sticking) -> None:
    answer = client.get(f"/batches/{batch.batch}/card.pdf?n=3")
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert len(re.findall(rb"/Type /Page\b", answer.content)) == 3
    assert client.get(f"/batches/{batch.batch}/card.pdf?n=none").status_code == 422


def test_a_protected_plant_without_a_licence_gets_no_card(
    client: Client, garden: Garden, batch: Sticking
) -> None:
    Taxon.rows.filter(taxon="Rosa 'Pale Ferry'").update(rights="protected")
    for address in (f"/batches/{batch.batch}/card", f"/batches/{batch.batch}/card.pdf"):
        answer = client.get(address)
        assert answer.status_code == 422
        page = answer.content.decode()
        assert "no licence is recorded" in page
        assert "Back to the batch" in page
        assert "plant passport" not in page
    assert Plant.rows.of(garden).exists()


def test_a_batch_all_of_whose_rooted_are_potted_says_so(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now, n_stuck=8)
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "batch": batch.batch}
    services.record_look(**who, on=date(2025, 10, 14), n_rooted=6, n_lost=2)
    services.record_potting(**who, on=date(2025, 10, 15), n_potted=6)
    page = _text(client, f"/batches/{batch.batch}")
    assert "All that rooted are potted." in page or "None stands rooted" not in page
    assert "perhaps never" not in page


def test_the_stage_known_is_chosen_and_a_missing_one_is_told_at_its_field(
    client: Client, batch: Sticking
) -> None:
    page = _text(client, f"/batches/{batch.batch}/outcome")
    assert re.search(r'name="ready_as" value="potted" required checked', page)
    assert 'method="post" novalidate' in page
    answer = client.post(
        f"/batches/{batch.batch}/outcome", {"entry_id": str(uuid.uuid4()), "ready_as": "weaned"}
    )
    assert 'id="wrong-n_reached"' in answer.content.decode()


def test_after_giving_one_away_the_batch_says_one_given(client: Client, batch: Sticking) -> None:
    fields = {"entry_id": str(uuid.uuid4()), "ready_as": "potted", "n_reached": "1", "fate": "given"}
    assert _outcome(client, batch, **fields) == 302
    assert "1 given" in _text(client, f"/batches/{batch.batch}")
