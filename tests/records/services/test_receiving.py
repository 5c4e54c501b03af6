"""Taking in entries that were recorded elsewhere."""

from __future__ import annotations

import copy
import json
import uuid
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.contents import content_of
from slipwright.records.errors import NotAllowed
from slipwright.records.models import (
    ENTRY_MODELS,
    BatchState,
    Garden,
    Look,
    Member,
    Note,
    Potting,
    SetAside,
    Sticking,
    Withdrawal,
)
from tests.records.conftest import small_garden
from tests.records.making import every_kind_of_entry, stick

Content = dict[str, Any]


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, batch="7K3F")


@pytest.fixture
def look(garden: Garden, batch: Sticking) -> Content:
    return {
        "kind": "look",
        "v": 1,
        "garden": str(garden.garden),
        "id": "2b2f2c0e-0000-4000-8000-000000000001",
        "by": "grower",
        "on": "2025-10-15",
        "fields": {"batch": "7K3F", "n_rooted": 5, "n_lost": 0, "signs": "callus"},
    }


@pytest.fixture
def send(garden: Garden, grower: Member, now: datetime) -> Any:
    def send(content: Content, *, claimed: str | None = None, **others: Any) -> services.Answer:
        return services.receive_entry(
            **{"garden": garden, "by": grower, "now": now}
            | {"content": content, "sha256": claimed or sha256(content)}
            | others
        )

    return send


def claim(content: Content) -> str:
    """Return what a phone would claim of content, however odd."""
    try:
        return sha256(content)
    except ValueError:
        return "0" * 64


def n_entries() -> int:
    return sum(model.rows.count() for model in ENTRY_MODELS)


def test_it_is_taken_in_and_counts(send: Any, look: Content, now: datetime) -> None:
    answer = send(look)
    kept = Look.rows.get()
    assert answer == services.Answer("received", "look", look["id"], sha256(look), now, number=2)
    assert content_of(kept) == look
    assert BatchState.rows.get().n_rooted == 5


def test_sent_again_it_gets_the_first_answer(send: Any, look: Content, now: datetime) -> None:
    first = send(look)
    later = send(look, now=now + timedelta(days=30))
    assert later == first
    assert Look.rows.count() == 1
    assert BatchState.rows.get().n_rooted == 5


def test_what_was_recorded_here_and_sent_as_well_is_one(
    send: Any, garden: Garden, grower: Member, now: datetime
) -> None:
    every_kind_of_entry(garden, grower, now)
    for model in ENTRY_MODELS:
        for record in list(model.rows.all()):
            assert send(content_of(record)).number == record.number
    assert SetAside.rows.count() == 0


def test_every_kind_travels_to_another_copy_of_the_garden(
    send: Any, garden: Garden, grower: Member, now: datetime, templates: Any, database: Any
) -> None:
    every_kind_of_entry(garden, grower, now)
    kept = sorted(
        ((r.number, content_of(r)) for model in ENTRY_MODELS for r in model.rows.all()),
        key=lambda pair: pair[0],
    )
    with templates.copy("sqlite"):
        other = small_garden()
        Garden.objects.filter(pk=other.pk).update(garden=garden.garden)
        member = Member.objects.get(member="grower")
        for number, content in kept:
            answer = send(content, garden=other, by=member)
            assert (answer.status, answer.number) == ("received", number), answer.reason
        assert str(BatchState.rows.get().place) == "frame-1"


def test_same_id_other_content_is_kept_aside(send: Any, look: Content) -> None:
    send(look)
    other = copy.deepcopy(look)
    other["fields"]["n_rooted"] = 6
    answer = send(other)
    assert (answer.status, answer.number) == ("set-aside", None)
    assert "something else" in answer.reason
    aside = SetAside.rows.get()
    assert (aside.kind, aside.entry_id, aside.sha256) == ("look", look["id"], sha256(other))
    assert json.loads(aside.content) == other
    assert Look.rows.get().n_rooted == 5
    assert send(other) == answer
    assert SetAside.rows.count() == 1


