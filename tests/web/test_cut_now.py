"""Plants to cut from with a programme in use: it says which, and in which week."""

from __future__ import annotations

import re
from datetime import date, datetime
from html import unescape
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records.answers.round import round_of
from slipwright.records.answers.season_cut import BatchCut, free_on
from slipwright.records.models import Garden, Member, Plant, SeasonPlan, Want
from slipwright.records.packed_plan import packed_content
from slipwright.records.selectors import the_garden
from slipwright.records.services import edit_reference
from tests.records.making import stick
from tests.web.season_made import USED_AT, content, line

ON = date(2025, 10, 20)
LATER = {"week": "2025-11-10", "stick_on": "2025-11-12"}
LATE = {"week": "2025-10-13", "stick_on": "2025-10-15"}
CARD = '<a class="stake due" href="/plants/rose-gate">'


def in_use(garden: Garden, *lines: dict[str, Any], wants: bool = True) -> None:
    """Use a programme that was made for all that is wanted."""
    told = [
        {
            "want": one.want,
            "taxon": one.taxon.taxon,
            "n_wanted": one.n_wanted,
            "ready_by": one.ready_by.isoformat(),
            "ready_as": one.ready_as,
            "assurance": float(one.assurance),
            "state": "likely",
        }
        for one in Want.rows.of(garden).select_related("taxon")
    ]
    times: dict[str, Any] = {"asked_at": USED_AT, "made_at": USED_AT, "used_at": USED_AT}
    found = {**content(*lines), "wants": told if wants else []}
    plan = SeasonPlan.rows.create(
        garden=garden, on=ON, state="made", mark="0 whatever", content=packed_content(found), **times
    )
    Garden.objects.filter(pk=garden.pk).update(plan=plan)


def page(client: Client, address: str = "/") -> str:
    return unescape(re.sub(r"\s+", " ", client.get(address).content.decode()))


def cut_in_round() -> dict[str, str]:
    told = round_of(the_garden(None), load_handbook(), on=ON).as_json()
    return {act["plant"]: act["why"] for act in told["acts"] if act["act"] == "cut"}


def test_nothing_is_cut_for_a_want_that_the_programme_sticks_in_a_later_week(
    client: Client, garden: Garden
) -> None:
    assert CARD in page(client)
    in_use(garden, line(0, **LATER))
    shown = page(client)
    assert CARD not in shown
    assert "more rooted wanted" not in shown
    assert "to cut this week" not in page(client, "/plants")
    assert "rose-gate" not in cut_in_round()


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({}, "in this week’s programme; shoots: 43"),
        (LATE, "late for the programme; shoots: 43"),
        ({"shoots": []}, "in this week’s programme"),
    ],
)
def test_a_plant_of_this_weeks_lines_and_of_late_ones_is_to_be_cut(
    client: Client, garden: Garden, changes: dict[str, Any], why: str
) -> None:
    rose = Plant.rows.get(garden=garden, plant="rose-gate").taxon
    Plant.rows.create(garden=garden, plant="rose-shed", taxon=rose)
    in_use(garden, line(0, **changes), line(1, **LATER, plant="rose-shed", shoots=[]))
    shown = page(client)
    assert CARD in shown
    assert why in shown
    assert "/plants/rose-shed" not in shown
    assert "1 plant to cut this week:" in page(client, "/plants")
    assert "Cut this week" in page(client, "/plants/rose-gate")
    assert "Cut this week" not in page(client, "/plants/rose-shed")
    found = cut_in_round()
    assert found["rose-gate"] == why
    assert "rose-shed" not in found


def test_what_is_stuck_of_a_line_is_no_longer_to_be_cut(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    in_use(garden, line(0))
    stick(garden, grower, now, want="roses-27", wood="semi-hardwood", plant="rose-gate", n_stuck=120)
    assert CARD not in page(client)


@pytest.mark.parametrize("is_changed", [True, False])
def test_a_want_that_the_programme_does_not_know_keeps_the_quick_answer(
    client: Client, garden: Garden, owner: Member, now: datetime, *, is_changed: bool
) -> None:
    in_use(garden, line(0, **LATER), wants=is_changed)
    if is_changed:
        who: dict[str, Any] = {"garden": garden, "by": owner, "now": now}
        edit_reference(**who, table="wants", key=("roses-27",), changes={"n_wanted": 99})
    assert "more rooted wanted; " in page(client)
    assert "1 plant to cut this week:" in page(client, "/plants")


def test_a_programme_taken_into_use_after_the_round_was_told_counts_at_once(
    client: Client, garden: Garden
) -> None:
    assert CARD in page(client)
    with CaptureQueriesContext(connection) as before:
        assert CARD in page(client)
    in_use(garden, line(0, **LATER))
    assert CARD not in page(client)
    with CaptureQueriesContext(connection) as after:
        page(client)
    assert len(after) <= len(before) + 1


def test_a_plant_that_nobody_wants_may_be_cut_and_is_not_due(client: Client) -> None:
    shown = page(client)
    assert re.search(r'<a class="stake " href="/plants/sage-wall">.{0,400}May be cut', shown)


def test_shoots_are_free_a_year_after_enough_of_the_cuts() -> None:
    cuts = [
        BatchCut("c", date(2025, 9, 1), 10),
        BatchCut("b", date(2025, 6, 1), None),
        BatchCut("a", date(2025, 5, 1), 5),
    ]
    assert free_on(cuts, 15) == date(2026, 5, 1)
    assert free_on(cuts, 8) == date(2026, 9, 1)
    assert free_on(cuts, 0) is None
