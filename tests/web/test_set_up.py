"""The first run."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.models import Garden, Member, OneTimeCode, Place, Plant, Taxon, User
from tests.databases import Database
from tests.web.conftest import PASSWORD

pytestmark = pytest.mark.usefixtures("quick_hashes")

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


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))


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
    assert (plant.plant, plant.taxon.taxon) == ("Rosemary", "Salvia rosmarinus")
    assert plant.place is None  # step 3 is where cuttings stand; nobody said where the plant does
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
