"""What stops a want, and what more room, wood or hours would bring, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.craft.figures import money, plain
from slipwright.craft.said import Said, joined
from slipwright.outputs.measures import First, area_text
from slipwright.records.answers.programme.weeks import run_in_words, runs_of
from slipwright.season.asked import Row
from slipwright.season.programme import Loosened, Stop

#: of one limit so many places are said
_SAID = 3


@dataclass(frozen=True, slots=True)
class Stopped:
    """What stops a want: a word for the limit, the rows that are too tight, and a sentence."""

    limit: str
    rows: tuple[Row, ...]
    alone: bool
    why: str

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "limit": self.limit,
            "rows": [{"resource": row.kind, "place": row.place, "week": iso(row.week)} for row in self.rows],
            "alone": self.alone,
            "why": str(self.why),
        }


@dataclass(frozen=True, slots=True)
class LoosenedTold:
    """What more of one thing would bring."""

    found: Loosened
    row: Row
    #: all that were loosened with it
    rows: tuple[Row, ...] = ()
    currency: str = ""
    first: First = "metric"

    @property
    def in_words(self) -> str:
        """A sentence."""
        one, row = self.found, self.row
        what = Said(
            "{more}, {where}",
            more=more_in_words(row.kind, one.by, self.first),
            where=rows_in_words(self.rows or (row,)),
        )
        return Said("{what}: {gains}", what=what, gains=gains_in_words(one, self.currency))

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        one, row = self.found, self.row
        weeks = [some.week for some in self.rows or (row,) if some.week is not None]
        return {
            "resource": row.kind,
            "place": row.place,
            "week": iso(min(weeks, default=None)),
            "week_last": iso(max(weeks, default=None)),
            "by": round(one.by, 4),
            "gain": round(one.gain, 2),
            "saves": round(one.saves, 2),
            "more_plants": round(one.more_plants, 2),
            "text": str(self.in_words),
        }


#: by kind of row: so much more of it
_MORE = {
    "shoots": Said("{by:.0f} more shoots"),
    "": Said("{by:g} more"),
}
#: money below this is not worth a word
_A_LITTLE = 0.005
TOGETHER = Said("no single limit stops it, all of them together do")
BY_KIND = {
    "shoots": Said("the shoots that may be cut within a year"),
    "bench": Said("room for containers"),
    "nursery": Said("room for young pots"),
    "hours": Said("hours"),
}


def stopped_by(stop: Stop, why: str, rows: Mapping[str, Row]) -> Stopped:
    """Return what stops a want; ``why`` says why there is no way to meet it at all."""
    tight = tuple(_once([rows[name] for name in stop.rows]))
    if stop.limit == "no_option":
        text = why or Said("nothing that could be stuck is ready in time")
    elif stop.limit == "chance":
        text = Said("no number of cuttings gives so many with this assurance")
    elif stop.limit == "together":
        text = TOGETHER
    else:
        text = BY_KIND.get(stop.limit, stop.limit)
        if tight:
            text = Said("{what}: {where}", what=text, where=rows_in_words(tight))
    return Stopped(stop.limit, tight, stop.alone, text)


def _once(rows: Sequence[Row]) -> list[Row]:
    return list({(row.kind, row.place, row.week): row for row in rows}.values())


def rows_in_words(rows: Sequence[Row]) -> str:
    """Return places, or plants, with the weeks of each told as runs; three of them at most."""
    weeks: dict[str, list[date]] = {}
    for row in rows:
        weeks.setdefault(row.place, []).extend([row.week] if row.week else [])
    said: list[str] = []
    for place, of_place in weeks.items():
        if not of_place:
            said.append(place)
        for first, last in runs_of(of_place):
            run = run_in_words(first, last)
            said.append(Said("{place}, {weeks}", place=place, weeks=run) if place else run)
    return joined(said[:_SAID], "; ")


def more_in_words(kind: str, by: float, first: First = "metric") -> str:
    """Return so much more of a kind of row."""
    if kind in ("bench", "nursery"):
        return Said("{area} more", area=area_text(by, first=first))
    if kind == "hours":
        return Said("{h} h more", h=plain(by))
    return Said(_MORE.get(kind, _MORE[""]).template, by=by)


def gains_in_words(one: Loosened, currency: str = "") -> str:
    """Return what more of a row brings: plants, and money saved or spent, "would bring 3 more plants"."""
    gains: list[str] = []
    n = round(one.more_plants)
    if n:
        gains.append(_plants(n))
    if abs(one.saves) >= _A_LITTLE:
        amount = money(abs(one.saves), currency)
        if n:
            text = Said("save {money}") if one.saves > 0 else Said("cost {money} more")
        else:
            text = Said("would save {money}") if one.saves > 0 else Said("would cost {money} more")
        gains.append(Said(text.template, money=amount))
    if len(gains) == _BOTH:
        return Said("{plants} and {money}", plants=gains[0], money=gains[1])
    return gains[0] if gains else Said("would bring part of a plant more")


_BOTH = 2


def _plants(n: int) -> str:
    if n == 1:
        return Said("would bring 1 more plant")
    text = Said("would bring {n} more plants") if n > 0 else Said("would bring {n} fewer plants")
    return Said(text.template, n=abs(n))


def iso(day: date | None) -> str | None:
    """Return a day as plain data."""
    return day.isoformat() if day else None
