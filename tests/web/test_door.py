"""The first run, signing in and out, and ways in by a code."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client, override_settings

from slipwright.records import services
from slipwright.records.models import Garden, Member, OneTimeCode, Place, Plant, Taxon, User
from tests.databases import Database

PASSWORD = "heel and mallet 7"
FIRST = {
    "name": "Saltmarsh Lane Community Garden",
    "latitude": "41,2",
    "latitude_side": "N",
    "longitude": "70.1",
    "longitude_side": "W",
    "time_zone": "America/New_York",
    "units": "metric",
    "shown_as": "Orla",
    "username": "orla",
    "password": PASSWORD,
    "place": "Tent 1",
    "kind": "shelf",
    "cover": "tent",
    "plant": "Rosemary",
    "rights": "unknown",
}


@pytest.fixture(autouse=True)
def _quick_hashes() -> Iterator[None]:
    """Hash passwords quickly: how slow the real hash is, is Django's to test."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture
def stranger() -> Client:
    return Client(HTTP_HOST="127.0.0.1")


@pytest.fixture
def code(database: Database) -> str:
    return services.make_code(purpose="set-up", now=datetime.now(UTC), minutes=60)


@pytest.fixture
def orla(garden: Garden, owner: Member) -> User:
    user = User.objects.create_user("orla", password=PASSWORD)
    owner.user = user
    owner.save()
    return user


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))


# --- the first run ------------------------------------------------------------------------------------


def test_a_bare_machine_leads_to_the_first_run(database: Database, stranger: Client) -> None:
    assert stranger.get("/")["Location"] == "/set-up"
    assert stranger.get("/sign-in")["Location"] == "/set-up"
    page = stranger.get("/set-up").content.decode()
    for name in ("code", "name", "latitude", "time_zone", "username", "password", "place", "plant"):
        assert f'name="{name}"' in page
    assert "Europe/Lisbon" in page
    assert len(page) < 60_000


def test_four_steps_make_a_garden_and_lead_to_sticking(code: str, stranger: Client) -> None:
    answer = stranger.post("/set-up", FIRST | {"code": f" {code[:4].lower()}-{code[4:].lower()}"})
    assert answer["Location"] == "/stick"
    member = Member.objects.select_related("garden", "user").get()
    assert (member.role, member.member, str(member)) == ("owner", "orla", "Orla")
    assert member.garden.latitude_deg == Decimal("41.2")
    assert member.garden.longitude_deg == Decimal("-70.1")
    assert member.user is not None
    assert member.user.check_password(PASSWORD)
    assert Place.rows.get().cover == "tent"
    plant = Plant.rows.select_related("taxon", "place").get()
    assert (plant.plant, plant.taxon.taxon, plant.place.place) == ("Rosemary", "Salvia rosmarinus", "Tent 1")
    assert plant.taxon.rights == "unknown"
    assert plant.taxon.common_name == "Rosemary"
    assert stranger.get("/garden").status_code == 200


def test_place_and_plant_may_wait(code: str, stranger: Client) -> None:
    answer = stranger.post("/set-up", FIRST | {"code": code, "place": "", "plant": ""})
    assert answer.status_code == 302
    assert not Place.rows.exists()
    assert not Taxon.rows.exists()


def test_a_plain_name_finds_the_botanical_one_and_shows_the_older(
    database: Database, stranger: Client
) -> None:
    answer = stranger.post("/set-up", FIRST | {"code": "", "password": PASSWORD, "find": "1"})
    assert answer.status_code == 200
    assert "Salvia rosmarinus" in text(answer)
    assert "was Rosmarinus officinalis" in text(answer)
    assert 'value="Tent 1"' in answer.content.decode()
    assert PASSWORD not in answer.content.decode()
    assert not User.objects.exists()


def test_a_name_that_could_be_several_is_asked_back_and_saves_nothing(code: str, stranger: Client) -> None:
    several = FIRST | {"code": code, "plant": "lav"}
    answer = stranger.post("/set-up", several)
    assert answer.status_code == 422
    assert "say which plant is meant" in text(answer)
    assert not User.objects.exists()
    chosen = {"asked_for": "lav", "taxon": "Lavandula pinnata"}
    assert stranger.post("/set-up", several | chosen).status_code == 302
    assert Taxon.rows.get().taxon == "Lavandula pinnata"


