"""The garden's own rules: notes about the garden itself that say which plants they are for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from slipwright.records.models import Garden, Note
from slipwright.records.scope import EntryQuerySet

#: how such a note begins; what follows in brackets is the plant and the wood it is for
RULE_BEGINS = "Own rule ("
_FORM = re.compile(
    rf"{re.escape(RULE_BEGINS)}(?P<plant>[^;)]*)(?:;\s*(?P<wood>[a-z-]+))?\): "
    r"(?P<rule>[^\n]+)(?:\n(?P<evidence>.*))?\Z",
    re.S,
)


@dataclass(frozen=True, slots=True)
class OwnRule:
    """A rule somebody stated: of a taxon, a genus or (empty) all plants, of a wood or (empty) any."""

    entry_id: str
    plant: str
    wood: str
    rule: str
    evidence: str
    at: datetime
    by: str

    @property
    def rests_on(self) -> str:
        """The first sentence of the evidence."""
        first, stop, _ = self.evidence.partition(". ")
        return first + "." if stop else self.evidence


#: the columns of text a rule is made of
RULE_TEXTS = ("entry_id", "text", "by__shown_as", "by__member")


def own_rules_of(garden: Garden) -> list[OwnRule]:
    """Return the rules that stand, newest first. One query."""
    rows = rule_rows(garden).order_by("-number").values_list(*RULE_TEXTS, "at")
    said = (rule_said(*texts, at=at) for *texts, at in rows)
    return [rule for rule in said if rule is not None]


def rule_rows(garden: Garden) -> EntryQuerySet[Note]:
    """Return the notes that stand and begin as a rule does."""
    return Note.rows.of(garden).standing().filter(about=str(garden.garden), text__startswith=RULE_BEGINS)


def rule_said(
    entry_id: str, text: str, shown_as: str | None, member: str | None, *, at: datetime
) -> OwnRule | None:
    """Return the rule a note states, None where it states none."""
    said = _FORM.match(text)
    if said is None:
        return None
    plant, wood, rule, evidence = (
        (part or "").strip() for part in said.group("plant", "wood", "rule", "evidence")
    )
    return OwnRule(entry_id, plant, wood, rule, evidence, at, shown_as or member or "")
