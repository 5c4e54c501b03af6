"""The page of the season that tells what was refused leads on, though it stands at the address of a form."""

from __future__ import annotations

import re
from datetime import datetime
from html import unescape
from typing import Any

import pytest
from django.test import Client

from slipwright.records.models import Garden, PlanState
from tests.web.season_content import content, kept_plan

REFUSED = {"kind": "hours", "more_h": "much"}


@pytest.fixture
def refused(client: Client, garden: Garden, now: datetime) -> str:
    """Give the page that refuses a change, with more wants and weeks than it shows at once."""
    kept_plan(garden, now, content(wants=40, lines=40), used=True)
    kept_plan(garden, now, state=PlanState.RUNNING, content=None)
    return _page(client.post("/season/ask", REFUSED), 422)


def _page(answer: Any, status: int = 200) -> str:
    assert answer.status_code == status
    return unescape(answer.content.decode())


def test_every_link_of_it_is_answered(client: Client, refused: str) -> None:
    inside = refused[refused.index("<main") : refused.index("</main>")]
    asked = [
        link for link in re.findall(r'<a [^>]*href="([^"#]+)', inside) if link.startswith(("/season", "?"))
    ]
    assert "/season?wants=2" in asked
    assert [link for link in asked if link.startswith("/season?from=")]
    assert [link for link in asked if link.startswith("?")] == []


def test_what_waits_for_the_programme_asks_for_the_page_of_the_season(refused: str) -> None:
    assert 'data-season-at="/season"' in refused
    assert 'http-equiv="refresh" content="3; url=/season"' in refused


def test_the_page_itself_is_asked_for_again_as_it_was(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, used=True)
    other = kept_plan(garden, now)
    kept_plan(garden, now, state=PlanState.RUNNING, content=None)
    told = _page(client.get(f"/season?plan={other.pk}&wants=1"))
    assert f'data-season-at="/season?plan={other.pk}&wants=1"' in told


def test_season_is_where_one_is_after_another_was_used(client: Client, garden: Garden, now: datetime) -> None:
    before = kept_plan(garden, now, used=True)
    mine, theirs = kept_plan(garden, now, before=before), kept_plan(garden, now, before=before)
    client.post("/season/use", {"plan": theirs.pk, "in_use": before.pk})
    told = _page(client.post("/season/use", {"plan": mine.pk, "in_use": before.pk}), 409)
    assert 'href="/season" aria-current="page"' in told
