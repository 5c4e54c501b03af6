"""Notes that fix something for everybody: a rule of the garden's own, or the plan of a trial."""

from __future__ import annotations

from slipwright.records.selectors.own_rules import RULE_BEGINS
from slipwright.records.selectors.trials import PLAN_BEGINS


def fixes_for_all(garden: str, about: str, text: str) -> bool:
    """Return whether a note about something in ``garden`` is told to everybody from then on.

    It then takes as much as any other change of the garden.
    """
    # some databases find what begins so without regard to capitals
    said = text.lower()
    is_rule = about == garden and said.startswith(RULE_BEGINS.lower())
    return is_rule or said.startswith(PLAN_BEGINS.lower())
