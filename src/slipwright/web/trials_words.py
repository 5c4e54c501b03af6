"""A trial in words: what its arms differ in, how it stands, and what it taught, in one sentence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from slipwright.craft.figures import plain
from slipwright.craft.said import in_tongue
from slipwright.records.answers.trials.now import TrialNow
from slipwright.records.answers.trials.plan import Arm, Plan
from slipwright.records.answers.trials.told import PairTold, Verdict
from slipwright.web.days import in_form
from slipwright.web.named import named
from slipwright.web.ways import hormone_in_words

#: the space within a figure, which a name that is typed again does without
_GROUPED = re.compile(r"(?<=\d) (?=\d{3}\b)")
#: what the arms of a trial may differ in
THINGS: Mapping[str, str | Promise] = {
    "auxin": gettext_lazy("the hormone"),
    "part": gettext_lazy("the part of the shoot"),
    "leaves": gettext_lazy("the leaves"),
    "wound": gettext_lazy("a wound at the base"),
    "medium": gettext_lazy("the medium"),
    "container": gettext_lazy("the pot"),
    "cutting": gettext_lazy("the form of the cutting"),
    "n_nodes": gettext_lazy("the nodes on each"),
    "length_mm": gettext_lazy("the length"),
    "stored": gettext_lazy("how they are kept until stuck"),
}
#: state: its word, and its sign
STATES: Mapping[str, tuple[str | Promise, str]] = {
    "planned": (gettext_lazy("Planned"), "calendar"),
    "running": (gettext_lazy("Running"), "waiting"),
    "due": (gettext_lazy("To be counted"), "needs-you"),
    "done": (gettext_lazy("Counted"), "check"),
}
_ALONE = {
    "wound": {"yes": gettext_lazy("wounded"), "no": gettext_lazy("not wounded")},
    "leaves": {
        "kept": gettext_lazy("leaves kept"),
        "reduced": gettext_lazy("leaves reduced"),
        "none": gettext_lazy("no leaves"),
    },
    "stored": {"no": gettext_lazy("stuck at once")},
}


def arm_in_words(differs: str, way: Mapping[str, Any]) -> str:
    """Return what an arm is called: the one thing it differs in. No semicolon stands in it."""
    value = way.get(differs, "")
    if differs == "auxin":
        said = hormone_in_words(way)
    elif differs == "n_nodes":
        said = ngettext("%(n)d node", "%(n)d nodes", int(value)) % {"n": int(value)}
    elif differs == "length_mm":
        said = f"{in_tongue(plain(float(value), 4), _)} mm"
    elif differs in ("medium", "container"):
        said = str(value)
    else:
        said = str(_ALONE.get(differs, {}).get(str(value)) or named(str(value)))
    return _GROUPED.sub("", " ".join(said.replace(";", ",").split()))


def stop_rule_in_words(weeks: int, more: str) -> str:
    """Return the rule by which a trial stops, as it is fixed beforehand."""
    rule = ngettext(
        "Every pot is counted %(n)s week after sticking. The verdict is drawn then, from all pots that "
        "were counted, and not before.",
        "Every pot is counted %(n)s weeks after sticking. The verdict is drawn then, from all pots that "
        "were counted, and not before.",
        weeks,
    ) % {"n": weeks}
    return f"{rule} {more}".strip()


def in_tongue_of_page(now: TrialNow) -> TrialNow:
    """Return a trial to be shown: what these pages worded when it was fixed in the tongue of the page.

    What a grower wrote stands as it was written, and so does what is kept.
    """
    plan = now.plan
    arms = {arm.letter: replace(arm, name=_arm_again(plan.differs, arm)) for arm in plan.arms}
    pots = tuple(replace(pot, arm=arms[pot.arm.letter]) if pot.arm else pot for pot in now.pots)
    said = replace(plan, arms=tuple(arms.values()), stop_rule=_rule_again(plan))
    return replace(now, plan=said, pots=pots)


def _arm_again(differs: str, arm: Arm) -> str:
    if not arm.way:
        return arm.name
    for tongue, _name in settings.LANGUAGES:
        with translation.override(tongue):
            worded = arm_in_words(differs, arm.way)
        if worded == arm.name:
            return arm_in_words(differs, arm.way)
    return arm.name


def _rule_again(plan: Plan) -> str:
    weeks, odd = divmod(plan.count_after or 1, 7)
    if odd:
        return plan.stop_rule
    for tongue, _name in settings.LANGUAGES:
        with translation.override(tongue):
            worded = stop_rule_in_words(weeks, "")
        if plan.stop_rule.startswith(worded):
            return stop_rule_in_words(weeks, plan.stop_rule.removeprefix(worded).strip())
    return plan.stop_rule


def progress_in_words(now: TrialNow) -> str:
    """Return how far a trial has come that is not judged yet, in one sentence."""
    n, m = len(now.counted), len(now.pots)
    if now.state == "planned":
        return _("Planned, and nothing is stuck yet.")
    if now.state == "due" and (until := now.waits_until):
        said = ngettext(
            "The day of the count has come: %(n)s pot is still to be counted.",
            "The day of the count has come: %(n)s pots are still to be counted.",
            now.n_due,
        )
        waits = _("The verdict waits for that until %(day)s.")
        return f"{said} {waits}" % {"n": now.n_due, "day": in_form(until, "j M Y")}
    if now.due_on is None:
        return _("Not judged yet: %(n)s of %(m)s pots have come to their end.") % {"n": n, "m": m}
    return _("Not judged yet: every pot is counted on %(day)s, and the verdict waits for that.") % {
        "day": in_form(now.due_on, "j M Y")
    }


def verdict_in_words(verdict: Verdict) -> str:
    """Return what a trial taught in one sentence: settled or not, how far it may go, what settles it."""
    said: dict[str, Any] = {
        "a": verdict.ahead.name,
        "b": verdict.behind.name,
        "by": _in_100(verdict.by),
        "low": _signed(verdict.low),
        "high": _signed(verdict.high),
        "m": _in_100(verdict.matters),
        "p": min(round(100 * verdict.p), 99),
    }
    if verdict.kind == "settled":
        return (
            _(
                "Settled: “%(a)s” did better than “%(b)s”, by %(by)s more in each 100 "
                "(8 times in 10 by %(low)s to %(high)s)."
            )
            % said
        )
    if verdict.kind == "alike":
        return (
            _(
                "Settled for what matters: “%(a)s” and “%(b)s” differ by less than %(m)s in each 100 "
                "(8 times in 10 by %(low)s to %(high)s)."
            )
            % said
        )
    if verdict.kind == "unrepeated":
        return _("Not settled: with one pot of each, the way cannot be told from the pot.")
    said["worse"] = _in_100(-verdict.low)
    if verdict.kind == "likely":
        start = _("Not settled, but likely: “%(a)s” is ahead of “%(b)s”, %(p)s chances in 100")
    else:
        start = _("Not settled: “%(a)s” is ahead of “%(b)s”, %(p)s chances in 100")
    if said["worse"] > 0:
        start += _(", but it could be %(worse)s worse or %(high)s better in each 100")
    else:
        start += _(", but it could be only %(low)s or as much as %(high)s better in each 100")
    return f"{start % said}{_settling(verdict)}"


def _settling(verdict: Verdict) -> str:
    said = {"n": verdict.n_to_settle, "m": _in_100(verdict.matters)}
    if verdict.n_to_settle is None:
        return _("; no number of pots a bench holds would tell so small a difference.")
    return _("; about %(n)s pots of each would settle a difference of %(m)s in 100.") % said


def pair_in_words(pair: PairTold) -> dict[str, str | int]:
    """Return two ways beside each other: how many more root in each 100, its range, and the chance."""
    found = pair.found
    return {
        "a": pair.arm.name,
        "b": pair.against.name,
        "by": _signed(found.difference.mean),
        "low": _signed(found.difference.q10),
        "high": _signed(found.difference.q90),
        "p": min(max(round(100 * found.p_above_0), 1), 99),
    }


def state_words(now: TrialNow) -> tuple[str, str]:
    """Return the word of a trial's state, and its sign."""
    word, sign = STATES[now.state]
    return str(word), sign


def _in_100(share: float) -> int:
    return round(100 * share)


def _signed(share: float) -> str:
    number = round(100 * share)
    return f"−{-number}" if number < 0 else str(number)
