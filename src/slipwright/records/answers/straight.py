"""A straight answer for one plant, asked where a garden's records are at hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any, cast

from slipwright.advice.advise import advise
from slipwright.advice.answer import Advice
from slipwright.advice.asked import Named, plant_named
from slipwright.advice.timing import Flowers
from slipwright.craft.said import Said, joined
from slipwright.handbook import Handbook
from slipwright.records.answers.findings.own_rules import in_words, own_rules, rules_for
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.stick_choices import taxon_called
from slipwright.records.answers.walk import learned_for_taxa, round_days
from slipwright.records.models import Garden, Taxon


def advice_in(
    garden: Garden,
    handbook: Handbook,
    words: str,
    *,
    on: date,
    rights: str = "unknown",
    licence: str = "",
    tongue: str = "en",
    **asked: Any,
) -> Advice:
    """Return a straight answer from the handbook and what a garden's records taught.

    A name only this garden has is known too, and of rights nothing was said of it what the garden wrote
    down. ``garden`` must have just been read. ``asked`` is what ``slipwright.advice.advise`` takes.
    """
    row = taxon_called(garden, words.strip())
    if row is not None and handbook.page_of(row.taxon) is not None:
        words = row.taxon
    found = plant_named(handbook, words, tongue)
    if not isinstance(found, Named):
        return advise(handbook, words, on=on, rights=rights, licence=licence, tongue=tongue, **asked)
    learned = learned_for_taxa(garden, handbook, [found.taxon], on=on)
    answer = advise(
        handbook,
        words,
        on=on,
        flowers=cast(Flowers, row.flowers) if row and row.flowers else None,
        round_days=round_days(garden),
        grows=growth_of(garden, handbook, on=on).of(found.taxon, found.page),
        learned=learned,
        tongue=tongue,
        **_rights(row, rights, licence),
        **asked,
    )
    answer = answer if learned else _not_learned_yet(answer)
    rules = [in_words(one) for one in rules_for(own_rules(garden), found.taxon)]
    return replace(answer, notes=(*rules, *answer.notes)) if rules else answer


def _rights(row: Taxon | None, rights: str, licence: str) -> dict[str, Any]:
    if row is None or rights != "unknown" or not row.rights:
        return {"rights": rights, "licence": licence}
    return {
        "rights": row.rights,
        "rights_until": row.rights_until,
        "licence": licence or row.licence,
        "licence_until": row.licence_until,
    }


def _not_learned_yet(answer: Advice) -> Advice:
    told = Said("Nothing is learned from this garden's looks yet.")
    rests_on = replace(answer.rests_on, text=joined([answer.rests_on.text, told]))
    return replace(answer, rests_on=rests_on, notes=(*answer.notes, told))
