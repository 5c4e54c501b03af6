"""What heads the findings along the shoot and plant by plant, and what is said beneath them, in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from slipwright.advice._wording import tenths
from slipwright.craft.figures import plain
from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.craft.said import Said, joined
from slipwright.records.answers.findings.gap import HALF_OWN, is_settled
from slipwright.records.answers.findings.kept import Along, Rate
from slipwright.records.answers.findings.level_words import NAMES
from slipwright.records.answers.findings.words import what_settles

#: a batch whose count and whose learned share lie so far apart is told of
PULLED: Final = 0.05


def along_headline(along: Along) -> str:
    """Return what part of the shoot to take, or that none stands out."""
    if along.sweet is None or along.p_there is None:
        if along.gap is None:
            return Said("Only one part of the shoot was stuck so far. Nothing to hold it against.")
        if along.gap.prior_share >= HALF_OWN:
            return Said("Along the shoot: not enough yet. No part stands out from your own records.")
        if is_settled(along.gap):
            return Said(
                "No part of the shoot stands out: what was counted here does not bear out the ranges."
            )
        return Said("No part of the shoot stands out: the ranges overlap.")
    first, last = (NAMES[along.levels[place].name] for place in along.sweet)
    if first == last:
        return Said("Take the {part}. About {share} root there.", part=first, share=tenths(along.p_there))
    return Said(
        "Take the {first} to the {last}. About {share} root there.",
        first=first,
        last=last,
        share=tenths(along.p_there),
    )


def along_settles(along: Along) -> str:
    """Return what would settle where to cut."""
    if along.gap is not None and along.sweet is None and is_settled(along.gap):
        return Said(
            "Here what was learned and what was counted point different ways. Both parts of the same shoots, "
            "stuck on one day, settle it."
        )
    return what_settles("along", along.gap)


def along_counted(along: Along) -> str:
    """Return what is said where another part did as well by count alone, empty where none did."""
    if along.sweet is None:
        return ""
    first, last = along.sweet
    within = [one.counted.share for one in along.levels[first : last + 1] if one.counted.share is not None]
    others = [*along.levels[:first], *along.levels[last + 1 :]]
    told = [one for one in others if one.counted.share is not None]
    most = max(told, key=lambda one: one.counted.share or 0.0, default=None)
    if most is None or not within or (most.counted.share or 0.0) < min(within):
        return ""
    return Said(
        "By count alone the {part} did as well or better: but other plants and woods were cut there, "
        "and that is reckoned with.",
        part=NAMES[most.name],
    )


def along_waiting(along: Along) -> str:
    """Return what is said of those that still wait, empty where few do."""
    most = max(
        along.levels, key=lambda one: one.counted.n_waiting / max(one.counted.n_stuck, 1), default=None
    )
    if most is None or most.counted.n_waiting < most.counted.n_stuck / 10:
        return ""
    return Said(
        "Still waiting is not lost: of the {part} {n} of {stuck} have yet to show. Leave them be.",
        part=NAMES[most.name],
        n=plain(most.counted.n_waiting, 0),
        stuck=plain(most.counted.n_stuck, 0),
    )


def rates_headline(rates: Sequence[Rate]) -> str:
    """Return of some plants which root best and worst, or that their ranges do not tell them apart."""
    low, high = (pick(rates, key=lambda one: one.share[1]) for pick in (min, max))
    if low is high:
        return Said(
            "Of {plant} about {share} root in the long run.", plant=_plant(low), share=tenths(low.share[1])
        )
    said: dict[str, str] = {
        "best": _plant(high),
        "most": tenths(high.share[1]),
        "worst": _plant(low),
        "least": tenths(low.share[1]),
    }
    if low.share[2] >= high.share[0]:
        return Said(
            "{best} ({most}) to {worst} ({least}): their ranges overlap, none is surely better.", **said
        )
    return Said("Of {best} about {most} root in the long run, of {worst} about {least}.", **said)


def rates_pulled(rates: Sequence[Rate]) -> str:
    """Return how far one lucky or unlucky batch is pulled in, empty where none is."""
    alone = [one for one in rates if one.counted.n_batches == 1 and one.counted.share is not None]
    most = max(alone, key=_pulled, default=None)
    if most is None or _pulled(most) < PULLED:
        return ""
    return Said(
        "Few cuttings prove little: {plant} was counted at {counted} in one batch, "
        "and is taken for {learned}.",
        plant=_plant(most),
        counted=tenths(most.counted.share or 0.0),
        learned=tenths(most.share[1]),
    )


def _pulled(rate: Rate) -> float:
    return abs((rate.counted.share or 0.0) - rate.share[1])


def weeks_headline(rates: Sequence[Rate]) -> str:
    """Return of some plants which root first and which last."""
    first, last = (pick(rates, key=lambda one: one.weeks[1]) for pick in (min, max))
    if first is last:
        return Said("Half of those that root have done so by week {n}.", n=_week(first))
    said = {"first": _plant(first), "soon": _week(first), "last": _plant(last), "late": _week(last)}
    if first.weeks[2] >= last.weeks[0]:
        return Said(
            "{first} (week {soon}) to {last} (week {late}): their ranges overlap, none is surely quicker.",
            **said,
        )
    return Said(
        "{first} is quickest, half of those that root by week {soon}; {last} takes until week {late}.", **said
    )


def _plant(rate: Rate) -> str:
    woods = {
        "softwood": Said("softwood"),
        "semi-hardwood": Said("semi-hardwood"),
        "hardwood": Said("hardwood"),
    }
    return joined([_printed(rate.taxon), woods[rate.wood]], ", ")


def _printed(taxon: str) -> str:
    try:
        return "".join(text for text, _ in plant_name(taxon).runs())
    except NotAPlantName:
        return taxon


def _week(rate: Rate) -> str:
    return plain(rate.weeks[1], 0)