def test_same_id_of_another_kind_is_kept_aside(send: Any, look: Content, batch: Sticking) -> None:
    look["id"] = batch.entry_id
    assert send(look).status == "set-aside"


def test_damage_on_the_way_is_seen(send: Any, look: Content) -> None:
    claimed = sha256(look)
    look["fields"]["n_rooted"] = 50
    answer = send(look, claimed=claimed)
    assert answer.status == "set-aside"
    assert "damaged" in answer.reason


def spoil(content: Content, **changes: Any) -> Content:
    content = copy.deepcopy(content)
    for name, value in changes.items():
        if name.startswith("fields__"):
            content["fields"][name.removeprefix("fields__")] = value
        else:
            content[name] = value
    return content


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"garden": "8b0c1f0e-0000-4000-8000-000000000000"}, "garden"),
        ({"kind": "sighting"}, "kind"),
        ({"kind": ["look"]}, "kind"),
        ({"v": 2}, "newer Slipwright"),
        ({"v": 0}, "v:"),
        ({"v": True}, "v:"),
        ({"v": "1"}, "v:"),
        ({"id": ""}, "id"),
        ({"id": 7}, "id"),
        ({"id": "x" * 101}, "id"),
        ({"by": "volunteer"}, "by"),
        ({"by": None}, "by"),
        ({"at": "2025-10-15T09:30:00+00:00"}, "at"),
        ({"on": "15.10.2025"}, "on"),
        ({"on": "2025-02-30"}, "on"),
        ({"on": "2035-10-15"}, "future"),
        ({"fields": []}, "fields"),
        ({"device": "phone 7"}, "device"),
        ({"fields__n_blue": 1}, "n_blue"),
        ({"fields__n_rooted": "5"}, "n_rooted"),
        ({"fields__n_rooted": 5.0}, "n_rooted"),
        ({"fields__n_rooted": -5}, "n_rooted"),
        ({"fields__batch": "9999"}, "batch"),
        ({"fields__batch": None}, "batch"),
        ({"fields__note": "nought \x00"}, "note"),
        ({"fields__note": "half a pair \ud83d"}, "note"),
        ({"fields__on": "2025-10-15"}, "on"),
        ({"fields__by": "grower"}, "by"),
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_what_cannot_be_taken_in_is_kept_aside_with_the_reason(
    send: Any, look: Content, changes: Content, column: str
) -> None:
    spoilt = spoil(look, **changes)
    answer = send(spoilt, claimed=claim(spoilt))
    assert answer.status == "set-aside"
    assert column in answer.reason
    assert json.loads(SetAside.rows.get().content) == spoilt
    assert Look.rows.count() == 0


def test_numbers_written_otherwise_are_the_same_content(send: Any, garden: Garden) -> None:
    reading = {
        "kind": "reading",
        "v": 1,
        "garden": str(garden.garden),
        "id": "r-1",
        "at": "2025-10-15T09:30:00+00:00",
        "fields": {"place": "mist-1", "air_c": "12.5"},
    }
    right = sha256(reading)
    answer = send(spoil(reading, fields__air_c="12.50"), claimed=right)
    assert (answer.status, answer.sha256) == ("received", right)
    assert send(spoil(reading, id="r-2", fields__air_c="1e1")).status == "set-aside"
    assert send(spoil(reading, id="r-2", fields__air_c="NaN")).status == "set-aside"
    assert send(spoil(reading, id="r-2", by="grower")).status == "set-aside"


def test_what_waited_for_something_is_taken_in_later_and_settled(
    send: Any, look: Content, garden: Garden, grower: Member, now: datetime
) -> None:
    early = spoil(look, fields__batch="LATER")
    assert send(early).status == "set-aside"
    stick(garden, grower, now, batch="LATER")
    assert send(early).status == "received"
    assert SetAside.rows.get().settled_at == now


def test_a_member_who_may_no_longer_record_loses_nothing(send: Any, look: Content, reader: Member) -> None:
    answer = send(spoil(look, by="reader"), by=reader)
    assert answer.status == "set-aside"
    assert "reader" in answer.reason
    assert BatchState.rows.get().n_rooted == 0


