"""A programme that another version of the program made tells nothing, and is planned again."""

from __future__ import annotations

from datetime import datetime

import pytest
from django.test import Client

from slipwright.records.models import Garden, PlanState, SeasonPlan
from tests.web.season_content import content, kept_plan
from tests.web.test_season import page


def older(garden: Garden, now: datetime) -> SeasonPlan:
    return kept_plan(garden, now, {**content(), "version": 0, "weeks": [{}], "lines": [{}]}, used=True)


@pytest.mark.parametrize("at", ["/", "/wants", "/stick?plant=rose-gate", "/papers", "/garden/calendar.ics"])
def test_pages_stand_where_another_version_made_the_programme(
    client: Client, garden: Garden, now: datetime, at: str
) -> None:
    plan = older(garden, now)
    assert client.get(at).status_code == 200
    assert client.get(f"/stick?plan={plan.pk}&line=0&plant=rose-gate").status_code == 200


def test_one_that_another_version_made_is_to_be_planned_again_and_then_used(
    client: Client, garden: Garden, now: datetime
) -> None:
    before = older(garden, now)
    told = page(client)
    assert "This programme was made by another version" in told
    assert told.count('name="again"') == 1
    assert 'id="weeks"' not in told
    assert client.post("/season/ask", {"again": "1"}).status_code == 302
    SeasonPlan.rows.of(garden).filter(state=PlanState.ASKED).delete()
    anew = kept_plan(garden, now, before_id=before.pk)
    told = page(client)
    assert f'name="plan" value="{anew.pk}"' in told
    assert 'action="/season/use"' in told
    client.post("/season/use", {"plan": anew.pk, "in_use": before.pk})
    assert 'id="weeks"' in page(client)
