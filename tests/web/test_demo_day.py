"""The clock of a demonstration can be set on; that of a real garden cannot."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from slipwright.records.models import Garden

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


def test_a_real_garden_has_no_such_clock(client: Client, garden: Garden) -> None:
    assert client.post("/demo/day", {"days": "7"}).status_code == 409
    garden.refresh_from_db()
    assert garden.stands_on is None
    assert "/demo/day" not in client.get("/").content.decode()
