"""Every sentence of an answer can be said in another tongue."""

from __future__ import annotations

import re
from datetime import date

import pytest

from slipwright.advice.advise import advise
from slipwright.advice.one_pot import one_page_sheet
from slipwright.advice.sheet import stick_sheet
from slipwright.craft.said import all_in_tongue, in_tongue
from slipwright.handbook import load_handbook
from slipwright.handbook.shown import shown_texts

PLANTS = [page.taxa[-1] for page in load_handbook().pages]
ASKED = (
    {"on": date(2026, 1, 12), "shoot": None, "have": None, "latitude_deg": None},
    {"on": date(2026, 5, 12), "shoot": "budded", "have": "open", "latitude_deg": 65},
    {"on": date(2026, 6, 25), "shoot": "spent", "have": "mist", "latitude_deg": 10},
    {"on": date(2026, 10, 12), "shoot": "vegetative", "have": "tent", "latitude_deg": -34},
)
#: what is no sentence: signs between places, numbers, units and names
_BETWEEN = re.compile(r"[\W\d_]*")


def shouted(template: str) -> str:
    """Say a template in a tongue that is English in capitals, its places left as they are."""
    parts = re.split(r"(\{[^}]*\})", template)
    return "".join(part if part.startswith("{") else part.upper() for part in parts)


def small_words(text: str, names: str) -> list[str]:
    kept = re.sub("|".join(map(re.escape, sorted(names.split(), key=len, reverse=True))), "", text)
    return re.findall(r"\b[a-z]{3,}\b", kept)


@pytest.mark.parametrize("taxon", PLANTS)
@pytest.mark.parametrize("asked", ASKED)
def test_nothing_is_left_in_the_first_tongue(taxon: str, asked: dict[str, object]) -> None:
    answer = advise(load_handbook(), taxon, want=5, price_each=8, assurance=0.995, **asked)  # type: ignore[arg-type]
    said = [answer.why, answer.basis, *answer.notes, *(caution.text for caution in answer.cautions)]
    if answer.plan:
        said += [part for step in answer.plan.steps for part in (step.title, step.text)]
        said.append(answer.plan.saving.text if answer.plan.saving else "")
    for text in said:
        assert small_words(in_tongue(text, shouted), f"{taxon} mg") == [], text


@pytest.mark.parametrize("taxon", PLANTS)
def test_the_sheet_and_the_page_go_into_another_tongue(taxon: str) -> None:
    answer = advise(load_handbook(), taxon, on=date(2026, 10, 12), want=5, latitude_deg=41)
    for sheet in (stick_sheet(answer), one_page_sheet(answer)):
        told = all_in_tongue(sheet, shouted)
        says = [*told.facts, *(told.days.says if told.days else ()), *(told.pot.says if told.pot else ())]
        words = [told.answer, told.rests_on, *(step.text for step in told.steps), *map(" ".join, says)]
        for text in words:
            assert small_words(text, f"{taxon} mg") == [], text


def test_every_sentence_of_the_handbook_that_is_said_is_gathered() -> None:
    gathered, met = set(shown_texts(load_handbook())), set()

    def met_with(template: str) -> str:
        met.add(template)
        return template

    for taxon in PLANTS:
        for asked in ASKED:
            answer = advise(load_handbook(), taxon, **asked)  # type: ignore[arg-type]
            all_in_tongue((answer.why, answer.notes, answer.beside, answer.cautions), met_with)
            if answer.plan:
                all_in_tongue(answer.plan.steps, met_with)
    page = load_handbook().page_of("Rosa")
    assert page is not None
    texts = {
        statement.text
        for page in load_handbook().pages
        for statement in (*page.winter, *page.storing, *page.rights, *page.restricted, page.bloom.reason)
    }
    assert len(met & gathered) > 60
    assert met & texts <= gathered
