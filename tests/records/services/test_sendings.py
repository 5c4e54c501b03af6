"""Sending twice is the same as sending once, in whatever order and however often."""

from __future__ import annotations

import errno
import fcntl
import json
import os
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slipwright.records import services, states
from slipwright.records.canonical import sha256
from slipwright.records.contents import content_of
from slipwright.records.errors import BadValue, Busy
from slipwright.records.models import BatchState, Device, Garden, Look, Member, Sending, SetAside, Sticking
from slipwright.records.services import Sent, entry, sendings, turns
from tests.databases import Database, Templates
from tests.records.conftest import small_garden
from tests.records.making import stick

NOW = datetime(2025, 10, 20, 15, 30, tzinfo=UTC)


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, batch="7K3F")


def look(of: Garden, entry_id: str, *, by: str = "grower", **fields: Any) -> dict[str, Any]:
    fields = {"batch": "7K3F"} | {name: value for name, value in fields.items() if value is not None}
    return {
        "kind": "look",
        "v": 1,
        "garden": str(of.garden),
        "id": entry_id,
        "by": by,
        "on": "2025-10-15",
        "fields": fields,
    }


def sent(*contents: Any) -> list[Sent]:
    return [Sent(one, sha256(one)) for one in contents]


def test_a_sending_is_written_down_whole_or_not_at_all(
    garden: Garden, grower: Member, batch: Sticking, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    one_by_one = services.receive_entry
    told = sent(look(garden, "a"), look(garden, "b"))

    def breaks_at_b(**asked: Any) -> services.Answer:
        if asked["content"]["id"] == "b":
            raise OperationalError("disk I/O error")
        return one_by_one(**asked)

    with monkeypatch.context() as broken:
        broken.setattr("slipwright.records.services.sendings.receive_entry", breaks_at_b)
        with pytest.raises(OperationalError):
            services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert (Look.rows.count(), Sending.rows.count(), connection.in_atomic_block) == (0, 0, False)
    services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert list(Look.rows.order_by("number").values_list("entry_id", flat=True)) == ["a", "b"]


def test_where_much_is_ahead_a_long_sending_comes_again_and_a_short_one_is_let_in(
    garden: Garden, grower: Member, batch: Sticking, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "sent_at": now}
    with turns._turns.announced(turns.MOST_AHEAD + 1):
        with pytest.raises(Busy) as busy:
            services.receive_sending(**who, sent=sent(*(look(garden, str(n)) for n in range(20))))
        services.receive_sending(**who, sent=sent(look(garden, "a")))
    assert 1 <= busy.value.wait_s <= 4
    assert Look.rows.count() == 1
    services.receive_sending(**who, sent=sent(*(look(garden, str(n)) for n in range(20))))
    assert Look.rows.count() == 21


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_sendings_of_several_processes_take_turns(database: Database) -> None:
    assert database.file is not None
    handle = os.open(database.file.parent, os.O_RDONLY)
    try:
        with turns.in_turn(1), pytest.raises(BlockingIOError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        os.close(handle)


def test_a_record_costs_few_queries(garden: Garden, grower: Member, batch: Sticking, now: datetime) -> None:
    told = sent(*(look(garden, str(n), n_rooted=0) for n in range(20)))
    with CaptureQueriesContext(connection) as asked:
        services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    selects = [one for one in asked.captured_queries if one["sql"].startswith("SELECT")]
    assert len(selects) <= 20 * 12 + 20


def test_the_id_of_another_kind_is_seen_within_a_sending_too(
    garden: Garden, grower: Member, batch: Sticking, now: datetime
) -> None:
    potting = look(garden, "a", n_potted=1) | {"kind": "potting"}
    told = sent(look(garden, "a"), potting, look(garden, batch.entry_id))
    receipt = services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert [answer.status for answer in receipt.answers] == ["received", "set-aside", "set-aside"]


def test_first_looks_after_the_same_sticking_are_both_kept_and_flagged(
    garden: Garden, grower: Member, volunteer: Member, batch: Sticking, now: datetime
) -> None:
    for by, n in ((grower, 5), (volunteer, 4)):
        told = sent(look(garden, by.member, by=by.member, n_rooted=n, after=batch.entry_id))
        services.receive_sending(garden=garden, by=by, now=now, sent=told, sent_at=now)
    state = BatchState.rows.get()
    assert (Look.rows.count(), state.n_rooted, state.flags) == (2, 4, "two-looks-from-one")


def test_a_look_after_the_sticking_of_another_batch_or_before_it_is_kept_aside(
    garden: Garden, grower: Member, batch: Sticking, now: datetime
) -> None:
    other = stick(garden, grower, now)
    early = look(garden, "b", after=batch.entry_id) | {"on": "2025-09-30"}
    told = sent(look(garden, "a", after=other.entry_id), early)
    receipt = services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert [answer.reason.split(":")[0] for answer in receipt.answers] == ["after", "after"]
    assert Look.rows.count() == 0


def test_the_phone_that_sent_is_kept(garden: Garden, grower: Member, batch: Sticking, now: datetime) -> None:
    phone = Device.objects.create(garden=garden, member=grower, made_at=now, ends_at=now)
    told = sent(look(garden, "a"), look(garden, "b", batch="nobody's"))
    services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now, device=phone)
    assert (SetAside.rows.get().device, SetAside.rows.get().by) == (phone, grower)
    assert Sending.rows.get().device == phone


class Phones:
    """Two phones that send what they keep, as the network lets them, and what must come of it."""

    def __init__(self) -> None:
        self.garden = small_garden()
        self.by = {one.member: one for one in Member.objects.filter(garden=self.garden)}
        stick(self.garden, self.by["grower"], NOW, batch="7K3F")
        self.answered: dict[str, services.Answer] = {}

    def send(self, member: str, contents: list[dict[str, Any]], hours: int) -> None:
        receipt = services.receive_sending(
            garden=self.garden,
            by=self.by[member],
            now=NOW,
            sent=sent(*contents),
            sent_at=NOW + timedelta(hours=hours),
        )
        assert len(receipt.answers) == len(contents)
        for content, answer in zip(contents, receipt.answers, strict=True):
            self.seen(content, answer)

    def seen(self, content: dict[str, Any], answer: services.Answer) -> None:
        key = json.dumps(content, sort_keys=True)
        before = self.answered.get(key)
        if answer.status == "not-yours":
            assert answer.number is None
            return
        if before is not None and before.status == "received":
            assert answer == before, "what was received stays so"
        if answer.status == "received":
            kept = Look.rows.get(entry_id=content["id"])
            assert (content_of(kept), kept.number) == (content, answer.number)
        else:
            open_ones = SetAside.rows.filter(entry_id=content["id"], settled_at=None)
            assert key in open_ones.values_list("content", flat=True), "what was set aside can be read"
        self.answered[key] = answer

    def adds_up(self) -> None:
        looks = Look.rows.all()
        assert BatchState.rows.get().n_rooted == sum(one.n_rooted or 0 for one in looks)
        received = {key for key, answer in self.answered.items() if answer.status == "received"}
        assert len(received) == looks.count(), "each record that was received is there once"
        asides = SetAside.rows.filter(settled_at=None).values_list("content", flat=True)
        assert len(set(asides)) == len(asides), "nothing is set aside twice"
        assert len(asides) == sum(answer.status == "set-aside" for answer in self.answered.values())
        assert all(one.n_received + one.n_aside for one in Sending.rows.all())


RECORD = st.tuples(
    st.sampled_from(["a", "b", "c"]), st.sampled_from(["grower", "volunteer", "reader"]), st.integers(0, 2)
)
SENDING = st.tuples(
    st.sampled_from(["grower", "volunteer", "reader"]),
    st.lists(RECORD, max_size=4),
    st.sampled_from([0, 0, 0, 3, -72]),
)


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sendings=st.lists(SENDING, min_size=2, max_size=7), again=st.lists(st.integers(0, 6), max_size=4))
@pytest.mark.parametrize("vendor", ["sqlite"])
def test_whatever_the_network_does_nothing_is_lost_or_doubled(
    templates: Templates, vendor: str, sendings: list[Any], again: list[int]
) -> None:
    with templates.copy(vendor):
        phones = Phones()
        for which in [*range(len(sendings)), *(n for n in again if n < len(sendings))]:
            member, records, hours = sendings[which]
            contents = [look(phones.garden, name, by=by, n_rooted=n) for name, by, n in records]
            phones.send(member, contents, hours)
            phones.adds_up()


