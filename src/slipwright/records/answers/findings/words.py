"""Findings in words: what levels are called, the sentence that heads each, how sure, what would settle it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from slipwright.advice._wording import tenths
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, joined
from slipwright.outputs import measures
from slipwright.records.answers.findings.gap import MOSTLY_PRIOR, SMALL, is_likely, is_settled, p_needed
from slipwright.records.answers.findings.kept import Counted, Factor, Gap
from slipwright.records.answers.findings.level_words import level_words

#: a trial of more pots each way is not advised
MOST_POTS: Final = 200
#: as likely as this a single pair is told as settled
FIRST_SURE: Final = p_needed(1)


def rests_on(counted: Counted) -> str:
    """Return how many cuttings in how many batches something rests on."""
    if counted.n_batches == 1:
        return Said("{n} in 1 batch", n=plain(counted.n_stuck, 0))
    return Said("{n} in {k} batches", n=plain(counted.n_stuck, 0), k=plain(counted.n_batches, 0))


def factor_headline(factor: Factor, first: measures.First = "metric") -> str:
    """Return what a garden shows of one thing, in one sentence."""
    if not factor.levels:
        return Said("Nobody wrote this down yet.")
    words = {one.name: level_words(factor.name, one, first) for one in factor.levels}
    if len(factor.levels) == 1:
        only = next(iter(words.values()))
        return Said("All batches are alike in this: {level}. Nothing to hold it against.", level=only)
    if factor.gap is None:
        return Said("Too few batches yet to hold one against another.")
    return _gap_words(factor.gap, words[factor.gap.of], words[factor.gap.beside])


def factor_also(factor: Factor, first: measures.First = "metric") -> str:
    """Return what is said of the pair one would ask about first, empty where that is the one told."""
    if factor.also is None:
        return ""
    words = {one.name: level_words(factor.name, one, first) for one in factor.levels}
    return _gap_words(factor.also, words[factor.also.of], words[factor.also.beside])


def _gap_words(gap: Gap, of: str, beside: str) -> str:
    low, middle, high = gap.points
    if gap.prior_share >= MOSTLY_PRIOR:
        return Said(
            "{of:capital} against {beside}: not enough yet. "
            "It is mostly what was believed before any record.",
            of=of,
            beside=beside,
        )
    if max(abs(low), abs(high)) < SMALL:
        return Said(
            "{of:capital} against {beside}: no difference worth the name, at most {n} in each 100.",
            of=of,
            beside=beside,
            n=_in_100(max(abs(low), abs(high))),
        )
    if is_settled(gap):
        return Said(
            "{of:capital} beside {beside}: about {n} more root in each 100 (8 times in 10: {low} to {high}).",
            of=of,
            beside=beside,
            n=_in_100(middle),
            low=_in_100(low),
            high=_in_100(high),
        )
    if is_likely(gap):
        return Said(
            "{of:capital} beside {beside}: likely about {n} more root in each 100, "
            "but most of that is what was believed before any record.",
            of=of,
            beside=beside,
            n=_in_100(middle),
        )
    if round(100 * low) >= 0:
        return Said(
            "{of:capital} against {beside}: not settled. The first is ahead by {low} to {high} in each 100, "
            "but of several held together one may be so by chance.",
            of=of,
            beside=beside,
            low=_in_100(low),
            high=_in_100(high),
        )
    return Said(
        "{of:capital} against {beside}: not settled. The first is ahead, but it could be {worse} worse or "
        "{better} better in each 100.",
        of=of,
        beside=beside,
        worse=_in_100(-low),
        better=_in_100(high),
    )


def _in_100(share: float) -> str:
    return plain(max(100 * share, 0.0), 0)


def how_sure(gap: Gap | None, names: Mapping[str, str]) -> str:
    """Return how likely the better of two levels is better, and how much of it is belief."""
    if gap is None:
        return ""
    sure = Said(
        "{of:capital} better than {beside}: likely {chance}. Of this {share} in 100 is still what was "
        "believed before any record.",
        of=names[gap.of],
        beside=names[gap.beside],
        chance=tenths(gap.p_better),
        share=_in_100(gap.prior_share),
    )
    if gap.p_needed > gap.p_better >= FIRST_SURE and gap.prior_share < MOSTLY_PRIOR:
        return joined([sure, Said("Among so many pairs chance alone brings one like it.")])
    return sure


def what_settles(factor: str, gap: Gap | None) -> str:
    """Return what would settle it: the size of a trial, where one would."""
    if factor == "season":
        return Said("No trial settles a season. Another one does, with batches of the same plants.")
    if factor == "month" and (gap is None or gap.n_units is not None):
        return Said(
            "The same plants stuck in both months, in more than one year: "
            "no trial tells a month from its year."
        )
    if gap is None:
        return Said("Stick part of a batch another way, in pots of its own, and write down which is which.")
    if gap.n_units is None:
        return Said("So small a gap is not worth a trial.")
    pots = {"n": plain(gap.n_units, 0), "each": plain(gap.n_per_unit, 0)}
    if is_settled(gap):
        return Said(
            "Settled well enough to act on. A trial that shows it by itself takes about {n} pots of {each} "
            "cuttings each way, shuffled.",
            **pots,
        )
    if gap.n_units > MOST_POTS:
        return Said(
            "A trial would take about {n} pots of {each} cuttings each way: more than it is worth. More "
            "batches of either kind narrow it by and by.",
            **pots,
        )
    return Said(
        "A trial of about {n} pots of {each} cuttings each way, shuffled, would tell a gap like this 8 times "
        "in 10.",
        **pots,
    )


def beside_headline(factor: Factor, first: measures.First = "metric") -> str:
    """Return which level did other than was expected of such cuttings, if any surely did."""
    needed = p_needed(len(factor.levels))
    clear = [one for one in factor.levels if one.p_more is not None and _either_way(one.p_more) >= needed]
    if len(factor.levels) < 2:
        return factor_headline(factor, first)
    if not clear:
        return _none_clear(factor, first)
    most = max(clear, key=lambda one: _either_way(one.p_more or 0.0))
    middle = most.beside[1] if most.beside else 0.0
    said: dict[str, str] = {
        "level": level_words(factor.name, most, first),
        "n": _in_100(abs(middle)),
        "chance": tenths(_either_way(most.p_more or 0.0)),
    }
    if middle > 0:
        return Said(
            "{level:capital}: about {n} in each 100 more rooted than expected (sure {chance}).", **said
        )
    return Said("{level:capital}: about {n} in each 100 fewer rooted than expected (sure {chance}).", **said)


def _none_clear(factor: Factor, first: measures.First) -> str:
    told = [one for one in factor.levels if one.beside is not None]
    furthest = max(told, key=lambda one: _either_way(one.p_more or 0.5), default=None)
    if furthest is None or furthest.beside is None:
        return Said("Too few batches yet to hold one against another.")
    low, middle, high = furthest.beside
    if low < 0 < high:
        return Said("None stands out: every range reaches what was to be expected.")
    said = {
        "level": level_words(factor.name, furthest, first),
        "n": _in_100(abs(middle)),
        "k": plain(len(told), 0),
    }
    if middle > 0:
        return Said(
            "Not settled. {level:capital} is furthest off, about {n} in each 100 more than expected, but of "
            "{k} one may be so by chance.",
            **said,
        )
    return Said(
        "Not settled. {level:capital} is furthest off, about {n} in each 100 fewer than expected, but of "
        "{k} one may be so by chance.",
        **said,
    )


def _either_way(p_more: float) -> float:
    return max(p_more, 1 - p_more)
