"""The page of one batch, its acts, and taking back what was written wrongly."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.refit import learn
from slipwright.records.models import Act, Garden, Look, Member, Note, Sticking, WeatherDay, Withdrawal
from tests.records.making import every_kind_of_entry, stick
from tests.web.season_made import in_use

AT = "2025-10-20T12:00:00+00:00"


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch looked at, potted and moved."""
    return every_kind_of_entry(garden, grower, now)


def _text(client: Client, address: str) -> str:
    return re.sub(r"\s+", " ", client.get(address).content.decode())


def test_the_page_tells_name_counts_answer_and_what_it_rests_on(client: Client, batch: Sticking) -> None:
    page = _text(client, f"/batches/{batch.batch}")
    assert "‘Pale Ferry’" in page
    assert "20 stuck Wednesday 1 October" in page
    assert "Day 19" in page
    assert re.search(r"By \d+ \w+ (about|likely) \d+ of the 20", page)
    assert "8 times in 10" in page
    assert "Rests on the handbook" in page
    assert "5 rooted" in page
    assert "4 potted" in page
    assert "<svg" in page
    assert "The same as a table" in page


def test_the_counts_are_those_of_the_batch_and_make_up_what_was_stuck(
    client: Client, batch: Sticking
) -> None:
    page = client.get(f"/batches/{batch.batch}").content.decode()
    counts = page[page.index('class="counts"') :].split("</section>")[0]
    rooted, lost, waiting = (int(n) for n in re.findall(r"<b>(\d+)</b>", counts))
    assert (rooted, lost, waiting) == (5, 1, 14)
    assert rooted + lost + waiting == batch.n_stuck
    assert "4 potted" in counts
    assert "1 to pot" in counts


def test_the_ceiling_of_the_chart_is_told_as_the_most_that_can_root(client: Client, batch: Sticking) -> None:
    page = _text(client, f"/batches/{batch.batch}")
    assert "19 at most" in page
    assert "still alive" not in page


def test_a_dip_is_told_in_percent_and_by_weight(client: Client, batch: Sticking) -> None:
    assert "3 000&nbsp;mg/kg (0.3&nbsp;%)" in _text(client, f"/batches/{batch.batch}")


def test_a_code_is_found_as_it_is_read_off_a_label(client: Client, batch: Sticking) -> None:
    answer = client.get(f"/B/{batch.batch.lower()}")
    assert answer.status_code == 302
    assert answer["Location"] == f"/batches/{batch.batch}"
    assert client.get("/B/0000").status_code == 404


def test_a_stranger_with_a_label_is_sent_to_sign_in(client: Client, batch: Sticking) -> None:
    answer = Client(HTTP_HOST="127.0.0.1").get(f"/B/{batch.batch}")
    assert answer.status_code == 302
    assert "/sign-in?next=" in answer["Location"]


def _asked(client: Client, batch: Sticking) -> list[str]:
    with CaptureQueriesContext(connection) as asked:
        assert client.get(f"/batches/{batch.batch}").status_code == 200
    return [query["sql"][:120] for query in asked]


def test_the_page_asks_twelve_queries_at_most_where_another_batch_was_shown_and_sixteen_at_first(
    client: Client, batch: Sticking, garden: Garden, grower: Member, now: datetime
) -> None:
    other = stick(garden, grower, now)
    WeatherDay.rows.create(garden=garden, on=date(2025, 10, 2), tmin_c=Decimal(4), tmax_c=Decimal(14))
    garden.refresh_from_db()
    assert learn(garden, load_handbook(), now=now)
    asked = _asked(client, batch)
    assert len(asked) <= 16, asked
    assert any("records_gardenfit" in query for query in asked)
    asked = _asked(client, other)
    assert len(asked) <= 12, asked
    assert sum("records_fitnode" in query for query in asked) == 1
    assert len(_asked(client, other)) <= 11


