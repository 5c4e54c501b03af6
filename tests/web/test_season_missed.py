"""Weeks that were missed, and programmes that wait: the head of the page says how things stand now."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from slipwright.records.models import Garden, Member, Want
from tests.web.season_content import MONDAY, content, kept_plan, line_told, want_told
from tests.web.test_season import of_line, page

OVER = {"opens_on": "2025-08-01", "closes_on": "2025-10-15"}


def missed(**values: Any) -> dict[str, Any]:
    """What is told of two likely wants; the wood for the first is over."""
    wants = [want_told(i, want=want, state="likely") for i, want in enumerate(("roses-27", "roses-28"))]
    week = MONDAY - timedelta(weeks=2)
    lines = [line_told(0, week, window=OVER), line_told(1, MONDAY, want="roses-28")]
    return content() | {"wants": wants, "lines": lines} | values


def test_what_was_missed_is_said_under_the_heading_and_no_promise_stands(
    client: Client, garden: Garden, now: datetime
) -> None:
    kept_plan(garden, now, missed(), used=True)
    told = page(client)
    said = "1 batch was not stuck and its wood is over: what was promised for roses-27 no longer holds."
    assert told.index("</h1>") < told.index(said) < told.index('id="now"')
    assert "<strong>2 could be promised when planned on 20 Oct</strong>" in told
    assert "can be promised" not in told
    first, second = told.split('<li class="want" id="want-')[1:3]
    assert '#caution"/></svg> Not stuck in time</span>' in first
    assert "Likely</span> when planned on 20 Oct" in first
    assert "Not stuck in time" not in second
    assert "when planned" not in second


def test_with_nothing_missed_the_promise_stands(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, missed(), used=True)
    of_line(garden, grower, now, stuck_on=MONDAY - timedelta(weeks=1))
    told = page(client)
    assert "<strong>2 can be promised</strong>" in told
    assert "no longer holds" not in told
    assert "Not stuck in time" not in told


def test_of_a_want_that_is_gone_nothing_was_promised(client: Client, garden: Garden, now: datetime) -> None:
    kept_plan(garden, now, missed(), used=True)
    Want.rows.of(garden).filter(want="roses-27").delete()
    assert "no longer holds" not in page(client)


def test_wants_past_their_day_are_counted_alike_at_the_head_and_in_the_list(
    client: Client, garden: Garden, now: datetime
) -> None:
    yesterday = (MONDAY - timedelta(days=1)).isoformat()
    wants = [
        want_told(want="w-1", state="past", ready_by=yesterday),
        want_told(want="w-2", state="likely", ready_by=yesterday),
        want_told(want="w-3", state="likely"),
    ]
    kept_plan(garden, now, content() | {"wants": wants, "lines": []}, used=True)
    told = page(client)
    assert "<strong>1 can be promised</strong>, 2 past their day." in told
    assert "2 whose day is past" in told


def test_with_nothing_left_to_stick_no_sheet_is_offered(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    kept_plan(garden, now, content() | {"lines": [line_told()]}, used=True)
    told = page(client)
    assert 'href="/season/collecting.pdf"' in told
    assert 'href="/season/crew.pdf"' in told
    of_line(garden, grower, now)
    told = page(client)
    assert ".pdf" not in told
    assert 'href="/season/programme.csv"' in told


def test_those_that_wait_are_told_by_their_day_and_time(
    client: Client, garden: Garden, now: datetime
) -> None:
    before = kept_plan(garden, now, used=True)
    Garden.objects.filter(pk=garden.pk).update(time_zone="America/New_York")
    one = kept_plan(garden, datetime.fromisoformat("2025-10-20T14:05:00+00:00"), before=before)
    kept_plan(garden, now, before=before, change={"kind": "hours", "more_h": 2.0})
    assert f'href="/season?plan={one.pk}">planned again 20 Oct, 10:05</a>' in page(client)


@pytest.mark.parametrize(
    ("to", "said"),
    [
        (date(2025, 12, 29), "of rose-gate in the week of 20 Oct → 24 of rose-gate in the week of 29 Dec"),
        (date(2026, 1, 5), "in the week of 20 Oct 2025 → 24 of rose-gate in the week of 5 Jan 2026"),
    ],
)
def test_a_week_moved_to_another_year_is_told_with_it(
    client: Client, garden: Garden, now: datetime, to: date, said: str
) -> None:
    before = kept_plan(garden, now, used=True)
    moved = {"want": "roses-27", "kind": "moved", "was": line_told(), "now": line_told(0, to), "why": ""}
    kept_plan(garden, now, content() | {"diff": [moved]}, before=before)
    assert said in page(client)
