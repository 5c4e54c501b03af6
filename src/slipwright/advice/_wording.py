"""Numbers and days in the words of the shed: "7 in 10", "10 Sep", "7.5 to 12.5 cm (3 to 5 in)"."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Literal

from slipwright.craft.days import day_in_words as day_in_words
from slipwright.craft.figures import FIRM
from slipwright.craft.figures import plain as plain
from slipwright.craft.said import Said, cased, joined
from slipwright.outputs.measures import First, length_text

#: one line of a plain answer
LINE = 78


#: a wood as it is said
WOOD_WORDS: dict[str, Said] = {
    "softwood": Said("softwood"),
    "semi-hardwood": Said("semi-hardwood"),
    "hardwood": Said("hardwood"),
}
#: one of a thing, and several
_COUNTED = {
    "pot": (Said("1 pot"), Said("{n} pots")),
    "cutting": (Said("1 cutting"), Said("{n} cuttings")),
    "node": (Said("1 node"), Said("{n} nodes")),
    "shoot": (Said("1 shoot"), Said("{n} shoots")),
    "cane": (Said("1 cane"), Said("{n} canes")),
}
WEEKS, NODE, NODES = Said("weeks"), Said("node"), Said("nodes")


def days_in_words(first: date, last: date, *, beside: date) -> str:
    """Return a stretch of days, or a single one.

    Parameters
    ----------
    first, last : date
        The ends.
    beside : date
        A day whose year the reader has in mind.

    Returns
    -------
    str
        Such as "26 Nov 2026 to 10 Jan 2027": both years where they differ.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> days_in_words(date(2026, 11, 26), date(2027, 1, 10), beside=date(2026, 11, 4))
    '26 Nov 2026 to 10 Jan 2027'
    """
    if first == last:
        return day_in_words(first, beside=beside)
    begins = day_in_words(first, beside=last)
    return Said("{first} to {last}", first=begins, last=day_in_words(last, beside=beside))


def likely_days(
    first: date | None, last: date | None, p_never: float, *, beside: date, rule: str = ""
) -> str:
    """Return the days on which something likely comes, or how likely it never does.

    Parameters
    ----------
    first, last : date or None
        The 10 and 90 per cent points; None where it may never come.
    p_never : float
        Chance that it never comes [-].
    beside : date
        A day whose year the reader has in mind.
    rule : str
        What must have happened by then, said after the days.

    Returns
    -------
    str
        Such as "26 Nov to 10 Dec, 8 times in 10".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> likely_days(date(2026, 11, 26), None, 0.3, beside=date(2026, 11, 4))
    '26 Nov at the earliest, 9 times in 10; not at all about 3 times in 10'
    """
    never = Said("not at all {about}", about=_about(p_never))
    if first is None:
        return never
    if last is None:
        earliest = Said("{day} at the earliest, 9 times in 10", day=day_in_words(first, beside=beside))
        return joined([joined([earliest, rule], ", "), never], "; ")
    days = Said("{days}, 8 times in 10", days=days_in_words(first, last, beside=beside))
    return joined([days, rule], ", ")


def _about(share: float) -> str:
    words = times_in_ten(share)
    return words if is_beyond_tenths(share) else Said("about {times}", times=words)


def is_beyond_tenths(share: float) -> bool:
    """Return whether a chance is too small or too large to be said as so many in 10.

    Parameters
    ----------
    share : float
        Chance from 0 to 1 [-].

    Returns
    -------
    bool
        Whether it is under 1 or over 9 in 10.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> is_beyond_tenths(0.03), is_beyond_tenths(0.3)
    (True, False)
    """
    return share < 0.05 or share > 0.95


def times_in_ten(share: float) -> str:
    """Return a chance as so many times in 10.

    Parameters
    ----------
    share : float
        Chance from 0 to 1 [-].

    Returns
    -------
    str
        Such as "7 times in 10", "under 1 time in 10".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> times_in_ten(0.68), times_in_ten(0.1), times_in_ten(0.03)
    ('7 times in 10', '1 time in 10', 'under 1 time in 10')
    """
    if share < 0.05:
        return Said("under 1 time in 10")
    if share > 0.95:
        return Said("over 9 times in 10")
    n = in_tenths(share)
    return Said("1 time in 10") if n == 1 else Said("{n} times in 10", n=n)


def tenths(share: float) -> str:
    """Return a chance as so many in 10.

    Parameters
    ----------
    share : float
        Chance from 0 to 1 [-].

    Returns
    -------
    str
        Such as "7 in 10", "under 1 in 10".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> tenths(0.68), tenths(0.03), tenths(0.999)
    ('7 in 10', 'under 1 in 10', 'over 9 in 10')
    """
    if share < 0.05:
        return Said("under 1 in 10")
    if share > 0.95:
        return Said("over 9 in 10")
    return Said("{n} in 10", n=in_tenths(share))


def in_tenths(share: float) -> int:
    """Return a chance as the nearest tenth, as it is said.

    Parameters
    ----------
    share : float
        Chance from 0 to 1 [-].

    Returns
    -------
    int
        From 0 to 10 [1].

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> in_tenths(0.68)
    7
    """
    return round(share * 10)


def share_range(low: float, high: float) -> str:
    """Return a range of shares as so many of every ten, or of every hundred where tens say too little.

    Parameters
    ----------
    low, high : float
        Shares from 0 to 1 [-].

    Returns
    -------
    str
        Such as "between 6 and 8 of every 10".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> share_range(0.42, 0.82), share_range(0.02, 0.04)
    ('between 4 and 8 of every 10', 'between 2 and 4 of every 100')
    """
    of = 10 if round(low * 10) < round(high * 10) and low >= 0.05 and high < 0.945 else 100
    return Said("between {low} and {high} of every {of}", low=round(low * of), high=round(high * of), of=of)


def span(low: float, high: float, unit: str = "", decimals: int = 1) -> str:
    """Return a range of a quantity with its unit.

    Parameters
    ----------
    low, high : float
        Ends, in the unit named [-].
    unit : str
        Written after it.
    decimals : int
        Most decimals [1].

    Returns
    -------
    str
        Such as "4 to 8 weeks", or "8 weeks" where both ends are written alike.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> span(4, 8, "weeks"), span(2, 2, "nodes")
    ('4 to 8 weeks', '2 nodes')
    """
    a, b = plain(low, decimals), plain(high, decimals)
    return joined(
        [a if a == b else Said("{low} to {high}", low=a, high=b), unit], FIRM if unit == "%" else " "
    )


def length_at_hand(mm: float, to_mm: float, unit: Literal["mm", "cm"], first: First) -> str:
    """Return a length of the work at hand: metric alone, or US measures with the metric in brackets.

    Parameters
    ----------
    mm, to_mm : float
        Length from and to, the same twice where it is one [mm].
    unit : {'mm', 'cm'}
        The metric unit it is said in.
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    str
        Such as "1 to 2 cm", or "⅜ to ¾ in (1 to 2 cm)".

    References
    ----------
    As `slipwright.outputs.measures.length_text`.

    Examples
    --------
    >>> length_at_hand(10, 20, "cm", "metric"), length_at_hand(10, 10, "cm", "us")
    ('1 to 2 cm', '⅜ in (1 cm)')
    """
    if first == "us":
        return length_text(mm, to_mm, first=first)
    per = 10 if unit == "cm" else 1
    return span(mm / per, to_mm / per, unit)


def counted(number: int, one: Literal["pot", "cutting", "node", "shoot", "cane"]) -> str:
    """Return a number with its noun.

    Parameters
    ----------
    number : int
        How many [1].
    one : {'pot', 'cutting', 'node', 'shoot', 'cane'}
        The noun for one.

    Returns
    -------
    str
        Such as "1 pot", "12 cuttings".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> counted(1, "pot"), counted(12, "cutting")
    ('1 pot', '12 cuttings')
    """
    single, several = _COUNTED[one]
    return single if number == 1 else Said(several.template, n=plain(number, 0))


def sentence(text: str) -> str:
    """Return a text that begins with a capital and ends with a stop.

    Parameters
    ----------
    text : str
        Words.

    Returns
    -------
    str
        The sentence; empty for no words.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> sentence("wash the pots")
    'Wash the pots.'
    """
    return cased(text, "sentence")


def paragraph(text: str, *, first: str = "", rest: str | None = None, width: int = LINE) -> list[str]:
    """Return the lines of a paragraph.

    Parameters
    ----------
    text : str
        Words.
    first, rest : str
        What the first and the other lines begin with; as many blanks as ``first`` if not given.
    width : int
        Most signs in a line [1].

    Returns
    -------
    list of str
        The lines.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> paragraph("Wash the pots.", first="1. ")
    ['1. Wash the pots.']
    """
    lead = " " * len(first) if rest is None else rest
    return textwrap.wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=lead,
        break_on_hyphens=False,
        break_long_words=False,
    ) or [first.rstrip()]


def unlike(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the texts without repeats, in their order.

    Parameters
    ----------
    texts : iterable of str
        Words.

    Returns
    -------
    tuple of str
        Each once, empty ones left out.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> unlike(["a", "b", "a", ""])
    ('a', 'b')
    """
    return tuple(dict.fromkeys(text for text in texts if text))


def listed(words: Sequence[str], joint: Literal["and", "or"] = "and") -> str:
    """Return words joined as in a sentence.

    Parameters
    ----------
    words : sequence of str
        The words.
    joint : {'and', 'or'}
        The word before the last.

    Returns
    -------
    str
        Such as "a, b and c".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> listed(["mask", "gloves"])
    'mask and gloves'
    """
    if len(words) < 2:
        return joined(words)
    before, last = joined(words[:-1], ", "), words[-1]
    if joint == "or":
        return Said("{before} or {last}", before=before, last=last)
    return Said("{before} and {last}", before=before, last=last)


def fewer(factor: float) -> str:
    """Return in words what a factor on the odds of rooting comes to.

    Parameters
    ----------
    factor : float
        Factor on the odds, above 0 [-].

    Returns
    -------
    str
        "as many", "a little fewer", "fewer" or "far fewer".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> fewer(0.85), fewer(0.7), fewer(0.25)
    ('a little fewer', 'fewer', 'far fewer')
    """
    if factor >= 1:
        return Said("as many")
    if factor >= 0.8:
        return Said("a little fewer")
    return Said("fewer") if factor >= 0.5 else Said("far fewer")
