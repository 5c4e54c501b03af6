"""What a want still needs."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from slipwright.advice.advise import advise
from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.papers import sheet_for
from slipwright.records.answers.wants import Need, asked_for, in_time, needs_of
from slipwright.records.errors import Refused
from slipwright.records.models import Garden, Member, Want
from slipwright.records.selectors import WantNow, wants
from tests.records.making import stick

ON = date(2025, 10, 15)
ROSE = "Rosa 'Pale Ferry'"


def _need(garden: Garden, on: date = ON) -> Need:
    (need,) = needs_of(garden, load_handbook(), on=on)
    return need


def test_a_stage_beyond_rooting_takes_more_rooted_cuttings(garden: Garden) -> None:
    page = load_handbook().page_of(ROSE)
    assert page is not None
    assert page.survive_percent is not None
    need = _need(garden)
    assert need.want.ready_as == "established"
    assert page.survive_percent.p50 / 100 < need.survive < 1
    assert need.n_rooted_needed > 40
    Want.rows.of(garden).update(ready_as="finished")
    assert _need(garden).survive == pytest.approx(page.survive_percent.p50 / 100)
    Want.rows.of(garden).update(ready_as="rooted")
    assert _need(garden).n_rooted_needed == 40


def test_what_waits_counts_by_its_forecast_not_whole(garden: Garden, grower: Member, now: datetime) -> None:
    before = _need(garden).n_short
    stick(garden, grower, now, n_stuck=20, want="roses-27", cover="mist")
    need = _need(garden)
    assert 5 < need.n_expected < 20
    assert need.n_short == before - need.n_expected


def test_what_has_rooted_counts_whole_and_what_was_lost_not(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now, n_stuck=20, want="roses-27")
    services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=14, n_lost=6, n_lost_rooted=2
    )
    assert _need(garden).n_expected == 12


def test_a_want_that_is_past_asks_for_nothing(garden: Garden) -> None:
    assert asked_for(garden, load_handbook(), on=date(2027, 4, 1)) == {ROSE: _need(garden).n_rooted_needed}
    assert asked_for(garden, load_handbook(), on=date(2027, 4, 2)) == {}


def test_the_sheet_says_what_it_is_for_and_refuses_when_nothing_more_is_needed(
    garden: Garden, grower: Member, now: datetime
) -> None:
    sheet = sheet_for(garden, load_handbook(), "roses-27", on=ON)
    assert dict(sheet.facts)["For"].startswith("40 established by 1 Apr 2027")
    batch = stick(garden, grower, now, n_stuck=80, want="roses-27")
    services.record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=70)
    with pytest.raises(Refused, match="nothing more to stick"):
        sheet_for(garden, load_handbook(), "roses-27", on=ON)


@pytest.mark.parametrize("ready_as", ["rooted", "potted", "weaned", "established", "finished"])
def test_lateness_is_said_in_steps(garden: Garden, ready_as: str) -> None:
    plan = advise(load_handbook(), ROSE, on=ON, latitude_deg=41, shoot="spent", want=5).plan
    assert plan is not None
    (want,) = wants(garden)

    def said(ready_by: date) -> str:
        fields = {name: getattr(want, name) for name in WantNow.__slots__}
        return in_time(WantNow(**(fields | {"ready_as": ready_as, "ready_by": ready_by})), plan)

    assert said(date(2025, 10, 16)).startswith("Too late for 16 Oct 2025")
    assert said(date(2029, 1, 1)) == ""
    assert "8 times in 10" in said(date(2025, 10, 16))
