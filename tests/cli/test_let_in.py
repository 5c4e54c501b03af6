"""Letting a member in from the machine itself."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from slipwright.records.models import Member, User

#: the pages that a link leads to name style sheets
pytestmark = pytest.mark.usefixtures("gathered_files")


def test_the_link_signs_the_member_in_once(example: Path, answer: Callable[..., Any]) -> None:
    before = datetime.now(UTC)
    told = answer("let-in", "let-in", "bea", "--minutes", "60", "--address", "https://garden.example/")
    assert (told["member"], told["role"], told["username"]) == ("bea", "volunteer", "bea")
    assert told["link"].startswith("https://garden.example/let-in/")
    ends = datetime.fromisoformat(told["ends_at"])
    assert abs(ends - before - timedelta(minutes=60)) < timedelta(seconds=30)
    member = Member.objects.select_related("user").get(member="bea")
    assert member.user is not None
    assert not member.user.has_usable_password()
    path = told["link"].removeprefix("https://garden.example")
    client = Client(HTTP_HOST="127.0.0.1")
    assert client.post(path)["Location"] == "/"
    assert client.session["_auth_user_id"] == str(member.user.pk)
    assert Client(HTTP_HOST="127.0.0.1").post(path).status_code == 422


def test_a_second_link_is_for_the_same_person_and_ends_the_first(
    example: Path, answer: Callable[..., Any]
) -> None:
    first, second = (answer("let-in", "let-in", "bea")["link"] for _ in range(2))
    assert User.objects.count() == 1
    stranger = Client(HTTP_HOST="127.0.0.1")
    assert stranger.post(first.removeprefix("http://127.0.0.1:8000")).status_code == 422
    assert stranger.post(second.removeprefix("http://127.0.0.1:8000")).status_code == 302


def test_a_sign_in_name_that_is_taken_is_numbered_and_its_person_left_alone(
    example: Path, answer: Callable[..., Any]
) -> None:
    other = User.objects.create(username="bea")
    assert answer("let-in", "let-in", "bea")["username"] == "bea-2"
    assert not other.memberships.exists()


def test_in_words_it_says_for_whom_and_how_long(example: Path, run: Callable[..., Any]) -> None:
    told = run("let-in", "bea").output
    assert "Bea, Thursdays, volunteer, comes in here, once, within 30 minutes: http://127.0.0.1:8000/" in told


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["nobody"], "no member 'nobody'"),
        (["bea", "--minutes", "0"], "minutes"),
        (["bea", "--address", "garden"], "--address garden"),
    ],
)
def test_what_will_not_do_is_refused_and_makes_nobody(
    example: Path, run: Callable[..., Any], asked: list[str], said: str
) -> None:
    assert said in run("let-in", *asked, code=2).output
    assert not User.objects.exists()


def test_whoever_was_shut_out_gets_no_link(example: Path, run: Callable[..., Any]) -> None:
    user = User.objects.create(username="bea", is_active=False)
    Member.objects.filter(member="bea").update(user=user)
    assert "shut out" in run("let-in", "bea", code=2).output
