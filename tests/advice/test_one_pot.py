"""One pot and a bag: the steps in the order of the hands, a smaller number beside the one advised."""

from __future__ import annotations

from datetime import date

import pytest

from slipwright.advice.advise import advise
from slipwright.advice.answer import Advice, Plan
from slipwright.advice.one_pot import (
    cautions_beside,
    doings_of_plan,
    one_page_sheet,
    other_number,
    words_of_plan,
)
from slipwright.advice.sheet import NoSheetError
from slipwright.handbook import load_handbook
from slipwright.outputs.drawings.steps import KINDS
from slipwright.rooting.sticking import chance_of

AUTUMN = date(2026, 10, 20)


def answer(taxon: str = "rose", on: date = AUTUMN, **more: object) -> Advice:
    return advise(load_handbook(), taxon, on=on, latitude_deg=41, **{"want": 5, "have": "tent", **more})  # type: ignore[arg-type]


def plan_of(taxon: str = "rose", on: date = AUTUMN, **more: object) -> Plan:
    plan = answer(taxon, on, **more).plan
    assert plan is not None
    return plan


def drawings(plan: Plan) -> list[str]:
    return [doing.drawing for doing in doings_of_plan(plan)]


@pytest.mark.parametrize("taxon", [page.taxa[0] for page in load_handbook().pages])
@pytest.mark.parametrize("have", ["tent", "mist", "open"])
def test_every_step_of_every_plant_has_a_drawing_and_none_is_lost(taxon: str, have: str) -> None:
    for month in (1, 6, 10):
        plan = plan_of(taxon, date(2026, month, 20), have=have)
        assert set(drawings(plan)) <= set(KINDS)
        keys = [step.key for doing in doings_of_plan(plan) for step in doing.steps]
        assert keys == [step.key for step in plan.steps if step.key not in ("look", "winter")]


def test_the_drawing_follows_the_cover_and_the_wood() -> None:
    assert drawings(plan_of())[-1] == "bag"
    assert drawings(plan_of(have="mist"))[-1] == "mist"
    assert drawings(plan_of("lavender"))[-1] == "frame"
    dormant = drawings(plan_of("blackcurrant", date(2026, 12, 1)))
    assert "bundle" in dormant
    assert "bare" in dormant


def test_the_drawing_follows_the_form_of_cutting() -> None:
    assert "divide" in drawings(plan_of())
    assert "heel" in drawings(plan_of("lavender"))
    assert "tip" in drawings(plan_of("sage"))


def test_one_pot_fewer_is_told_with_its_chance() -> None:
    plan = plan_of()
    other = other_number(plan, 5)
    assert other is not None
    assert (other.n_stuck, other.n_containers) == (9, 1)
    assert other.p_reached == chance_of(5, 9, plan.odds.rooted) < (plan.p_reached or 0)
    assert other.times == "7 times in 10"


def test_no_smaller_number_where_none_can_give_what_is_wanted() -> None:
    plan = plan_of(want=1, assurance=0.5)
    assert plan.n_to_stick == 1
    assert other_number(plan, 1) is None


def test_rights_are_read_before_the_first_cut() -> None:
    assert [caution.key for caution in cautions_beside(answer())] == ["rights"]


def test_prickles_are_told_once() -> None:
    keys = [c.key for doing in doings_of_plan(plan_of()) for step in doing.steps for c in step.cautions]
    assert "prickles" in keys
    assert "hazard" not in keys
    assert len(keys) == len(set(keys))


def test_roots_lie_within_the_weeks_that_are_said() -> None:
    first, last = plan_of().roots_within
    assert AUTUMN < first < last
    assert words_of_plan(plan_of()).weeks == "3 to 10 weeks"


def test_the_page_says_first_that_the_shoot_is_refused() -> None:
    said = one_page_sheet(answer(shoot="budded")).answer
    assert said.startswith("Not this shoot")
    assert "stick" in said.lower()


def test_nothing_to_stick_is_no_page() -> None:
    with pytest.raises(NoSheetError):
        one_page_sheet(answer(rights="protected"))
