"""Signing in and out, and ways in by a code."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.models import Garden, Member, User
from tests.web.conftest import PASSWORD

pytestmark = pytest.mark.usefixtures("quick_hashes")


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))


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
    assert wrong == answered("nobody", PASSWORD)


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
    said = answers.pop()
    assert "has run out" in said
    assert "Come in" not in said, "a button that cannot let in any more"
    assert stranger.get("/garden").status_code == 302


def test_whoever_came_in_by_a_code_is_told_where_the_next_one_is_got(orla: User, stranger: Client) -> None:
    assert "Ask a grower or owner to show you a new one" in text(stranger.get("/sign-in"))


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
    assert again not in text(stranger.get("/let-in/still-to-press")), "whoever holds a link needs no other"
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
