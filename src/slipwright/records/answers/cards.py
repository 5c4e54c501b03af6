"""The card that goes with a plant given away: its name and history, its care as far as known, its rights."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from slipwright.advice.label import label_of_batch
from slipwright.craft.said import Said, joined
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Statement
from slipwright.outputs.card import CARE, CareLine, GiveAwayCard
from slipwright.outputs.measures import day_text
from slipwright.records import selectors
from slipwright.records.errors import Refused
from slipwright.records.models import Garden, Sticking
from slipwright.records.selectors import History

#: statements of one line of care; more would not fit a card
_AT_MOST = 2


@dataclass(frozen=True, slots=True)
class Care:
    """What the handbook says of one line of care, each statement with its source or mark."""

    line: str
    statements: tuple[Statement, ...] = ()

    @property
    def text(self) -> str:
        """The words for the card."""
        return joined([statement.text for statement in self.statements])


@dataclass(frozen=True, slots=True)
class CardOf:
    """A card, with what the handbook holds for each line and what must be minded before giving away."""

    card: GiveAwayCard
    care: tuple[Care, ...]
    restricted: tuple[Statement, ...]
    caution: str


def card_of(
    garden: Garden,
    handbook: Handbook,
    history: History,
    *,
    on: date,
    given_on: date | None = None,
    own: Mapping[str, str] | None = None,
    gift: str = "",
) -> CardOf:
    """Return the card of a batch; ``own`` are the giver's words by line of care, "" leaves the line out.

    Raises ``Refused`` where the plant may not be multiplied by what is recorded of its rights.
    """
    sticking = history.sticking
    standing = selectors.rights_of(sticking.taxon, on=given_on or on)
    if not standing.allowed:
        raise Refused(
            standing.reason,
            (
                Said("Write down the licence in the plant's row, if there is one, then come back."),
                Said("Keep the plants, or ask the holder of the right for leave."),
            ),
        )
    care = care_of(handbook, sticking.taxon.taxon)
    words = {one.line: one.text for one in care} | dict(own or {})
    page = handbook.page_of(sticking.taxon.taxon)
    return CardOf(
        GiveAwayCard(
            name_runs=label_of_batch(code=sticking.batch, taxon=sticking.taxon.taxon).name_runs,
            common_name=sticking.taxon.common_name,
            code=sticking.batch,
            origin=_origin(history, given_on),
            care=tuple(CareLine(line, words[line]) for line in CARE if words.get(line)),
            rights=_rights(sticking, standing.kind),
            garden=garden.name,
            gift=gift,
        ),
        care,
        page.restricted if page else (),
        standing.reason if standing.kind in ("unknown", "licensed") else "",
    )


def care_of(handbook: Handbook, taxon: str) -> tuple[Care, ...]:
    """Return what the handbook holds for each line of care."""
    page = handbook.page_of(taxon)
    if page is None:
        return tuple(Care(line) for line in CARE)
    held = {
        "light": page.light,
        "water": page.water,
        "planting": page.planting,
        "cutting": page.cutting_back,
        "winter": page.winter,
    }
    return tuple(Care(line, held[line][:_AT_MOST]) for line in CARE)


def _origin(history: History, given_on: date | None) -> str:
    sticking = history.sticking
    day = day_text(sticking.stuck_on)
    if sticking.plant:
        stuck = Said("Raised from a cutting of {plant}, stuck {day}", plant=sticking.plant.plant, day=day)
    else:
        stuck = Said("Raised from a cutting, stuck {day}", day=day)
    parts = [stuck]
    if history.first_potted_on:
        parts.append(Said("potted {day}", day=day_text(history.first_potted_on)))
    if given_on:
        parts.append(Said("given {day}", day=day_text(given_on)))
    return Said("{words}.", words=joined(parts, ", "))


def _rights(sticking: Sticking, kind: str) -> str:
    taxon = sticking.taxon
    said = {
        "free": Said("none recorded for this plant."),
        "unknown": Said("nobody has written down whether this plant is protected."),
        "expired": Said("recorded as ended on {day}.", day=day_text(taxon.rights_until))
        if taxon.rights_until
        else Said("ended."),
        "licensed": Said(
            "protected; multiplied under licence {licence}. Do not multiply it without one.",
            licence=taxon.licence,
        ),
    }
    return said[kind]
