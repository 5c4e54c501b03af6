"""The handbook held against the garden, rule by rule: agrees, differs, or not enough yet."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from slipwright.advice._wording import tenths
from slipwright.craft.figures import plain
from slipwright.craft.said import Said
from slipwright.records.answers.contrasts import MOSTLY_PRIOR, Contrast, factor
from slipwright.records.answers.findings.gap import HALF_OWN
from slipwright.records.answers.findings.kept import Rate, Rule
from slipwright.rooting.ranges import Z90, normal_cdf

Verdict = Literal["differs", "agrees", "not-yet"]
#: in the order they are told
VERDICTS: Final[tuple[Verdict, ...]] = ("differs", "agrees", "not-yet")
#: a rule differs where that is so likely
SURE: Final = 0.8
#: and agrees where that is likelier yet: the handbook's range held 8 in 10 before any record
SURE_AGREES: Final = 0.9
#: and rests on so many batches
FEWEST: Final = 2

_WHATS = {
    "rooted": Said("share that roots"),
    "weeks": Said("weeks until half of those that root have done so"),
    "lost": Said("share lost"),
}


@dataclass(frozen=True, slots=True)
class RuleHeld:
    """One rule and the verdict: a figure of a plant's page, or a rule of all plants without a ``taxon``.

    ``chance`` is how likely the verdict is right; that of one not decided yet is how likely it agrees.
    """

    verdict: Verdict
    chance: float
    of: Rule | Contrast
    n_batches: int | None = None
    taxon: str = ""
    wood: str = ""

    @property
    def sure(self) -> str:
        """How likely the verdict is right, as people say it."""
        return tenths(self.chance)

    @property
    def what(self) -> str:
        """What the rule speaks of."""
        if isinstance(self.of, Rule):
            return _WHATS[self.of.name]
        these, those = self.of.these, self.of.those
        return Said(
            "{these:capital}, beside {those}: how many times as fast they root", these=these, those=those
        )

    @property
    def handbook(self) -> str:
        """What the handbook says."""
        if isinstance(self.of, Rule):
            return _range(self.of, self.of.low, self.of.middle, self.of.high)
        return _times(self.of.prior_p50, self.of.prior_p10, self.of.prior_p90)

    @property
    def own(self) -> str:
        """What the garden's own records say."""
        if isinstance(self.of, Rule):
            return _range(self.of, *self.of.own)
        return _times(self.of.p50, self.of.p10, self.of.p90)


def rules_held(rates: Iterable[Rate], contrasts: Sequence[Contrast]) -> list[RuleHeld]:
    """Return every rule held against what was learned: those that differ first, then by plant."""
    held = [_of_plant(rate, rule) for rate in rates for rule in rate.rules]
    held += [of_all for one in contrasts if (of_all := _of_all(one)) is not None]
    order = {verdict: place for place, verdict in enumerate(VERDICTS)}
    return sorted(held, key=lambda one: (order[one.verdict], -one.chance, one.taxon, one.wood))


def _of_plant(rate: Rate, rule: Rule) -> RuleHeld:
    p_off = rule.p_below + rule.p_above
    verdict: Verdict = "not-yet"
    if rate.counted.n_batches >= FEWEST and rule.prior_share < MOSTLY_PRIOR:
        if p_off >= SURE:
            verdict = "differs"
        elif 1 - p_off >= SURE_AGREES and rule.prior_share < HALF_OWN:
            verdict = "agrees"
    chance = p_off if verdict == "differs" else 1 - p_off
    return RuleHeld(verdict, chance, rule, rate.counted.n_batches, rate.taxon, rate.wood)


def _range(rule: Rule, low: float, middle: float, high: float) -> str:
    if rule.name == "weeks":
        values = {"n": plain(middle, 0), "low": plain(low, 0), "high": plain(high, 0)}
        return Said("{n} weeks ({low} to {high})", **values)
    values = {name: plain(100 * one, 0) for name, one in (("n", middle), ("low", low), ("high", high))}
    return Said("{n} in 100 ({low} to {high})", **values)


def _of_all(one: Contrast) -> RuleHeld | None:
    """Hold a rule of all plants: how many times as fast some root as others.

    None where the handbook holds none: where it is itself unsure which are faster.
    """
    believed = math.log(one.prior_p50)
    if one.clock != "rooting" or "[" in one.name or one.prior_p10 <= 1 <= one.prior_p90:
        return None
    low, middle, high = (math.log(max(times, 1e-4)) for times in (one.p10, one.p50, one.p90))
    sd = max((high - low) / (2 * Z90), 1e-6)
    p_same_way = float(normal_cdf(np.asarray(math.copysign(middle, middle * believed) / sd)))
    verdict: Verdict = "not-yet"
    if one.prior_share < MOSTLY_PRIOR:
        if p_same_way >= SURE_AGREES and low <= believed <= high and one.prior_share < HALF_OWN:
            verdict = "agrees"
        elif not low <= believed <= high:
            verdict = "differs"
    apart = float(normal_cdf(np.asarray(abs(middle - believed) / sd)))
    return RuleHeld(verdict, apart if verdict == "differs" else p_same_way, one)


def _times(middle: float, low: float, high: float) -> str:
    return Said("{x} times ({low} to {high})", x=factor(middle), low=factor(low), high=factor(high))


def rules_headline(held: Sequence[RuleHeld]) -> str:
    """Return how many rules hold, differ and wait, in one sentence."""
    n = {verdict: sum(one.verdict == verdict for one in held) for verdict in VERDICTS}
    return Said(
        "Rules of the handbook that hold here: {agrees} of {all}. That differ: {differs}. "
        "Not enough yet: {waits}.",
        all=len(held),
        agrees=n["agrees"],
        differs=n["differs"],
        waits=n["not-yet"],
    )
