"""Facts of a how-to: what, how much, and on whose word, each source with its sign."""

from __future__ import annotations

from datetime import date
from typing import Final

from slipwright.advice._wording import WEEKS, WOOD_WORDS, plain, share_range, span, tenths
from slipwright.advice.answer import Plan
from slipwright.advice.sheet import nodes_of_leaf
from slipwright.advice.steps import dose_words, part_words
from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import COMMON_PRACTICE, Origin, Page
from slipwright.outputs.measures import First, length_text, temperature_text, volume_text

_CUTTINGS: Final = {
    "piece": Said("Pieces of the shoot"),
    "tip": Said("Tip cuttings"),
    "heel": Said("Heel cuttings"),
    "mallet": Said("Mallet cuttings"),
    "single-node": Said("Single-node cuttings"),
}


class Refs:
    """Gives each source a figure and each mark a letter, in the order they are first named."""

    def __init__(self) -> None:
        self._sources: dict[str, str] = {}
        self._marks: dict[str, str] = {}

    def of(self, origin: Origin) -> str:
        """Return the signs of an origin, in brackets."""
        if origin.mark:
            sign = "c" if origin.mark == COMMON_PRACTICE else "m"
            self._marks.setdefault(sign, Said(origin.mark))
            return f"({sign})"
        keys = [self._sources.setdefault(one.text, str(len(self._sources) + 1)) for one in origin.sources]
        return f"({', '.join(keys)})" if keys else ""

    @property
    def told(self) -> tuple[str, ...]:
        """Each sign with what it stands for."""
        named = [joined([f"({sign})", mark]) for sign, mark in sorted(self._marks.items())]
        return (*named, *(f"({key}) {text}" for text, key in self._sources.items()))


def _said(words: str, origin: Origin, refs: Refs) -> str:
    return joined([words, refs.of(origin)])


def answer_of(plan: Plan, opens: date, closes: date) -> str:
    weeks = plan.leaf.weeks_to_root[0]
    return Said(
        "{form} of {wood}, cut from about {first} to {last}: about {chance} root, in {weeks}.",
        form=_CUTTINGS[plan.leaf.cutting],
        wood=WOOD_WORDS[plan.leaf.wood],
        first=day_in_words(opens, beside=opens),
        last=day_in_words(closes, beside=closes),
        chance=tenths(plan.odds.p_rooted[1]),
        weeks=span(weeks.p10, weeks.p90, WEEKS, 0),
    )


def facts_of(plan: Plan, opens: date, closes: date, first: First, refs: Refs) -> tuple[tuple[str, str], ...]:
    page, leaf = plan.page, plan.leaf
    days = Said(
        "about {first} to {last}",
        first=day_in_words(opens, beside=opens),
        last=day_in_words(closes, beside=closes),
    )
    length = length_text(leaf.length_mm.low, leaf.length_mm.high, first=first)
    rooted, weeks = leaf.rooted_percent[0], leaf.weeks_to_root[0]
    low, middle, high = plan.odds.p_rooted
    rows: list[tuple[str, str]] = [
        (Said("When"), _said(days, leaf.seasons[-1].origin, refs)),
        (Said("Length"), _said(length, leaf.length_mm.origin, refs)),
        (Said("Nodes"), _said(nodes_of_leaf(leaf), leaf.n_nodes.origin, refs)),
        (Said("Medium"), _said(_parts(page), page.medium_origin, refs)),
    ]
    if plan.dose and plan.dose.form != "none":
        rows.append((Said("Hormone"), _said(dose_words(plan.dose), plan.dose.origin, refs)))
    warm = temperature_text(leaf.medium_c.low, leaf.medium_c.high, first=first)
    pots = Said("{n} in one of {volume}", n=plan.n_per_container, volume=volume_text(plan.pot_l, first=first))
    rows += [
        (Said("Warmth"), _said(joined([warm, Said("in the medium")]), leaf.medium_c.origin, refs)),
        (Said("Pot"), _said(pots, page.n_per_pot.origin if page.n_per_pot else page.medium_origin, refs)),
        (
            Said("Chance"),
            _said(
                Said(
                    "about {chance} root; 8 times in 10 {between}",
                    chance=tenths(middle),
                    between=share_range(low, high),
                ),
                rooted.origin,
                refs,
            ),
        ),
        (Said("Time"), _said(span(weeks.p10, weeks.p90, WEEKS, 0), weeks.origin, refs)),
        (
            Said("Patience"),
            _said(Said("{n} days", n=plain(leaf.patience_days.value, 0)), leaf.patience_days.origin, refs),
        ),
    ]
    return tuple(rows)


def _parts(page: Page) -> str:
    whole = sum(page.medium.values())
    if len(page.medium) == 2 and len(set(page.medium.values())) == 1:
        one, other = page.medium
        return Said("{one} and {other}, half and half", one=part_words(one), other=part_words(other))
    return joined(
        [
            Said("{n} of {part}", n=plain(share), part=part_words(name))
            for name, share in page.medium.items()
            if whole
        ],
        ", ",
    )


def after_of(plan: Plan, refs: Refs) -> tuple[tuple[str, str], ...]:
    leaf = plan.leaf
    look = next(step for step in plan.steps if step.key == "look")
    wean, finished = leaf.weaning_days, leaf.months_to_finished
    rows: list[tuple[str, str]] = [
        (Said("Each week"), look.text),
        (
            Said("Give up"),
            _said(
                Said(
                    "Not before {n} days: scratch the bark first, green beneath is alive.",
                    n=plain(leaf.patience_days.value, 0),
                ),
                leaf.patience_days.origin,
                refs,
            ),
        ),
        (Said("Pot up"), _said(leaf.pot_up_note.text, leaf.pot_up_note.origin, refs)),
        (
            Said("Wean"),
            _said(
                Said(
                    "{days}: {how:small}.",
                    days=span(wean.p10, wean.p90, Said("days"), 0),
                    how=wean.treatment or Said("off with the cover by steps"),
                ),
                wean.origin,
                refs,
            ),
        ),
        (
            Said("Ready"),
            _said(span(finished.p10, finished.p90, Said("months after sticking"), 0), finished.origin, refs),
        ),
    ]
    if plan.page.winter:
        winter = plan.page.winter[0]
        rows.append((Said("Winter"), _said(winter.text, winter.origin, refs)))
    return tuple(rows)
