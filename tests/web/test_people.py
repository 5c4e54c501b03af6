"""The people of a garden, the phones let in for them, and the half hour in which an owner is sure."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.models import Device, DoorEvent, Garden, Look, Member, OneTimeCode, User
from tests.records.making import stick
from tests.web.conftest import PASSWORD

pytestmark = pytest.mark.usefixtures("quick_hashes")

PHONE_OF_TAM = {"name": "Tam's phone"}


@pytest.fixture
def owned(owner: Member, as_member: Callable[[Member], Client]) -> Client:
    """Give the owner signed in by a password just now."""
    client = as_member(owner)
    assert owner.user is not None
    owner.user.set_password(PASSWORD)
    owner.user.save()
    client.logout()
    client.post("/sign-in", {"username": owner.user.username, "password": PASSWORD})
    return client


def later(client: Client, minutes: int = 31) -> None:
    """Let so many minutes pass since the password was typed."""
    session = client.session
    session["sure_at"] = (datetime.fromisoformat(session["sure_at"]) - timedelta(minutes=minutes)).isoformat()
    session.save()


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))


def new_phone(by: Client, member: Member) -> Client:
    """Let a phone in for a member, as the page and the phone do."""
    phone = Client(HTTP_HOST="127.0.0.1")
    assert phone.post(way_in(by, member), PHONE_OF_TAM)["Location"] == "/"
    return phone


def way_in(by: Client, member: Member) -> str:
    shown = by.post(f"/people/{member.pk}/phone").content.decode()
    found = re.search(r"http://127\.0\.0\.1(/pair/[0-9A-Z-]+)", shown)
    assert found, shown
    return found[1]


# --- members ------------------------------------------------------------------------------------------


def test_the_page_shows_everybody_with_role_and_way_in(owned: Client) -> None:
    page = text(owned.get("/people"))
    for said in ("owner", "grower", "volunteer", "reader", "Does not sign in yet", "with a password"):
        assert said in page


def test_the_owner_takes_somebody_in_and_gives_another_role(owned: Client, garden: Garden) -> None:
    owned.post("/people/new", {"member": "tam", "role": "volunteer", "shown_as": "Tam"})
    tam = Member.objects.get(garden=garden, member="tam")
    assert owned.post(f"/people/{tam.pk}/role", {"role": "grower"}).status_code == 302
    tam.refresh_from_db()
    assert tam.role == "grower"
    again = owned.post("/people/new", {"member": "tam", "role": "reader"})
    assert again.status_code == 422
    assert "is taken" in text(again)


@pytest.mark.parametrize("typed", [{"member": "tam"}, {"member": "tam", "role": "king"}, {"role": "reader"}])
def test_somebody_without_a_name_or_role_is_not_taken_in(typed: dict[str, str], owned: Client) -> None:
    assert owned.post("/people/new", typed).status_code == 422
    assert Member.objects.count() == 4


def test_the_last_owner_stays_one_and_is_not_shut_out(owned: Client, owner: Member) -> None:
    for address, typed in (("role", {"role": "reader"}), ("shut", {"shut": "out"})):
        answer = owned.post(f"/people/{owner.pk}/{address}", typed)
        assert answer.status_code == 422
        assert "at least one owner" in text(answer)
    owner.refresh_from_db()
    assert owner.role == "owner"
    assert owned.get("/people").status_code == 200


def test_an_owner_who_was_shut_out_is_no_other_owner(owned: Client, owner: Member, grower: Member) -> None:
    owned.post(f"/people/{grower.pk}/role", {"role": "owner"})
    owned.post(f"/people/{grower.pk}/shut", {"shut": "out"})
    assert owned.post(f"/people/{owner.pk}/role", {"role": "reader"}).status_code == 422


@pytest.mark.parametrize(("address", "typed"), [("role", {"role": "reader"}), ("shut", {"shut": "out"})])
def test_an_owner_nobody_signs_in_as_is_no_other_owner(
    address: str, typed: dict[str, str], owned: Client, owner: Member, garden: Garden
) -> None:
    other = Member.objects.create(garden=garden, member="ada", role="owner")
    answer = owned.post(f"/people/{owner.pk}/{address}", typed)
    assert answer.status_code == 422
    assert "Let another owner sign in first." in text(answer)
    assert owned.post(f"/people/{other.pk}/role", {"role": "reader"}).status_code == 302
    owned.post(f"/people/{other.pk}/role", {"role": "owner"})
    services.user_of_member(other)
    assert owned.post(f"/people/{owner.pk}/{address}", typed).status_code == 302


def test_a_role_counts_from_the_next_request_on(
    owned: Client, volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    theirs = as_member(volunteer)
    assert theirs.get("/stick").status_code == 200
    owned.post(f"/people/{volunteer.pk}/role", {"role": "reader"})
    assert theirs.get("/stick").status_code == 403


def test_shutting_out_ends_sessions_for_good(
    owned: Client, volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    theirs = as_member(volunteer)
    phone = new_phone(owned, volunteer)
    owned.post(f"/people/{volunteer.pk}/shut", {"shut": "out"})
    assert theirs.get("/garden").status_code == phone.get("/garden").status_code == 302
    assert "Shut out" in text(owned.get("/people"))
    owned.post(f"/people/{volunteer.pk}/shut", {"shut": "in"})
    assert theirs.get("/garden").status_code == phone.get("/garden").status_code == 302
    volunteer.refresh_from_db()
    assert volunteer.user is not None
    assert volunteer.user.is_active
    assert list(DoorEvent.objects.filter(what="member").values_list("told", flat=True)) == [
        "shut out: volunteer",
        "let back in: volunteer",
    ]


def test_who_belongs_to_another_garden_too_is_not_shut_out_of_that(
    owned: Client, volunteer: Member, garden: Garden
) -> None:
    user = services.user_of_member(volunteer)
    other = Garden.objects.create(name="Other", latitude_deg=1, longitude_deg=1, time_zone="UTC")
    Member.objects.create(garden=other, member="tam", role="owner", user=user)
    answer = owned.post(f"/people/{volunteer.pk}/shut", {"shut": "out"})
    assert answer.status_code == 422
    assert "another garden" in text(answer)
    user.refresh_from_db()
    assert user.is_active


def test_the_page_asks_the_database_twelve_times_at_most(owned: Client, garden: Garden) -> None:
    for n in range(20):
        member = Member.objects.create(garden=garden, member=f"v{n}", role="volunteer")
        now = datetime.now(UTC)
        Device.objects.create(garden=garden, member=member, made_at=now, ends_at=now + timedelta(days=9))
    with CaptureQueriesContext(connection) as asked:
        assert text(owned.get("/people")).count("Let out") == 20
    assert len(asked) <= 12


# --- phones -------------------------------------------------------------------------------------------


def test_a_phone_is_let_in_once_and_looking_spends_nothing(owned: Client, volunteer: Member) -> None:
    way = way_in(owned, volunteer)
    phone = Client(HTTP_HOST="127.0.0.1")
    for _ in range(2):
        page = text(phone.get(way))
        assert "record as volunteer in Saltmarsh Lane Community Garden" in page
    before = phone.session.session_key
    assert phone.post(way, PHONE_OF_TAM)["Location"] == "/"
    assert phone.session.session_key != before
    assert phone.session.get_expiry_age() == 180 * 24 * 3600
    assert phone.post(way)["Location"] == "/"  # pressed twice
    assert Client(HTTP_HOST="127.0.0.1").post(way).status_code == 422
    device = Device.objects.get()
    assert (device.name, device.member, device.made_by) == ("Tam's phone", volunteer, owned_by(owned))
    assert device.ends_at - device.made_at == timedelta(days=180)
    assert DoorEvent.objects.filter(what="phone-let-in", device=device).exists()
    assert "Tam&#x27;s phone" in owned.get("/people").content.decode()
    assert "Tam&#x27;s phone" in phone.get("/garden").content.decode()


def owned_by(client: Client) -> Member:
    return Member.objects.get(user=client.session["_auth_user_id"])


def test_a_code_is_good_for_ten_minutes_and_a_newer_one_ends_it(owned: Client, volunteer: Member) -> None:
    first, second = way_in(owned, volunteer), way_in(owned, volunteer)
    stranger = Client(HTTP_HOST="127.0.0.1")
    assert stranger.post(first).status_code == 422
    code = OneTimeCode.objects.get(spent_at=None, ends_at__gt=datetime.now(UTC))
    assert code.ends_at - code.made_at == timedelta(minutes=10)
    code.ends_at = datetime.now(UTC)
    code.save()
    assert stranger.get(second).status_code == 404
    assert stranger.post(second).status_code == 422


def test_whom_a_phone_may_be_let_in_for(
    owned: Client, client: Client, owner: Member, volunteer: Member, reader: Member
) -> None:
    assert client.post(f"/people/{volunteer.pk}/phone").status_code == 200
    for one, member in ((client, reader), (client, owner), (owned, owner)):
        assert one.post(f"/people/{member.pk}/phone").status_code == 403
    assert owned.post(f"/people/{reader.pk}/phone").status_code == 200


def test_a_code_of_somebody_who_may_not_let_in_any_more_is_worth_nothing(
    owned: Client, client: Client, grower: Member, volunteer: Member
) -> None:
    way = way_in(client, volunteer)
    owned.post(f"/people/{grower.pk}/role", {"role": "reader"})
    assert Client(HTTP_HOST="127.0.0.1").post(way).status_code == 422


def test_a_phone_records_and_does_nothing_else_whatever_the_role(
    owned: Client, grower: Member, garden: Garden, now: datetime
) -> None:
    batch = stick(garden, grower, now).batch
    phone = new_phone(owned, grower)
    look = {"entry_id": "0b0e6bb6-8d5f-4f6e-9d53-6a6b3b1f7b11", "on": "2025-10-20", "n_rooted": "1"}
    assert phone.post(f"/batches/{batch}/look", look).status_code == 302
    assert Look.rows.get().by == grower
    for address in ("/rows/plants/new", "/set-aside", "/people"):
        answer = phone.get(address)
        assert answer.status_code == 403
        assert "Not from this phone" in text(answer)
    assert phone.post("/password", {"password": PASSWORD}).status_code == 403
    grower.refresh_from_db()
    services.set_role(garden=garden, by=owned_by(owned), now=now, member=grower, role="owner")
    assert phone.get("/people").status_code == 403


def test_a_phone_of_a_full_session_keeps_nothing_of_it(owned: Client, grower: Member) -> None:
    way = way_in(owned, grower)
    key = owned.session.session_key
    assert owned.post(way)["Location"] == "/"
    assert owned.session.session_key != key
    assert "sure_at" not in owned.session
    assert owned.get("/people").status_code == 403


def test_a_phone_let_out_is_signed_out_at_its_next_request(owned: Client, volunteer: Member) -> None:
    phone = new_phone(owned, volunteer)
    device = Device.objects.get()
    assert owned.post(f"/phones/{device.device}/let-out", {"from": "people"})["Location"] == "/people"
    assert phone.get("/").status_code == 302
    assert phone.get("/sync").status_code == 401
    assert "sessionid" not in phone.session
    assert DoorEvent.objects.filter(what="phone-let-out").exists()
    assert "Tam" not in text(owned.get("/people"))


def test_a_phone_whose_days_are_over_is_signed_out(owned: Client, volunteer: Member) -> None:
    phone = new_phone(owned, volunteer)
    Device.objects.update(ends_at=datetime.now(UTC))
    assert phone.get("/").status_code == 302


def test_a_phone_that_signs_out_is_let_out(owned: Client, volunteer: Member) -> None:
    phone = new_phone(owned, volunteer)
    phone.post("/sign-out")
    assert Device.objects.get().ended_at is not None


def test_a_phone_is_seen_when_it_sends_and_not_when_it_reads(owned: Client, volunteer: Member) -> None:
    phone = new_phone(owned, volunteer)
    Device.objects.update(last_seen_at=None)
    phone.get("/garden")
    assert Device.objects.get().last_seen_at is None
    phone.post("/garden/look-of-page", {"look": ""})
    assert Device.objects.get().last_seen_at is not None


def test_a_phone_costs_one_query_a_page(owned: Client, volunteer: Member) -> None:
    phone, plain = new_phone(owned, volunteer), Client(HTTP_HOST="127.0.0.1")
    plain.force_login(User.objects.get(memberships=volunteer))
    counts = []
    for client in (plain, phone):
        client.get("/outbox")
        with CaptureQueriesContext(connection) as asked:
            client.get("/outbox")
        counts.append(len(asked))
    assert counts[1] - counts[0] <= 1


def test_a_new_password_lets_phones_out(owned: Client, grower: Member) -> None:
    phone = new_phone(owned, grower)
    theirs = Client(HTTP_HOST="127.0.0.1")
    theirs.force_login(User.objects.get(memberships=grower))
    assert theirs.post("/password", {"password": PASSWORD}).status_code == 302  # there was none
    assert phone.get("/").status_code == 302
    assert Device.objects.get().ended_at is not None
    assert theirs.post("/password", {"password": "another one 8"}).status_code == 422
    assert theirs.post("/password", {"old": PASSWORD, "password": "another one 8"}).status_code == 302


def test_signing_out_ends_this_session_and_where_asked_every_other(
    volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    here = as_member(volunteer)
    user = User.objects.get(memberships=volunteer)
    there, third = Client(HTTP_HOST="127.0.0.1"), Client(HTTP_HOST="127.0.0.1")
    for one in (there, third):
        one.force_login(user)
    kept = here.cookies.copy()
    here.post("/sign-out")
    here.cookies = kept
    assert here.get("/garden").status_code == 302  # the old id is dead
    assert there.get("/garden").status_code == 200
    there.post("/sign-out", {"everywhere": "1"})
    assert third.get("/garden").status_code == 302


def test_signing_out_over_https_clears_kept_pages_and_never_what_waits_to_be_sent(client: Client) -> None:
    assert "Clear-Site-Data" not in client.post("/sign-out").headers
    assert client.post("/sign-out", secure=True)["Clear-Site-Data"] == '"cache"'


# --- sure ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("/people/new", {"member": "tam", "role": "reader"}),
        ("/garden/tables.zip", {}),
        ("/garden/instruments", {"name": "glass"}),
        ("/rows/garden/row", {"name": "Another"}),
        ("/rows/members/new", {"member": "tam", "role": "reader"}),
    ],
)
def test_acts_of_weight_ask_for_the_password_after_half_an_hour(
    address: str, typed: dict[str, str], owned: Client
) -> None:
    later(owned)
    asked = owned.post(address, typed)
    assert asked.status_code == 403
    assert "Is it you?" in text(asked)
    page = asked.content.decode()
    for name, value in typed.items():
        assert f'name="{name}" value="{value}"' in page
    key = owned.session.session_key
    assert owned.post(address, typed | {"sure_password": "not it"}).status_code == 403
    for again in (typed | {"sure_password": PASSWORD}, typed):
        answer = owned.post(address, again)
        assert answer.status_code in (200, 302, 422)
        answer.close()
    assert owned.session.session_key != key


def test_the_page_that_asks_leads_back_and_to_these_pages_only(owned: Client) -> None:
    later(owned)
    wrong = owned.post("/sure", {"next": "/people", "sure_password": "not it"})
    assert wrong.status_code == 422
    assert owned.post("/sure", {"next": "/people", "sure_password": PASSWORD})["Location"] == "/people"
    assert owned.post("/people/new", {"member": "tam", "role": "reader"}).status_code == 302
    away = {"next": "//elsewhere.example", "sure_password": PASSWORD}
    assert owned.post("/sure", away)["Location"] == "/"


def test_a_link_from_the_machine_is_proof_for_half_an_hour(owner: Member) -> None:
    user = services.user_of_member(owner)
    code = services.make_code(purpose="sign-in", user=user, now=datetime.now(UTC), minutes=10)
    client = Client(HTTP_HOST="127.0.0.1")
    client.post(f"/let-in/{code}")
    assert client.post("/people/new", {"member": "tam", "role": "reader"}).status_code == 302
    later(client)
    asked = client.post("/people/new", {"member": "kit", "role": "reader"})
    assert asked.status_code == 403
    assert "slipwright let-in owner" in text(asked)
    assert list(DoorEvent.objects.values_list("what", flat=True)) == ["let-in"]


def test_a_code_that_was_shown_and_not_used_lets_nobody_in_yet(owned: Client, volunteer: Member) -> None:
    way_in(owned, volunteer)
    assert "A code was shown; not used yet." in text(owned.get("/people"))
