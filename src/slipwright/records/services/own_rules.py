"""Stating a rule of the garden's own, with its evidence."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from slipwright.craft.said import Said
from slipwright.records import words
from slipwright.records.errors import BadValue, NotFound
from slipwright.records.models import Garden, Member, Note, Withdrawal
from slipwright.records.selectors.own_rules import RULE_BEGINS
from slipwright.records.services.observations import record_note
from slipwright.records.services.withdrawals import is_withdrawn, withdraw

#: letters of a rule and of its evidence
MOST_LETTERS = 600


@transaction.atomic
def state_rule(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    plant: str,
    wood: str,
    rule: str,
    evidence: str,
    entry_id: str = "",
) -> Note:
    """Keep a rule as a note about the garden itself: of a taxon, a genus or all plants, of a wood or any."""
    plant, rule, evidence = (" ".join(text.split()) for text in (plant, rule, evidence))
    if not rule:
        raise BadValue("rule", Said("must say what to do"))
    for column, text in (("rule", rule), ("evidence", evidence)):
        if len(text) > MOST_LETTERS:
            raise BadValue(column, Said("must be at most {n} letters", n=MOST_LETTERS))
    if any(sign in plant for sign in "();"):
        raise BadValue("plant", Said("must be the name of a plant, a genus, or empty"), plant)
    if wood and wood not in words.WOODS:
        raise BadValue("wood", Said("must be one of the choices"), wood)
    scope = f"{plant}; {wood}" if wood else plant
    text = f"{RULE_BEGINS}{scope}): {rule}" + (f"\n{evidence}" if evidence else "")
    # the same form sent once more says the same
    before = Note.rows.of(garden).filter(entry_id=entry_id).first() if entry_id else None
    at = before.at if before else now.replace(microsecond=0)
    return record_note(
        garden=garden, by=by, now=now, about=str(garden.garden), at=at, text=text, entry_id=entry_id
    )


@transaction.atomic
def take_rule_back(*, garden: Garden, by: Member, now: datetime, rule: str, reason: str) -> Withdrawal | None:
    """Take back the rule whose note has this id; one that was taken back before stays so."""
    note = Note.rows.of(garden).filter(entry_id=rule, text__startswith=RULE_BEGINS).first()
    if note is None:
        raise NotFound("there is no such rule in this garden")
    if is_withdrawn(garden, note):
        return None
    at = now.replace(microsecond=0)
    return withdraw(garden=garden, by=by, now=now, withdraws=rule, reason=reason, at=at, kind="note")
