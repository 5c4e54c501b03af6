"""Reading the values of the handbook: each with its unit and with a source or a mark."""

from __future__ import annotations

from collections.abc import Mapping

from slipwright.craft.said import Said
from slipwright.handbook._entries import Entry
from slipwright.handbook.pages import (
    MARKS,
    WOODS,
    Amount,
    Dose,
    Origin,
    Range,
    Season,
    Source,
    Spread,
    Statement,
    Wood,
)

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LONGEST = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_DOSE_FORMS = ("quick-dip", "soak", "talc", "gel", "none")
_AUXINS = ("none", "iba", "naa", "k-iba", "k-naa")


class Sources:
    """The published sources a file may name, and which of them it did name."""

    def __init__(self, known: Mapping[str, Source]) -> None:
        self.known = dict(known)
        self.named: set[str] = set()

    def origin(self, entry: Entry) -> Origin:
        """Take ``source`` or ``mark``, exactly one of them."""
        if ("source" in entry) == ("mark" in entry):
            entry.fail("must name either a source or a mark, one of the two", list(entry.unread()))
        if "mark" in entry:
            return Origin(mark=entry.word("mark", MARKS))
        keys = entry.raw("source")
        keys = [keys] if isinstance(keys, str) else keys
        if not isinstance(keys, list) or not keys:
            entry.fail("must be the key of a source, or a list of keys", keys, "source")
        for key in keys:
            if not isinstance(key, str) or key not in self.known:
                entry.fail("must be the key of a [[source]] of this file or of general.toml", key, "source")
        self.named.update(keys)
        return Origin(sources=tuple(self.known[key] for key in keys))


def day_and_month(entry: Entry, key: str) -> tuple[int, int]:
    """Take a day such as "20 Sep" and return (month, day)."""
    text = entry.text(key)
    day, _, month = text.partition(" ")
    if month not in MONTHS or not day.isascii() or not day.isdigit() or day.startswith("0"):
        entry.fail('must be a day and a month, such as "20 Sep"', text, key)
    number = MONTHS.index(month)
    if not 1 <= int(day) <= _LONGEST[number]:
        entry.fail("must be a day of that month (29 Feb is not used)", text, key)
    return number + 1, int(day)


def _unit(entry: Entry, unit: str) -> str:
    return str(entry.word("unit", (unit,)))


def _within(entry: Entry, unit: str, **numbers: float) -> None:
    for key, number in numbers.items():
        if unit == "%" and not 0 <= number <= 100:
            entry.fail("must be between 0 and 100 per cent", number, key)
        if unit not in ("days", "°C") and number < 0:
            entry.fail("must not be below nought", number, key)


def amount(entry: Entry, unit: str, sources: Sources) -> Amount:
    """Take one number with its unit."""
    value = entry.number("value")
    _unit(entry, unit)
    _within(entry, unit, value=value)
    found = Amount(value, unit, sources.origin(entry), entry.optional_text("note"))
    entry.done()
    return found


def range_of(entry: Entry, units: str | tuple[str, ...], sources: Sources) -> Range:
    """Take a low and a high with one unit, or with one of several."""
    low, high = entry.number("low"), entry.number("high")
    unit = entry.word("unit", (units,) if isinstance(units, str) else units)
    _within(entry, unit, low=low, high=high)
    if low > high:
        entry.fail("must have low no greater than high", [low, high])
    note = entry.optional_text("note")
    found = Range(low, high, unit, sources.origin(entry), Said(note) if note else "")
    entry.done()
    return found


def spread(entry: Entry, unit: str, sources: Sources) -> Spread:
    """Take 10, 50 and 90 per cent points under a stated treatment."""
    p10, p50, p90 = entry.number("p10"), entry.number("p50"), entry.number("p90")
    _unit(entry, unit)
    _within(entry, unit, p10=p10, p50=p50, p90=p90)
    if p10 < 0:
        entry.fail("must not be below nought", p10, "p10")
    if not p10 <= p50 <= p90:
        entry.fail("must have p10, p50 and p90 in rising order", [p10, p50, p90])
    treatment = Said(entry.text("treatment"))
    found = Spread(p10, p50, p90, unit, treatment, sources.origin(entry), entry.optional_text("note"))
    entry.done()
    return found


def statement(entry: Entry, sources: Sources) -> Statement:
    """Take a rule in words, and the woods it holds for where it does not hold for all."""
    woods: tuple[Wood, ...] = ()
    if "woods" in entry:
        named = entry.texts("woods")
        woods = tuple(wood for wood in WOODS if wood in named)
        if len(woods) < len(named):
            entry.fail(f"must be among {', '.join(WOODS)}", list(named), "woods")
    found = Statement(Said(entry.text("text")), sources.origin(entry), woods)
    entry.done()
    return found


def season(entry: Entry, sources: Sources) -> Season:
    """Take a stretch of the calendar."""
    opens, closes = day_and_month(entry, "opens"), day_and_month(entry, "closes")
    found = Season(opens, closes, entry.text("stage"), sources.origin(entry))
    entry.done()
    return found


def dose(entry: Entry, sources: Sources) -> Dose:
    """Take a hormone preparation in one form."""
    form, auxin = entry.word("form", _DOSE_FORMS), entry.word("auxin", _AUXINS)
    low, high = entry.number("low"), entry.number("high")
    unit = entry.raw("unit")
    due = {"none": "", "talc": "mg/kg"}.get(form, "mg/L")
    if unit != due:
        entry.fail(f'must be "{due}" for the form {form}', unit, "unit")
    if (form == "none") != (auxin == "none"):
        entry.fail("must have the auxin none with the form none, and only there", auxin, "auxin")
    if (form == "none" and (low, high) != (0, 0)) or (form != "none" and not 0 < low <= high):
        entry.fail("must have 0 < low <= high, or both 0 for the form none", [low, high])
    seconds = range_of(entry.table("seconds"), "s", sources) if "seconds" in entry else None
    found = Dose(form, auxin, low, high, unit, seconds, sources.origin(entry), entry.optional_text("note"))
    entry.done()
    return found
