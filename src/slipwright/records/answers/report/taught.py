"""What the records taught, as a season report tells it: the sentences of the page of findings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from slipwright.craft.figures import plain
from slipwright.craft.said import Said
from slipwright.outputs.measures import First
from slipwright.records.answers.findings.gap import is_settled, p_needed
from slipwright.records.answers.findings.heads import along_headline, rates_headline, weeks_headline
from slipwright.records.answers.findings.page import FindingsPage, findings_page
from slipwright.records.answers.findings.words import beside_headline, factor_headline
from slipwright.records.answers.taught import taught
from slipwright.records.models import Garden

#: findings told of those there are
MOST_FINDINGS = 6


@dataclass(frozen=True, slots=True)
class Learned:
    """What the records taught, in sentences."""

    said: str
    findings: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def learned_of_season(garden: Garden) -> Learned:
    """Return what is kept of what was learned; nothing is learned anew. ``garden`` must have just been read.

    Where the findings are kept their own headlines are told, those of the first page; else the comparisons.
    """
    told = taught(garden)
    if told is None or not told.fit.is_of_this_model:
        return Learned(Said("Nothing is learned yet: every forecast rests on the handbook alone."))
    found = told.found
    page = findings_page(garden)
    first: First = "us" if garden.units == "us" else "metric"
    if page.shown is not None:
        findings = tuple(headlines(page, first))[:MOST_FINDINGS]
    else:
        findings = tuple(one.in_words for one in found.learned[:MOST_FINDINGS])
    said = Said(
        "From {looks} looks at {batches} batches of all seasons; {share} in 100 of what is believed of "
        "the plants is still as before any record.",
        looks=plain(told.fit.n_looks, 0),
        batches=plain(told.fit.n_batches, 0),
        share=math.floor(100 * found.prior_share + 0.5),
    )
    return Learned(said, findings, tuple(remark.in_words for remark in found.remarks))


def headlines(page: FindingsPage, first: First) -> Iterator[str]:
    """Yield the headlines of kept findings: shoot, rates and weeks, then of the factors those settled."""
    if page.along is not None:
        yield along_headline(page.along)
    if page.rates:
        yield rates_headline(page.rates)
        yield weeks_headline(page.rates)
    factors = page.shown.factors if page.shown is not None else ()
    for factor in factors:
        if not factor.levels:
            continue
        if factor.levels[0].beside is None:
            if factor.gap is not None and is_settled(factor.gap):
                yield factor_headline(factor, first)
        elif any(_is_clear(one.p_more, len(factor.levels)) for one in factor.levels):
            yield beside_headline(factor, first)


def _is_clear(p_more: float | None, n: int) -> bool:
    """Return whether one of so many levels surely did other than was expected."""
    return p_more is not None and n > 1 and max(p_more, 1 - p_more) >= p_needed(n)