def test_sent_again_by_whoever_may_only_read_since_it_is_as_the_first_time(
    send: Any, look: Content, volunteer: Member, garden: Garden
) -> None:
    first = send(theirs := spoil(look, by="volunteer"), by=volunteer)
    Member.objects.filter(pk=volunteer.pk).update(role="reader")
    since = Member.objects.get(pk=volunteer.pk)
    assert send(theirs, by=since) == first
    assert send(spoil(theirs, id="new"), by=since).status == "set-aside"
    receipt = services.receive_sending(
        garden=garden,
        by=since,
        now=first.received_at,
        sent_at=first.received_at,
        sent=[services.Sent(theirs, sha256(theirs))],
    )
    assert receipt.answers == (first,)


def test_a_stranger_cannot_even_fill_the_tray(send: Any, look: Content) -> None:
    other = Member.objects.get(garden=small_garden("Tern Point"), role="owner")
    with pytest.raises(NotAllowed):
        send(spoil(look, by="owner"), by=other)
    assert SetAside.rows.count() == 0


def test_a_potting_from_a_phone_adds_no_look(send: Any, look: Content) -> None:
    potting = spoil(look, kind="potting", id="p-1", fields={"batch": "7K3F", "n_potted": 5})
    send(potting)
    assert BatchState.rows.get().flags == "potted-more-than-rooted"
    send(look)
    state = BatchState.rows.get()
    assert (state.n_rooted, state.n_potted, state.n_to_pot, state.flags) == (5, 5, 0, "")
    assert (Look.rows.count(), Potting.rows.count()) == (1, 1)


def test_a_withdrawal_travels_with_its_rules(
    send: Any, look: Content, volunteer: Member, batch: Sticking
) -> None:
    send(look)
    back = {
        "kind": "withdrawal",
        "v": 1,
        "garden": look["garden"],
        "id": "w-1",
        "by": "grower",
        "at": "2025-10-20T11:00:00-04:00",
        "fields": {"withdraws": batch.entry_id, "reason": "slip"},
    }
    assert "refer to it" in send(back).reason
    theirs = spoil(back, by="volunteer", fields__withdraws=look["id"])
    assert "may not" in send(theirs, by=volunteer).reason
    assert send(spoil(back, fields__withdraws=look["id"])).status == "received"
    assert send(spoil(back, id="w-2")).status == "received"
    assert BatchState.rows.get().ended_on == date(2025, 10, 20)
    assert Withdrawal.rows.count() == 2


def test_a_sticking_of_a_protected_plant_needs_its_ground(send: Any, garden: Garden) -> None:
    sticking = {
        "kind": "sticking",
        "v": 1,
        "garden": str(garden.garden),
        "id": "s-1",
        "by": "grower",
        "on": "2025-10-15",
        "fields": {
            "batch": "0A0A0A0A",
            "taxon": "Lavandula 'Night Tide'",
            "n_stuck": 12,
            "wood": "softwood",
            "shoot": "budded",
        },
    }
    assert "licence" in send(sticking).reason
    assert Sticking.rows.count() == 0
    assert send(sticking, ground="experiment").status == "received"
    texts = sorted(Note.rows.filter(about="s-1").values_list("text", flat=True))
    assert texts[0] == "already done: stuck from a budded shoot"
    assert texts[1].startswith("ground: experiment. ")
    assert send(sticking, ground="experiment").number == 1
    assert Note.rows.count() == 2


def test_a_sticking_sent_again_is_one_though_its_plant_was_protected_since(
    send: Any, garden: Garden, owner: Member, batch: Sticking, now: datetime
) -> None:
    sticking = {
        "kind": "sticking",
        "v": 1,
        "garden": str(garden.garden),
        "id": "s-1",
        "by": "grower",
        "on": "2025-10-15",
        "fields": {"batch": "0A0A0A0A", "taxon": batch.taxon.taxon, "n_stuck": 12, "wood": "softwood"},
    }
    first = send(sticking)
    services.edit_reference(
        garden=garden,
        by=owner,
        now=now,
        table="taxa",
        key=(batch.taxon.taxon,),
        changes={"rights": "protected"},
    )
    assert first.status == "received"
    assert send(sticking) == first
    assert SetAside.rows.count() == 0