def test_a_choice_for_another_name_is_not_taken(code: str, stranger: Client) -> None:
    stale = {"code": code, "asked_for": "Lavender", "taxon": "as-written"}
    assert stranger.post("/set-up", FIRST | stale).status_code == 302
    assert Taxon.rows.get().taxon == "Salvia rosmarinus"


def test_a_plant_may_be_written_as_its_owner_knows_it(code: str, stranger: Client) -> None:
    known = {"code": code, "plant": "Rosmarinus officinalis", "asked_for": "Rosmarinus officinalis"}
    assert stranger.post("/set-up", FIRST | known | {"taxon": "as-written"}).status_code == 302
    assert Taxon.rows.get().taxon == "Rosmarinus officinalis"


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"code": "00000000"}, "not known, was used already, or has run out"),
        ({"latitude": "141"}, "Latitude: must be between 0 and 90"),
        ({"longitude": ""}, "Longitude: must be given"),
        ({"time_zone": "Middle/Earth"}, "Time zone: must be one of the choices"),
        ({"name": ""}, "Name of the garden: must be given"),
        ({"password": "short"}, "Password: "),
        ({"password": "password123"}, "too common"),
        ({"username": "two words"}, "Sign-in name: must be letters"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_saved(
    wrong: dict[str, str], said: str, code: str, stranger: Client
) -> None:
    answer = stranger.post("/set-up", FIRST | {"code": code} | wrong)
    assert answer.status_code == 422
    assert said in text(answer)
    assert 'value="Tent 1"' in answer.content.decode()
    assert not User.objects.exists()
    assert not Garden.objects.exists()
    assert OneTimeCode.objects.get().spent_at is None


def test_once_somebody_is_in_charge_there_is_no_first_run(orla: User, stranger: Client) -> None:
    assert stranger.get("/set-up").status_code == 404
    assert stranger.post("/set-up", FIRST | {"username": "eve"}).status_code == 404


def test_a_second_press_goes_where_the_first_went(code: str, stranger: Client) -> None:
    again = Client(HTTP_HOST="127.0.0.1")
    assert stranger.post("/set-up", FIRST | {"code": code}).status_code == 302
    assert again.post("/set-up", FIRST | {"code": code})["Location"] == "/stick"
    assert User.objects.count() == Garden.objects.count() == 1


def test_who_loaded_tables_says_who_they_are_in_them(garden: Garden, code: str, stranger: Client) -> None:
    page = stranger.get("/set-up").content.decode()
    owner = Member.objects.get(role="owner")
    assert f'name="owner" value="{owner.pk}"' in page
    assert 'name="latitude"' not in page
    mine = {"code": code, "username": "orla", "password": PASSWORD}
    grower = Member.objects.get(role="grower")
    assert stranger.post("/set-up", mine | {"owner": grower.pk}).status_code == 422
    assert stranger.post("/set-up", mine | {"owner": owner.pk})["Location"] == "/stick"
    assert Member.objects.get(role="owner").user.username == "orla"  # type: ignore[union-attr]
    assert Garden.objects.count() == 1


# --- in and out ---------------------------------------------------------------------------------------


def test_signing_in_leads_on_and_makes_a_new_session(orla: User, stranger: Client) -> None:
    before = stranger.session
    before["garden"] = 0
    before.save()
    answer = stranger.post("/sign-in", {"username": " orla ", "password": PASSWORD, "next": "/batches"})
    assert answer["Location"] == "/batches"
    assert stranger.session.session_key != before.session_key
    assert stranger.get("/garden").status_code == 200


@pytest.mark.parametrize(
    "onward", ["https://elsewhere.example/", "//elsewhere.example", "elsewhere", "/\\e.example"]
)
def test_signing_in_leads_to_these_pages_only(onward: str, orla: User, stranger: Client) -> None:
    answer = stranger.post("/sign-in", {"username": "orla", "password": PASSWORD, "next": onward})
    assert answer["Location"] == "/"


def test_an_unknown_name_and_a_wrong_password_are_answered_alike(orla: User, stranger: Client) -> None:
    def answered(username: str, password: str) -> tuple[int, str]:
        answer = stranger.post("/sign-in", {"username": username, "password": password})
        return answer.status_code, text(answer)

    wrong = answered("orla", "not it at all")
    assert wrong[0] == 422
    assert wrong == answered("nobody", PASSWORD) == answered("nobody\0", "x\0")


def test_passwords_may_be_pasted_and_are_not_sent_back(orla: User, stranger: Client) -> None:
    page = stranger.post("/sign-in", {"username": "orla", "password": "once typed"}).content.decode()
    assert 'autocomplete="current-password"' in page
    assert "onpaste" not in page
    assert "once typed" not in page


def test_signing_out_is_a_press_of_a_button(client: Client) -> None:
    assert client.get("/sign-out").status_code == 405
    assert client.get("/garden").status_code == 200
    assert client.post("/sign-out").status_code == 302
    assert client.get("/garden").status_code == 302


def test_forms_of_strangers_carry_a_token(orla: User) -> None:
    strict = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    assert strict.post("/sign-in", {"username": "orla", "password": PASSWORD}).status_code == 403


def test_looking_at_a_way_in_does_not_spend_it(orla: User, stranger: Client) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=datetime.now(UTC), minutes=10)
    for _ in range(2):
        assert "Come in" in text(stranger.get(f"/let-in/{code}"))
    assert stranger.get("/garden").status_code == 302
    assert stranger.post(f"/let-in/{code}")["Location"] == "/"
    assert stranger.get("/garden").status_code == 200


