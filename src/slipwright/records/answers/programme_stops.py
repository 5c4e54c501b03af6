"""What stops a want, and what more room, wood or hours would bring, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.craft.said import Said, joined
from slipwright.outputs.measures import day_text
from slipwright.season.asked import Row
from slipwright.season.programme import Loosened, Stop

#: of one limit so many rows are said
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

    @property
    def in_words(self) -> str:
        """A sentence."""
        one, row = self.found, self.row
        more = _MORE.get(row.kind, _MORE[""])
        what = Said(more.template, by=one.by, where=_where(row))
        gains: list[str] = []
        if round(one.more_plants):
            gains.append(Said("{n} more plants", n=round(one.more_plants)))
        if abs(one.saves) >= _A_LITTLE:
            text = Said("{money:,.2f} saved") if one.saves > 0 else Said("at {money:,.2f} more")
            gains.append(Said(text.template, money=abs(one.saves)))
        return Said("{what}: {gains}", what=what, gains=joined(gains, ", "))

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        one, row = self.found, self.row
        return {
            "resource": row.kind,
            "place": row.place,
            "week": iso(row.week),
            "by": round(one.by, 4),
            "gain": round(one.gain, 2),
            "saves": round(one.saves, 2),
            "more_plants": round(one.more_plants, 2),
            "text": str(self.in_words),
        }


#: by kind of row: so much more of it
_MORE = {
    "shoots": Said("{by:.0f} more shoots of {where}"),
    "bench": Said("{by:.2f} m² more on {where}"),
    "nursery": Said("{by:.2f} m² more on {where}"),
    "hours": Said("{by:.1f} hours more in {where}"),
    "": Said("{by:g} more of {where}"),
}
#: money below this is not worth a word
_A_LITTLE = 0.005
TOGETHER = Said("no single limit stops it, all of them together do")
BY_KIND = {
    "shoots": Said("the shoots that may be cut this season"),
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
        if where := [_where(row) for row in tight[:_SAID]]:
            text = Said("{what}: {where}", what=text, where=joined(where, ", "))
    return Stopped(stop.limit, tight, stop.alone, text)


def _once(rows: Sequence[Row]) -> list[Row]:
    return list({(row.kind, row.place, row.week): row for row in rows}.values())


def _where(row: Row) -> str:
    if row.week is None:
        return row.place
    week = day_text(row.week)
    return (
        Said("{place} in the week of {day}", place=row.place, day=week)
        if row.place
        else Said("the week of {day}", day=week)
    )


def iso(day: date | None) -> str | None:
    """Return a day as plain data."""
    return day.isoformat() if day else None