def test_the_page_asks_twelve_queries_at_most_right_after_a_look(
    client: Client, batch: Sticking, garden: Garden, grower: Member, now: datetime
) -> None:
    in_use(garden)
    _asked(client, batch)
    services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 20), n_rooted=1
    )
    asked = _asked(client, batch)
    assert len(asked) <= 12, asked
    assert "2 to pot" in _text(client, f"/batches/{batch.batch}")


def test_sums_that_do_not_add_up_are_told_in_words(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now, n_stuck=4)
    services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 9), n_rooted=3, n_lost=2
    )
    page = _text(client, f"/batches/{batch.batch}")
    assert "Does not add up" in page
    assert "More were counted as rooted, lost or removed than were stuck." in page


def test_an_ended_batch_tells_what_happened_and_forecasts_nothing(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now, n_stuck=4)
    services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 9), n_rooted=0, n_lost=4
    )
    page = _text(client, f"/batches/{batch.batch}")
    assert "0 of the 4 rooted, 4 lost." in page
    assert "Look next" not in page
    assert "8 times in 10 inside" not in page


def _act(client: Client, batch: Sticking, **fields: str) -> int:
    return client.post(f"/batches/{batch.batch}/act", fields).status_code


def test_an_act_pressed_twice_is_kept_once(client: Client, batch: Sticking) -> None:
    fields = {"what": "act", "act": "water", "entry_id": str(uuid.uuid4()), "on": "2025-10-19"}
    before = Act.rows.filter(batch=batch).count()
    assert [_act(client, batch, **fields) for _ in range(2)] == [302, 302]
    assert Act.rows.filter(batch=batch).count() == before + 1


def test_a_move_says_where_to_or_is_not_kept(client: Client, batch: Sticking) -> None:
    fields = {"what": "act", "act": "move", "entry_id": str(uuid.uuid4()), "note": "kept as typed"}
    answer = client.post(f"/batches/{batch.batch}/act", fields)
    assert answer.status_code == 422
    assert "kept as typed" in answer.content.decode()
    assert _act(client, batch, **fields, to_place="mist-1") == 302
    batch.refresh_from_db()
    assert str(batch.state.place) == "mist-1"


def test_a_note_pressed_twice_is_kept_once_and_an_empty_one_not_at_all(
    client: Client, batch: Sticking
) -> None:
    fields = {"what": "note", "text": "leaves dull", "entry_id": str(uuid.uuid4()), "at": AT}
    assert [_act(client, batch, **fields) for _ in range(2)] == [302, 302]
    assert Note.rows.filter(text="leaves dull").count() == 1
    assert _act(client, batch, what="note", text=" ", entry_id=str(uuid.uuid4()), at=AT) == 422
    assert _act(client, batch, what="note", text="x", entry_id=str(uuid.uuid4()), at="soon") == 422


def test_an_entry_is_taken_back_with_a_reason_and_stays_to_be_read(client: Client, batch: Sticking) -> None:
    look = Look.rows.get(batch=batch)
    address = f"/batches/{batch.batch}/withdraw"
    asked = {"kind": "look", "entry": look.entry_id}
    assert "5 rooted" in _text(client, f"{address}?kind=look&entry={look.entry_id}")
    fields = {**asked, "entry_id": str(uuid.uuid4()), "at": AT}
    assert client.post(address, {**fields, "reason": ""}).status_code == 422
    for _ in range(2):
        assert client.post(address, {**fields, "reason": "other pot"}).status_code == 302
    assert Withdrawal.rows.filter(withdraws=look.entry_id).count() == 1
    page = _text(client, f"/batches/{batch.batch}")
    assert "Taken back" in page
    assert "other pot" in page
    assert "5 rooted" in page


def test_a_volunteer_takes_back_only_what_is_their_own(
    garden: Garden, volunteer: Member, batch: Sticking, as_member: Callable[[Member], Client]
) -> None:
    theirs = as_member(volunteer)
    look = Look.rows.get(batch=batch)
    assert "/withdraw?" not in _text(theirs, f"/batches/{batch.batch}")
    fields = {"kind": "look", "entry": look.entry_id, "entry_id": str(uuid.uuid4()), "at": AT, "reason": "no"}
    assert theirs.post(f"/batches/{batch.batch}/withdraw", fields).status_code == 403