def test_a_way_in_works_once_and_not_for_ever(orla: User, stranger: Client) -> None:
    now = datetime.now(UTC)
    spent = services.make_code(purpose="sign-in", user=orla, now=now, minutes=10)
    services.spend_code(purpose="sign-in", code=spent, now=now)
    late = services.make_code(purpose="sign-in", user=orla, now=now - timedelta(hours=1), minutes=10)
    answers = {text(stranger.post(f"/let-in/{code}")) for code in (spent, late, "never-was")}
    assert len(answers) == 1
    assert "has run out" in answers.pop()
    assert stranger.get("/garden").status_code == 302


def test_somebody_of_no_garden_is_told_so(garden: Garden, stranger: Client) -> None:
    stranger.force_login(User.objects.create_user("new", password=PASSWORD))
    answer = stranger.get("/garden", follow=True)
    assert "belong to no garden yet" in text(answer)


def test_a_way_in_of_somebody_shut_out_leads_nowhere(orla: User, stranger: Client) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=datetime.now(UTC), minutes=10)
    orla.is_active = False
    orla.save()
    assert stranger.post(f"/let-in/{code}").status_code == 422


def test_pages_of_the_door_are_kept_by_no_browser(orla: User, stranger: Client) -> None:
    assert "no-store" in stranger.get("/sign-in")["Cache-Control"]


def test_a_demonstration_tells_how_to_come_in_again(garden: Garden, orla: User, stranger: Client) -> None:
    inside = Client(HTTP_HOST="127.0.0.1")
    inside.force_login(orla)
    again = "slipwright demo --serve"
    assert again not in text(stranger.get("/sign-in"))
    assert again not in text(inside.get("/garden"))
    garden.stands_on = date(2025, 10, 20)
    garden.save()
    assert again in text(inside.get("/garden"))
    assert again in text(stranger.get("/sign-in"))
    assert again in text(stranger.post("/let-in/never-was"))
    assert again in text(stranger.post("/sign-in", {"username": "orla", "password": "not it"}))


# --- a new password, and a way back after a lost one --------------------------------------------------


def test_a_new_password_is_kept_and_this_device_stays_signed_in(orla: User) -> None:
    here, there = Client(HTTP_HOST="127.0.0.1"), Client(HTTP_HOST="127.0.0.1")
    for device in (here, there):
        device.force_login(orla)
    new = {"old": PASSWORD, "password": "mallet and heel 9"}
    assert here.post("/password", new)["Location"] == "/garden"
    orla.refresh_from_db()
    assert orla.check_password("mallet and heel 9")
    assert "The new password is kept." in text(here.get("/garden"))
    assert there.get("/garden").status_code == 302


@pytest.mark.parametrize(
    ("password", "said"), [("short", "Password: "), ("password123", "too common"), ("", "")]
)
def test_a_weak_password_is_not_kept(orla: User, password: str, said: str) -> None:
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(orla)
    answer = client.post("/password", {"old": PASSWORD, "password": password})
    assert answer.status_code == 422
    assert said in text(answer)
    orla.refresh_from_db()
    assert orla.check_password(PASSWORD)
    assert client.get("/garden").status_code == 200


