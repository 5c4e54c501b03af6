"""The garden's own rules, by plant: what is told beside the handbook's on every page that advises."""

from __future__ import annotations

from collections.abc import Iterable

from slipwright.craft.names import genus_of
from slipwright.craft.said import Said, cased, joined
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden
from slipwright.records.selectors.own_rules import OwnRule, own_rules_of

_RULES: Remembered[tuple[OwnRule, ...]] = Remembered()


def own_rules(garden: Garden) -> tuple[OwnRule, ...]:
    """Return the garden's own rules, newest first. One query, or none.

    ``garden`` must have just been read.
    """
    rules = _RULES.get(garden.garden, as_of(garden.last_number, garden.last_edit))
    if rules is None:
        rules = tuple(own_rules_of(garden))
        keep_rules(garden, rules)
    return rules


def keep_rules(garden: Garden, rules: tuple[OwnRule, ...]) -> None:
    """Remember the rules that were read of a garden with something else."""
    _RULES.keep(garden.garden, as_of(garden.last_number, garden.last_edit), rules)


def rules_for(rules: Iterable[OwnRule], taxon: str, wood: str = "") -> list[OwnRule]:
    """Return those that are for a taxon; where a wood is named, not those of another wood."""
    genus = genus_of(taxon)
    return [one for one in rules if one.plant in ("", taxon, genus) and (not wood or one.wood in ("", wood))]


def in_words(one: OwnRule) -> str:
    """Return a rule with its evidence, as advice tells it."""
    head = Said("Your own rule for {wood}:", wood=Said(one.wood)) if one.wood else Said("Your own rule:")
    return joined([head, cased(one.rule, "sentence"), cased(one.evidence, "sentence")])