def test_a_reader_sees_the_batch_and_writes_nothing(
    reader: Member, batch: Sticking, as_member: Callable[[Member], Client]
) -> None:
    theirs = as_member(reader)
    page = _text(theirs, f"/batches/{batch.batch}")
    assert "<form" not in page.split("<main")[1].split("</main>")[0]
    assert "Look at this batch" not in page
    assert _act(theirs, batch, what="act", act="water") == 403


def test_a_batch_with_other_entries_is_not_taken_back_and_told_why(client: Client, batch: Sticking) -> None:
    fields = {"kind": "sticking", "entry": batch.entry_id, "entry_id": str(uuid.uuid4()), "at": AT}
    answer = client.post(f"/batches/{batch.batch}/withdraw", {**fields, "reason": "stuck elsewhere"})
    assert answer.status_code == 422
    assert "Take those back first." in answer.content.decode()


def test_an_entry_of_another_batch_is_not_found_here(
    client: Client, garden: Garden, grower: Member, now: datetime, batch: Sticking
) -> None:
    other = stick(garden, grower, now)
    look = Look.rows.get(batch=batch)
    assert client.get(f"/batches/{other.batch}/withdraw?kind=look&entry={look.entry_id}").status_code == 404


def test_with_nothing_waiting_it_names_no_next_look_and_no_day_to_give_up(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    open_one = stick(garden, grower, now)
    assert "<dt>Look next</dt>" in _text(client, f"/batches/{open_one.batch}")
    services.record_look(
        garden=garden, by=grower, now=now, batch=open_one.batch, on=date(2025, 10, 19), n_rooted=15, n_lost=5
    )
    page = _text(client, f"/batches/{open_one.batch}")
    assert "<dt>Look next</dt>" not in page
    assert "<dt>Give up</dt>" not in page
    assert "Rooted since 19 Oct, unpotted 1 day." in page


def test_older_entries_lie_folded_and_the_way_to_a_look_stands_above_them(
    client: Client, batch: Sticking, garden: Garden, grower: Member, now: datetime
) -> None:
    assert "Earlier, back to" not in _text(client, f"/batches/{batch.batch}")
    for n in range(7):
        services.record_note(garden=garden, by=grower, now=now, about=batch.batch, text=f"note {n}", at=now)
    page = _text(client, f"/batches/{batch.batch}")
    above, below = page.split("Earlier, back to the day it was stuck", 1)
    assert above.count("note ") >= 6
    assert "note 0" in below
    assert "day 0" in below
    assert f'class="slant" href="/batches/{batch.batch}/look"' in above.split("Looks so far")[0]


def test_a_batch_not_looked_at_for_long_is_to_be_looked_at_and_not_told_as_done(
    client: Client, garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    rose = stick(garden, grower, now, stuck_on=date(2025, 6, 1), n_stuck=8)
    who = {"garden": garden, "by": grower, "now": now, "batch": rose.batch}
    services.record_look(**who, on=date(2025, 7, 1), n_rooted=0, n_lost=0)
    monkeypatch.setenv("SLIPWRIGHT_TODAY", "2025-10-20")
    page = _text(client, f"/batches/{rose.batch}")
    assert re.search(
        r"Not looked at for 111 days; by now likely (\d to )?\d of the 8 have rooted: look\.", page
    )
    assert "Look first: some may have rooted." in page
    assert "No roots are counted yet. Look first, then pot what has rooted." in page
    assert "None stands rooted" not in page
    assert "of the 8; hardly more" not in page
    services.record_look(**who, on=date(2025, 10, 19), n_rooted=0, n_lost=7)
    page = _text(client, f"/batches/{rose.batch}")
    assert "Not looked at" not in page
    assert "Look first" not in page