def test_the_same_thing_at_the_same_moment_from_two_phones_is_one(
    garden: Garden, grower: Member, batch: Sticking, now: datetime, database: Database
) -> None:
    told = sent(look(garden, "a", n_rooted=1), look(garden, "a", n_rooted=1))
    receipt = services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert receipt.answers[0] == receipt.answers[1]
    assert (Look.rows.count(), BatchState.rows.get().n_rooted) == (1, 1)


def test_what_somebody_shut_out_recorded_is_kept_aside_and_what_came_before_stays(
    garden: Garden, grower: Member, volunteer: Member, batch: Sticking, now: datetime
) -> None:
    services.receive_file(garden=garden, by=grower, now=now, sent=sent(look(garden, "a", by="volunteer")))
    user = services.user_of_member(volunteer)
    user.is_active = False
    user.save()
    told = sent(*(look(garden, one, by="volunteer") for one in "ab"), look(garden, "c"))
    answers = services.receive_file(garden=garden, by=grower, now=now, sent=told)
    assert [answer.status for answer in answers] == ["received", "set-aside", "received"]
    assert SetAside.rows.get().reason == "volunteer was shut out"


def test_a_file_of_too_many_records_is_not_taken_in_at_all(
    garden: Garden, grower: Member, batch: Sticking, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sendings, "MOST_IN_FILE", 2)
    told = sent(*(look(garden, one) for one in "abc"))
    with pytest.raises(BadValue, match="at most 2 records"):
        services.receive_file(garden=garden, by=grower, now=now, sent=told)
    assert not Look.rows.exists()
    assert len(services.receive_file(garden=garden, by=grower, now=now, sent=told[:2])) == 2


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_nobody_waits_for_another_process_without_end(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert database.file is not None
    monkeypatch.setattr(turns, "_TURN_S", 0.1)
    handle = os.open(database.file.parent, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        with pytest.raises(Busy), turns.in_turn(1):
            pass
    finally:
        os.close(handle)
    with turns.in_turn(1):
        pass


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_where_the_file_system_knows_no_locks_sendings_are_taken_in(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unknown(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(fcntl, "flock", unknown)
    with turns.in_turn(1):
        pass


def test_the_batches_of_a_sending_are_summed_once(
    garden: Garden, grower: Member, batch: Sticking, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[set[int]] = []
    resum = states.resum
    monkeypatch.setattr(sendings, "resum", lambda held, pks: calls.append(set(pks)) or resum(held, pks))
    monkeypatch.setattr(entry, "resum", lambda *said: pytest.fail("summed after one record"))
    told = sent(*(look(garden, str(n), n_rooted=1) for n in range(4)))
    services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert calls == [{batch.pk}]
    assert BatchState.rows.get(batch=batch).n_rooted == 4
    assert list(states.differences(garden)) == []


def test_the_record_that_sums_beyond_all_bounds_is_kept_aside_alone(
    garden: Garden, grower: Member, batch: Sticking, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(states, "MOST", 20)
    told = sent(look(garden, "a", n_lost=1), look(garden, "b", n_lost=21), look(garden, "c", n_lost=2))
    receipt = services.receive_sending(garden=garden, by=grower, now=now, sent=told, sent_at=now)
    assert [one.status for one in receipt.answers] == ["received", "set-aside", "received"]
    assert "must not sum to more than 20" in receipt.answers[1].reason
    assert list(states.differences(garden)) == []
    assert BatchState.rows.get(batch=batch).n_lost == 3
