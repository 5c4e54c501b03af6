"""The clock of a demonstration can be set on; that of a real garden cannot."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from slipwright.records.models import Garden
from slipwright.web.views import demo_day

STOOD = date(2015, 10, 20)


@pytest.fixture
def demonstration(garden: Garden, monkeypatch: pytest.MonkeyPatch) -> Garden:
    """Give a garden whose clock stands."""
    monkeypatch.delenv("SLIPWRIGHT_TODAY", raising=False)
    garden.stands_on = STOOD
    garden.save()
    return garden


def test_a_week_on_is_a_week_on_everywhere(client: Client, demonstration: Garden) -> None:
    answer = client.post("/demo/day", {"days": "7"}, follow=True)
    demonstration.refresh_from_db()
    assert demonstration.stands_on == date(2015, 10, 27)
    assert "27 Oct 2015" in answer.content.decode()


@pytest.mark.parametrize("days", ["", "-7", "3", "a"])
def test_no_other_step_is_taken(client: Client, demonstration: Garden, days: str) -> None:
    assert client.post("/demo/day", {"days": days}).status_code == 409
    demonstration.refresh_from_db()
    assert demonstration.stands_on == STOOD


def test_it_ends_twenty_years_on_and_says_so(client: Client, demonstration: Garden) -> None:
    Garden.objects.update(stands_on=date(2035, 6, 1))
    assert client.post("/demo/day", {"days": "28"}).status_code == 409
    answer = client.post("/demo/day", {"days": "28"})
    assert "The clock of this demonstration ends in 2035." in answer.content.decode()
    demonstration.refresh_from_db()
    assert demonstration.stands_on == date(2035, 6, 1)
    assert client.post("/demo/day", {"days": "7"}).status_code == 302


@pytest.mark.parametrize(
    ("days", "stands_on", "said"),
    [
        ("3", STOOD, "In their tongue: The clock is set on by one of these numbers of days: 7, 28."),
        ("7", date(2035, 6, 12), "In their tongue: The clock of this demonstration ends in 2035."),
        ("7", None, "In their tongue: Only the clock of a demonstration can be set on."),
    ],
)
def test_why_it_stays_is_said_in_the_tongue_of_the_page(
    client: Client,
    demonstration: Garden,
    monkeypatch: pytest.MonkeyPatch,
    days: str,
    stands_on: date | None,
    said: str,
) -> None:
    monkeypatch.setattr(demo_day, "_", "In their tongue: {}".format)
    Garden.objects.update(stands_on=stands_on)
    assert said in client.post("/demo/day", {"days": days}).content.decode()


def test_a_real_garden_has_no_such_clock(client: Client, garden: Garden) -> None:
    assert client.post("/demo/day", {"days": "7"}).status_code == 409
    garden.refresh_from_db()
    assert garden.stands_on is None
    assert "/demo/day" not in client.get("/").content.decode()