def test_what_is_kept_aside_is_settled_by_a_person(
    send: Any, look: Content, garden: Garden, owner: Member, now: datetime
) -> None:
    send(spoil(look, v=2))
    aside = SetAside.rows.get()
    settled = services.settle_aside(garden=garden, by=owner, now=now, aside=aside.pk)
    assert settled.settled_at == now
    later = services.settle_aside(garden=garden, by=owner, now=now + timedelta(days=1), aside=aside.pk)
    assert later.settled_at == now


ODD = st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(), max_size=6)
NAMES = st.text(st.characters(), max_size=6) | st.sampled_from(["\x00", "a\ud800", "on", "fields"])
JSON = st.recursive(
    ODD, lambda inner: st.lists(inner, max_size=2) | st.dictionaries(NAMES, inner, max_size=2)
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
@given(
    outer=st.dictionaries(NAMES | st.sampled_from(["kind", "v", "id", "by", "garden"]), JSON, max_size=2),
    inner=st.dictionaries(NAMES | st.sampled_from(["batch", "note", "after", "n_rooted"]), JSON, max_size=2),
    claimed=JSON,
)
@example(outer={"hue\x00": 1}, inner={}, claimed="\x00\ud800" * 40)
@example(outer={"\ud800": 1}, inner={"\x00": "\ud800"}, claimed=None)
@example(outer={}, inner={"note\ud800": 1}, claimed=["\x00"])
def test_whatever_is_sent_is_kept(
    send: Any, look: Content, outer: Content, inner: Content, claimed: Any
) -> None:
    sent = look | {"id": str(uuid.uuid4())} | outer
    if "fields" not in outer:
        sent["fields"] = look["fields"] | inner
    for one in (claimed, claim(sent)):
        answer = send_as(send, sent, one)
        if answer.status == "received":
            assert content_of(Look.rows.get(entry_id=sent["id"])) == sent
        else:
            aside = SetAside.rows.filter(settled_at=None, entry_id=answer.entry_id, kind=answer.kind)
            assert json.dumps(sent, sort_keys=True) in aside.values_list("content", flat=True)
        assert send_as(send, sent, one) == answer


def send_as(send: Any, content: Content, claimed: Any) -> services.Answer:
    answer: services.Answer = send(content, claimed="not asked", sha256=claimed)
    return answer


@pytest.mark.parametrize("claimed", [None, 7, b"\x00", {"a": 1}, {("a",): 1}])
def test_a_hash_that_is_no_text_keeps_the_entry_aside(send: Any, look: Content, claimed: Any) -> None:
    answer = send_as(send, look, claimed)
    assert (answer.status, Look.rows.count()) == ("set-aside", 0)
    assert send_as(send, look, claimed) == answer
    assert json.loads(SetAside.rows.get().content) == look


SHAPES: list[Any] = [None, 0, 1.5, [], {}, "", "x", [[1]], {"a": {"b": None}}, True, 10**400]


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
@pytest.mark.parametrize("name", ["kind", "v", "garden", "id", "by", "on", "fields"])
def test_no_shape_of_content_is_an_accident(send: Any, look: Content, name: str) -> None:
    before = n_entries()
    for value in SHAPES:
        send(spoil(look, **{name: value}), claimed="0" * 64)
    assert n_entries() == before


def test_what_the_garden_has_by_now_is_not_recorded_twice(
    garden: Garden, grower: Member, send: Any, look: Content, now: datetime
) -> None:
    send(look, doubt="this phone's clock differs by 3 days")
    aside = SetAside.rows.get()
    send(look)
    SetAside.rows.filter(pk=aside.pk).update(
        settled_at=None, settled_as=""
    )  # as it stood before it came again
    before = n_entries()
    services.settle_aside(garden=garden, by=grower, now=now, aside=aside.pk, settled_as="recorded")
    assert n_entries() == before