def test_strangers_set_no_password(orla: User, stranger: Client) -> None:
    assert stranger.post("/password", {"password": "mallet and heel 9"})["Location"].startswith("/sign-in")
    assert stranger.get("/password").status_code == 405


def test_the_garden_page_tells_owners_only_how_to_let_another_in(orla: User, grower: Member) -> None:
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(orla)
    assert "slipwright let-in MEMBER" in text(client.get("/garden"))
    tam = User.objects.create(username="tam")
    grower.user = tam
    grower.save()
    client.force_login(tam)
    page = text(client.get("/garden"))
    assert "let-in" not in page
    assert "It goes with the sign-in name tam." in page


def test_a_stranger_comes_back_to_the_whole_address_after_signing_in(orla: User, stranger: Client) -> None:
    asked = "/labels?b=K7Q2&stock=a4"
    way = stranger.get(asked)["Location"]
    assert way == "/sign-in?next=/labels%3Fb%3DK7Q2%26stock%3Da4"
    assert 'value="/labels?b=K7Q2&amp;stock=a4"' in stranger.get(way).content.decode()


# --- pressed twice, and let in before any owner -------------------------------------------------------


def test_a_way_in_pressed_twice_leads_the_same_browser_on_and_no_other(orla: User, stranger: Client) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=datetime.now(UTC), minutes=10)
    for _ in range(2):
        assert stranger.post(f"/let-in/{code}")["Location"] == "/"
    assert stranger.get(f"/let-in/{code}")["Location"] == "/"
    assert Client(HTTP_HOST="127.0.0.1").post(f"/let-in/{code}").status_code == 422


def test_somebody_signed_in_is_not_led_on_by_anothers_spent_way_in(
    orla: User, client: Client, stranger: Client
) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=datetime.now(UTC), minutes=10)
    stranger.post(f"/let-in/{code}")
    assert client.post(f"/let-in/{code}").status_code == 422


def test_who_signed_out_is_not_let_in_by_a_spent_way_in(orla: User, stranger: Client) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=datetime.now(UTC), minutes=10)
    stranger.post(f"/let-in/{code}")
    stranger.post("/sign-out")
    assert stranger.post(f"/let-in/{code}").status_code == 422


def test_who_is_signed_in_goes_from_the_first_run_to_today(orla: User, stranger: Client) -> None:
    stranger.force_login(orla)
    assert stranger.get("/set-up")["Location"] == "/"
    assert stranger.post("/set-up", FIRST | {"username": "", "password": ""})["Location"] == "/"


@pytest.fixture
def volunteer_first(garden: Garden, volunteer: Member) -> User:
    """Let a volunteer in before any owner."""
    user = services.user_of_member(volunteer)
    services.set_password(user=user, password=PASSWORD)
    return user


def test_a_volunteer_let_in_first_does_not_shut_the_first_run(
    volunteer_first: User, code: str, stranger: Client
) -> None:
    assert stranger.get("/set-up").status_code == 200
    owner = Member.objects.get(role="owner")
    mine = {"code": code, "username": "orla", "password": PASSWORD, "owner": owner.pk}
    assert stranger.post("/set-up", mine)["Location"] == "/stick"
    assert Client(HTTP_HOST="127.0.0.1").get("/set-up").status_code == 404


def test_a_volunteer_let_in_first_can_sign_in_and_an_owner_finds_the_first_run(
    volunteer_first: User, stranger: Client
) -> None:
    page = stranger.get("/sign-in").content.decode()
    assert 'href="/set-up"' in page
    answer = stranger.post("/sign-in", {"username": volunteer_first.username, "password": PASSWORD})
    assert answer["Location"] == "/"


def test_a_name_a_volunteer_has_already_is_asked_for_anew(
    volunteer_first: User, code: str, stranger: Client
) -> None:
    owner = Member.objects.get(role="owner")
    mine = {"code": code, "username": volunteer_first.username, "password": PASSWORD, "owner": owner.pk}
    answer = stranger.post("/set-up", mine)
    assert answer.status_code == 422
    assert "Sign-in name: is taken" in text(answer)
    assert OneTimeCode.objects.get().spent_at is None


def test_once_an_owner_is_in_charge_the_page_for_signing_in_names_no_first_run(
    orla: User, stranger: Client
) -> None:
    assert "/set-up" not in stranger.get("/sign-in").content.decode()
