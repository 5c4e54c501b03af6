"""What was set aside, and looks that do not agree: seen side by side and settled in three taps at most."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.models import (
    BatchState,
    Garden,
    Look,
    Member,
    Note,
    Potting,
    Sending,
    SetAside,
    Sticking,
    Withdrawal,
)
from tests.records.conftest import small_garden
from tests.records.making import stick

Content = dict[str, Any]


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, batch="7K3F")


def content(of: Garden, entry_id: str, kind: str = "look", by: str = "volunteer", **fields: Any) -> Content:
    return {
        "kind": kind,
        "v": 1,
        "garden": str(of.garden),
        "id": entry_id,
        "by": by,
        "on": "2025-10-15",
        "fields": {"batch": "7K3F"} | fields,
    }


@pytest.fixture
def send(garden: Garden, volunteer: Member, now: datetime) -> Callable[..., services.Answer]:
    def send(one: Content, **more: Any) -> services.Answer:
        asked: dict[str, Any] = {"garden": garden, "by": volunteer, "now": now, "content": one}
        if "sha256" not in more:
            more["sha256"] = sha256(one)
        return services.receive_entry(**asked | more)

    return send


@pytest.fixture
def clash(garden: Garden, batch: Sticking, send: Any) -> SetAside:
    """A look that came twice and says two things."""
    send(content(garden, "a", n_rooted=5, n_lost=1))
    send(content(garden, "a", n_rooted=6, n_lost=1, note="counted again"))
    return SetAside.rows.get()


def page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


def test_nothing_set_aside_is_said(client: Client) -> None:
    assert "Nothing is set aside" in page(client, "/set-aside")


def test_the_list_says_why_and_leads_to_each(client: Client, clash: SetAside) -> None:
    told = page(client, "/set-aside")
    assert "1 record was set aside" in told
    assert "The garden has it with other words" in told
    assert f'href="/set-aside/{clash.pk}"' in told


def test_both_versions_stand_side_by_side_and_what_differs_is_said_in_words(
    client: Client, clash: SetAside
) -> None:
    told = page(client, f"/set-aside/{clash.pk}")
    rows = {
        re.sub(r"<[^>]+>|\s+", " ", row).split()[0]: "differs" in row
        for row in re.findall(r"<tr.*?</tr>", told, re.DOTALL)[1:]
    }
    assert rows["Rooted"]
    assert rows["Note"]
    assert not rows["Lost"]
    assert not rows["Day"]


def settle(client: Client, aside: SetAside, settled_as: str, **more: Any) -> Any:
    return client.post(f"/set-aside/{aside.pk}", {"settled_as": settled_as} | more)


def test_keeping_what_the_garden_has_changes_no_count(
    client: Client, clash: SetAside, grower: Member
) -> None:
    answer = settle(client, clash, "dropped")
    assert (answer.status_code, answer["Location"]) == (302, "/set-aside")
    clash.refresh_from_db()
    assert (clash.settled_as, clash.settled_by) == ("dropped", grower)
    assert BatchState.rows.get().n_rooted == 5
    assert Look.rows.count() == 1


def test_recording_it_too_keeps_both_and_notes_where_it_came_from(client: Client, clash: SetAside) -> None:
    settle(client, clash, "recorded")
    settle(client, clash, "recorded")
    assert Look.rows.count() == 2
    added = Look.rows.exclude(entry_id="a").get()
    assert (added.n_rooted, added.note, str(added.by)) == (6, "counted again", "volunteer")
    note = Note.rows.get(about=added.entry_id)
    assert note.text.startswith("Recorded from what was set aside.")
    assert str(note.by) == "grower"
    assert BatchState.rows.get().n_rooted == 11


def test_taking_it_instead_takes_back_what_the_garden_has(client: Client, clash: SetAside) -> None:
    settle(client, clash, "replaced")
    assert BatchState.rows.get().n_rooted == 6
    assert Withdrawal.rows.get().withdraws == "a"
    told = page(client, f"/set-aside/{clash.pk}")
    assert "Recorded in its place." in told
    assert '<button class="button whole door"' not in told


def test_what_a_person_settled_is_not_set_aside_anew(client: Client, clash: SetAside, send: Any) -> None:
    settle(client, clash, "dropped")
    answer = send(json.loads(clash.content))
    assert answer.status == "set-aside"
    assert SetAside.rows.count() == 1


def test_settled_otherwise_before_is_told(client: Client, clash: SetAside) -> None:
    settle(client, clash, "dropped")
    answer = settle(client, clash, "replaced")
    assert answer.status_code == 422
    assert "settled before" in answer.content.decode()
    assert BatchState.rows.get().n_rooted == 5


@pytest.mark.parametrize("settled_as", ["", "eaten"])
def test_no_other_choice_is_taken(client: Client, clash: SetAside, settled_as: str) -> None:
    assert settle(client, clash, settled_as).status_code == 422
    clash.refresh_from_db()
    assert clash.settled_at is None


def test_a_record_of_a_phone_whose_clock_was_out_is_recorded_under_its_own_id(
    client: Client, garden: Garden, batch: Sticking, send: Any
) -> None:
    one = content(garden, "a", n_rooted=5)
    send(one, doubt="this phone's clock differs by 3 days")
    aside = SetAside.rows.get()
    assert "The phone’s clock was days out" in page(client, f"/set-aside/{aside.pk}")
    settle(client, aside, "recorded")
    look = Look.rows.get()
    assert (look.entry_id, look.sha256) == ("a", sha256(one))
    assert send(one).status == "received"
    assert Look.rows.count() == 1


def test_what_cannot_be_recorded_says_so_and_stays(
    client: Client, garden: Garden, batch: Sticking, send: Any
) -> None:
    send(content(garden, "a") | {"fields": {"batch": "nobody's"}})
    aside = SetAside.rows.get()
    answer = settle(client, aside, "recorded")
    assert answer.status_code == 422
    assert "must be in batches of this garden" in answer.content.decode()
    assert SetAside.rows.get().settled_at is None


@pytest.mark.parametrize(
    "came",
    [
        None,
        [],
        "\x00<script>",
        {"kind": "look", "fields": 5},
        {"kind": "look", "fields": {"batch": ["x"], "n_rooted": {"a": 1}, "note": "<script>"}},
        {"kind": "moth", "on": 5, "by": [], "fields": {"batch": "\ud800"}},
        {"kind": "act", "on": "yesterday", "fields": {"batch": "7K3F", "to_place": "<script>"}},
    ],
)
def test_whatever_was_set_aside_can_be_read_and_left_out(
    client: Client, garden: Garden, batch: Sticking, send: Any, came: Any
) -> None:
    send(came, sha256="?")
    aside = SetAside.rows.get()
    assert page(client, "/set-aside")
    told = page(client, f"/set-aside/{aside.pk}")
    assert "<script>" not in told.replace('<script type="module"', "")
    assert "Record it as it is" not in told
    assert settle(client, aside, "dropped").status_code == 302


def test_a_batch_whose_code_is_taken_gets_a_new_one(
    client: Client, garden: Garden, batch: Sticking, send: Any
) -> None:
    lot: Content = {"taxon": "Rosa 'Pale Ferry'", "n_stuck": 12, "wood": "softwood"}
    send(content(garden, "s-1", "sticking", **lot))
    aside = SetAside.rows.get()
    assert "Another batch has its code" in page(client, "/set-aside")
    settle(client, aside, "recorded")
    added = Sticking.rows.exclude(pk=batch.pk).get()
    assert (added.n_stuck, added.batch == "7K3F") == (12, False)


def test_a_protected_plant_is_recorded_with_its_ground(client: Client, garden: Garden, send: Any) -> None:
    lot: Content = {"taxon": "Lavandula 'Night Tide'", "n_stuck": 12, "wood": "softwood"}
    send(content(garden, "s-1", "sticking", **lot))
    aside = SetAside.rows.get()
    assert 'name="ground"' in page(client, f"/set-aside/{aside.pk}")
    assert settle(client, aside, "recorded").status_code == 422
    assert settle(client, aside, "recorded", ground="experiment").status_code == 302
    assert Sticking.rows.get().entry_id == "s-1"
    assert Note.rows.filter(text__startswith="ground: experiment").exists()


def test_a_potting_is_replaced_too(client: Client, garden: Garden, batch: Sticking, send: Any) -> None:
    send(content(garden, "l", n_rooted=9))
    send(content(garden, "p", "potting", n_potted=5))
    send(content(garden, "p", "potting", n_potted=7))
    settle(client, SetAside.rows.get(), "replaced")
    assert Potting.rows.count() == 2
    assert BatchState.rows.get().n_potted == 7


@pytest.mark.parametrize("role", ["volunteer", "reader"])
def test_only_who_may_settle_sees_it(
    role: str, garden: Garden, clash: SetAside, as_member: Callable[[Member], Client]
) -> None:
    theirs = as_member(Member.objects.get(garden=garden, role=role))
    for address in ("/set-aside", f"/set-aside/{clash.pk}", "/batches/7K3F/two-looks"):
        assert theirs.get(address).status_code == 403
    assert settle(theirs, clash, "dropped").status_code == 403
    assert "needs you to decide" not in page(theirs, "/")


def test_what_another_garden_keeps_aside_is_not_here(client: Client, clash: SetAside, now: datetime) -> None:
    other = SetAside.rows.create(garden=small_garden("Tern Point"), received_at=now)
    assert client.get(f"/set-aside/{other.pk}").status_code == 404
    assert settle(client, other, "dropped").status_code == 404


@pytest.mark.parametrize("address", ["/", "/garden"])
def test_today_and_the_garden_say_how_many_wait(client: Client, clash: SetAside, address: str) -> None:
    assert "1 record needs you to decide" in page(client, address)


@pytest.fixture
def rivals(garden: Garden, batch: Sticking, grower: Member, volunteer: Member, now: datetime) -> list[str]:
    """Two first looks from two phones, neither knowing of the other."""
    looks = []
    for by, on, n in ((grower, date(2025, 10, 15), 5), (volunteer, date(2025, 10, 16), 4)):
        look = services.record_look(
            garden=garden, by=by, now=now, batch="7K3F", on=on, n_rooted=n, n_lost=0, after=batch.entry_id
        )
        looks.append(look.entry_id)
    return looks


def test_two_first_looks_are_both_kept_and_the_later_counts_until_one_is_picked(
    client: Client, rivals: list[str]
) -> None:
    state = BatchState.rows.get()
    assert (state.n_rooted, state.flags) == (4, "two-looks-from-one")
    assert "/batches/7K3F/two-looks" in page(client, "/set-aside")
    assert "/batches/7K3F/two-looks" in page(client, "/batches/7K3F")
    told = page(client, "/batches/7K3F/two-looks")
    assert re.search(r"Rooted\s*<span class=\"tag\">.*?differs", told, re.DOTALL)
    for _twice in range(2):
        answer = client.post("/batches/7K3F/two-looks", {"look": rivals[0]})
        assert answer["Location"] == "/batches/7K3F"
    state.refresh_from_db()
    assert (state.n_rooted, state.flags) == (5, "")
    assert Withdrawal.rows.get().withdraws == rivals[1]
    assert "agree" in page(client, "/batches/7K3F/two-looks")
    taken_back = client.post("/batches/7K3F/two-looks", {"look": rivals[1]})
    assert taken_back.status_code == 422


def test_the_form_of_a_first_look_names_the_batch_itself(client: Client, batch: Sticking) -> None:
    assert f'name="after" value="{batch.entry_id}"' in page(client, "/batches/7K3F/look")


def file(*contents: Content, **more: Any) -> SimpleUploadedFile:
    records = [{"content": one, "sha256": sha256(one), "state": "saved"} for one in contents]
    told = {"v": 1, "records": records} | more
    return SimpleUploadedFile("kept.json", json.dumps(told).encode(), content_type="application/json")


def bring(client: Client, brought: SimpleUploadedFile) -> Any:
    return client.post("/sync/file", {"file": brought})


def test_a_phones_file_is_taken_in_as_by_who_recorded_each(
    client: Client, garden: Garden, batch: Sticking, reader: Member, grower: Member
) -> None:
    elsewhere = content(garden, "d") | {"garden": "8b0c1f0e-0000-4000-8000-000000000000"}
    sent = [
        content(garden, "a", n_rooted=1),
        content(garden, "b", by="grower", n_rooted=2),
        content(garden, "c", by="reader"),
        content(garden, "e", by="nobody"),
        elsewhere,
    ]
    told = bring(client, file(*sent)).content.decode()
    assert "5 records were in the file" in told
    assert "2 received" in told
    assert "2 set aside" in told
    assert "1 belongs to another garden" in told
    assert {look.entry_id: str(look.by) for look in Look.rows.all()} == {"a": "volunteer", "b": "grower"}
    assert set(SetAside.rows.values_list("entry_id", "by__member")) == {("c", "grower"), ("e", "grower")}
    assert Sending.rows.get().by == grower
    again = bring(client, file(*sent)).content.decode()
    assert "2 of them here before" in again
    assert (Look.rows.count(), SetAside.rows.count()) == (2, 2)


def test_what_is_no_file_of_a_phone_is_refused(
    client: Client, garden: Garden, as_member: Callable[[Member], Client], volunteer: Member
) -> None:
    assert client.post("/sync/file").status_code == 422
    for brought in (b"no", b"[]", b" " * 5_000_001):
        assert bring(client, SimpleUploadedFile("kept.json", brought)).status_code == 422
    assert bring(client, file(v=2)).status_code == 422
    assert bring(as_member(volunteer), file()).status_code == 403


def test_a_phone_whose_clock_was_out_is_named(client: Client, garden: Garden, grower: Member) -> None:
    at = datetime.now(UTC)
    kept = {"garden": garden, "by": grower, "received_at": at, "n_received": 1, "n_aside": 0}
    for skew in (60, -7200, 3 * 86400):
        Sending.rows.create(sent_at=at + timedelta(seconds=skew), skew_s=skew, **kept)
    told = page(client, "/set-aside")
    assert "2 hours slow" in told
    assert "3 days fast" in told
    assert "1 minute fast" not in told


def test_two_looks_whose_sums_hold_are_told_as_such_and_who_picks(
    rivals: list[str], volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    by_volunteer = as_member(volunteer)
    told = page(by_volunteer, "/batches/7K3F")
    assert "Two looks made without knowing of each other" in told
    assert "Does not add up" not in told
    assert re.search(r"As it counts now: 4 rooted, 0 lost", told)
    assert "A grower picks the look that stands." in told
    assert "two looks, pick one" in page(by_volunteer, "/batches")
    assert "does not add up" not in page(by_volunteer, "/batches")
