"""Every wood of every plant, in every month and both halves of the world, is told what makes sense."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import product

import pytest

from slipwright.advice.advise import advise
from slipwright.advice.steps import Work, WorkStep, cautions_of_page, steps_of_work
from slipwright.handbook import Page, WoodLeaf, load_handbook

HANDBOOK = load_handbook()
#: northern months in which a pot may freeze on the 20th: common practice, no source
COLD_MONTHS = {10, 11, 12, 1, 2, 3}
WOODS = [
    pytest.param(page, leaf, id=f"{page.key}-{leaf.wood}")
    for page in HANDBOOK.pages
    for leaf in page.woods.values()
]


def page_of(taxon: str) -> Page:
    page = HANDBOOK.page_of(taxon)
    assert page is not None
    return page


def told(page: Page, leaf: WoodLeaf, month: int, south: bool, cover: str, bare: bool) -> dict[str, WorkStep]:
    work = Work(
        page,
        leaf,
        leaf.doses[0],
        cover,
        bare,
        "none" if bare else leaf.leaves,
        9,
        1,
        2.69,
        7,
        date(2026, month, 20),
        south,
    )
    return {step.key: step for step in steps_of_work(work, cautions_of_page(page))}


def ways(page: Page, leaf: WoodLeaf) -> Iterator[tuple[bool, dict[str, WorkStep]]]:
    """Yield whether it is cold, and the steps, in each month, both halves of the world, under each cover."""
    for month, south, cover in product(range(1, 13), (False, True), ("tent", "mist", "open")):
        cold = ((month + 5) % 12 + 1 if south else month) in COLD_MONTHS
        if leaf.leaves != "none":
            yield cold, told(page, leaf, month, south, cover, bare=False)
        if leaf.leaves == "none" or leaf.leafless_from:
            yield cold, told(page, leaf, month, south, cover, bare=True)


@pytest.mark.parametrize(("page", "leaf"), WOODS)
def test_no_evergreen_is_tied_up_wet(page: Page, leaf: WoodLeaf) -> None:
    for cold, steps in ways(page, leaf):
        text = steps["cover"].text.lower()
        if page.leaf_habit == "evergreen":
            assert "tie it" not in text
            assert "wet, clear bag" not in text
            assert "frame" in text or leaf.wood == "softwood" or not cold


@pytest.mark.parametrize(("page", "leaf"), WOODS)
def test_cold_months_speak_of_frost_and_warm_ones_of_shade(page: Page, leaf: WoodLeaf) -> None:
    for cold, steps in ways(page, leaf):
        if cold:
            assert "frost" in steps["shade"].text
            assert "frost" in steps["cut"].title
            assert "cool of the morning" not in steps["cut"].text
            assert "no sun at any hour" not in steps["shade"].text
        elif leaf.wood != "hardwood":
            assert "no sun at any hour" in steps["shade"].text
            assert "frost" not in steps["cut"].title
        assert steps["winter"].text


@pytest.mark.parametrize(("page", "leaf"), WOODS)
def test_bare_wood_is_never_put_under_a_bag(page: Page, leaf: WoodLeaf) -> None:
    if leaf.leaves == "none" or leaf.leafless_from:
        text = told(page, leaf, 12, False, "tent", bare=True)["cover"].text
        assert "sticks" not in text
        assert "tie it" not in text


@pytest.mark.parametrize("page", HANDBOOK.pages, ids=lambda page: page.key)
def test_dormant_wood_goes_half_under_at_least(page: Page) -> None:
    leaf = page.woods.get("hardwood")
    if leaf is None or leaf.leaves != "none":
        return
    assert (leaf.buried.low, leaf.buried.unit) == (0.5, "share")
    assert (
        "Half to two thirds of the length under"
        in told(page, leaf, 12, False, "open", bare=True)["hole"].text
    )


@pytest.mark.parametrize("page", HANDBOOK.pages, ids=lambda page: page.key)
def test_what_the_page_warns_of_stands_in_the_steps(page: Page) -> None:
    leaf = next(iter(page.woods.values()))
    steps = told(page, leaf, 6, False, "tent", bare=leaf.leaves == "none")
    at_choice = [caution.text for caution in steps["choose"].cautions]
    at_cut = [caution.text for caution in steps["cut"].cautions]
    assert at_choice == [*(said.text for said in page.restricted), page.rights[-1].text]
    assert at_cut == [said.text for said in page.hazard_notes[:1]]
    assert all(said.text in steps["winter"].text for said in page.winter)


@pytest.mark.parametrize(("on", "latitude_deg"), [(date(2015, 12, 10), 41), (date(2016, 6, 10), -41)])
@pytest.mark.parametrize("plant", ["lavender", "rosemary"])
def test_an_evergreen_of_midwinter_goes_into_a_frame(plant: str, on: date, latitude_deg: float) -> None:
    advice = advise(HANDBOOK, plant, on=on, latitude_deg=latitude_deg)
    assert advice.plan is not None
    assert advice.plan.leaf.wood == "hardwood"
    steps = {step.key: step for step in advice.plan.steps}
    assert "frame" in steps["cover"].text
    assert "three sticks" not in steps["cover"].text.lower()
    assert "frost" in steps["shade"].text
    assert "frost" in steps["cut"].title


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        ("blackcurrant", "white pine blister rust"),
        ("Rosa multiflora", "Illinois"),
        ("Lavandula stoechas", "weed"),
    ],
)
def test_a_plant_the_law_limits_is_named_as_such(plant: str, said: str) -> None:
    advice = advise(HANDBOOK, plant, on=date(2016, 12, 1), latitude_deg=44)
    assert any(said in caution.text for caution in advice.cautions)


def test_a_plant_known_to_be_free_is_not_said_to_be_often_protected() -> None:
    lavender = page_of("Lavandula")
    assert "often-protected" in [caution.key for caution in cautions_of_page(lavender, "unknown")]
    assert "often-protected" not in [caution.key for caution in cautions_of_page(lavender, "none")]


def test_a_leg_is_cleared_of_the_buds_that_go_under() -> None:
    gooseberry = page_of("Ribes uva-crispa")
    hole = told(gooseberry, gooseberry.woods["hardwood"], 12, False, "open", bare=True)["hole"]
    assert "rub out the buds that go under" in hole.text
    assert "as deep as the pot allows" in hole.text
