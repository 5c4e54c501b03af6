"""Everything written down about one batch, in order; what was taken back is marked, not left out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import F, Value

from slipwright.records.errors import NotFound
from slipwright.records.models import (
    Act,
    Entry,
    Garden,
    Look,
    Member,
    Note,
    Outcome,
    Photo,
    Place,
    Potting,
    Sticking,
    Withdrawal,
)
from slipwright.records.selectors.batches import batch_by_code
from slipwright.records.selectors.photos import PhotoShown
from slipwright.records.states import local_day
from slipwright.records.sums import LookSeen, counted_looks

_WHOLE = (
    "taxon",
    "plant",
    "place",
    "method",
    "medium",
    "container",
    "want",
    "trial",
    "by",
    "state",
    "state__place",
)
_OF_DAY: dict[type[Entry], tuple[str, ...]] = {
    Look: (),
    Potting: ("container", "medium", "place"),
    Outcome: (),
    Act: ("place", "to_place"),
}


@dataclass(frozen=True, slots=True)
class TakenBack:
    """Who took an entry back, when and why."""

    on: date
    by: str
    reason: str


@dataclass(frozen=True, slots=True)
class Happened:
    """One entry about a batch: ``what`` is the record itself, its references already read."""

    kind: str
    entry_id: str
    on: date
    number: int
    by: str
    day: int
    what: Any
    #: whether it counts: not taken back, and of two looks from one look the one that holds
    counts: bool = True
    taken_back: TakenBack | None = None

    @property
    def signs(self) -> tuple[str, ...]:
        """The signs of a look."""
        said = getattr(self.what, "signs", "")
        return tuple(said.split(";")) if said else ()

    @property
    def is_empty(self) -> bool:
        """Whether a look carries nothing but its day."""
        counts = ("n_rooted", "n_lost", "n_removed", "n_lost_rooted", "n_tried", "n_tried_rooted")
        return (
            self.kind == "look"
            and not any(getattr(self.what, name) is not None for name in counts)
            and not (self.what.signs or self.what.pot_weight or self.what.cause or self.what.note)
        )

    @property
    def no_change(self) -> bool:
        """Whether a look counted and found nothing new."""
        counted = [self.what.n_rooted, self.what.n_lost] if self.kind == "look" else []
        return any(n is not None for n in counted) and not any(counted) and not self.what.n_removed


@dataclass(frozen=True, slots=True)
class History:
    """A batch with all that was written about it, oldest first."""

    sticking: Sticking
    events: tuple[Happened, ...]
    taken_back: TakenBack | None = None
    looks: tuple[Look, ...] = field(default=())

    @property
    def standing(self) -> tuple[Happened, ...]:
        """What was not taken back."""
        return tuple(event for event in self.events if event.taken_back is None)

    @property
    def photos(self) -> tuple[PhotoShown, ...]:
        """The photos that were not taken back, newest first."""
        return tuple(
            PhotoShown(event.entry_id, event.on, event.by, event.what.by_id)
            for event in self.standing[::-1]
            if event.kind == Photo.kind
        )

    @property
    def n_by_fate(self) -> tuple[tuple[str, int], ...]:
        """How many went which way, as the outcomes that stand say: given, planted and the like."""
        found: dict[str, int] = {}
        for event in self.standing:
            if event.kind == "outcome" and event.what.fate and event.what.n_reached:
                found[event.what.fate] = found.get(event.what.fate, 0) + event.what.n_reached
        return tuple(found.items())

    @property
    def first_potted_on(self) -> date | None:
        """Day of the first potting that stands."""
        return next((event.on for event in self.standing if event.kind == "potting"), None)


def whole_batch(garden: Garden, code: str) -> Sticking:
    """Return a batch, found as ``batch_by_code`` finds it, with its state and all it refers to. One query."""
    rows = Sticking.rows.of(garden).select_related(*_WHOLE)
    found = rows.filter(batch=code).first()
    return found or rows.get(pk=batch_by_code(garden, code).pk)


def history_of(garden: Garden, sticking: Sticking) -> History:
    """Return all that was written about a batch, oldest first. Six queries."""
    found: list[tuple[date, Entry]] = []
    for model, refers in _OF_DAY.items():
        rows: Any = model.rows.of(garden)
        found += [(one.on, one) for one in rows.filter(batch=sticking).select_related("by", *refers)]
    about = {sticking.entry_id, sticking.batch, *(entry.entry_id for _, entry in found)}
    found += [(local_day(one.at, one.at_offset_min), one) for one in _said_about(garden, about)]
    ids = {sticking.entry_id, *(entry.entry_id for _, entry in found)}
    back = _taken_back(garden, ids)
    looks = _that_count([entry for _, entry in found if isinstance(entry, Look)], back)
    holds = {look.entry_id for look in looks}
    found.sort(key=lambda one: (one[0], one[1].number))
    events = [
        Happened(
            kind=entry.kind,
            entry_id=entry.entry_id,
            on=on,
            number=entry.number,
            by=_name(getattr(entry, "by", None)),
            day=(on - sticking.stuck_on).days,
            what=entry,
            counts=not isinstance(entry, Look) or entry.entry_id in holds,
            taken_back=back.get((entry.kind, entry.entry_id)),
        )
        for on, entry in found
    ]
    return History(sticking, tuple(events), back.get((Sticking.kind, sticking.entry_id)), looks)


def _said_about(garden: Garden, about: set[str]) -> list[Note | Photo]:
    """Return the notes and photos about something, as far as a page shows them. One query."""
    names = ("kind_is", "pk", "entry_id", "number", "at", "at_offset_min", "about", "by_id")
    rows = [
        said.rows.of(garden)
        .filter(about__in=about)
        .annotate(kind_is=Value(said.kind), words=F(words))
        .values_list(*names, "words", "by__member", "by__shown_as")
        for said, words in ((Note, "text"), (Photo, "file"))
    ]
    found: list[Note | Photo] = []
    for kind, pk, entry_id, number, at, offset, of, by, words, member, shown_as in rows[0].union(
        rows[1], all=True
    ):
        who = Member(pk=by, member=member, shown_as=shown_as) if by else None
        same: dict[str, Any] = {
            "pk": pk,
            "garden": garden,
            "entry_id": entry_id,
            "number": number,
            "at": at,
            "at_offset_min": offset,
            "about": of,
            "by": who,
        }
        found.append(Note(text=words, **same) if kind == Note.kind else Photo(file=words, **same))
    return found


def _name(member: Member | None) -> str:
    return str(member) if member else ""


def _taken_back(garden: Garden, ids: set[str]) -> dict[tuple[str, str], TakenBack]:
    rows = Withdrawal.rows.of(garden).filter(withdraws__in=ids).select_related("by")
    return {
        (row.withdraws_kind, row.withdraws): TakenBack(
            local_day(row.at, row.at_offset_min), _name(row.by), row.reason
        )
        for row in rows
    }


def _that_count(looks: list[Look], back: dict[tuple[str, str], TakenBack]) -> tuple[Look, ...]:
    standing = {look.entry_id: look for look in looks if (look.kind, look.entry_id) not in back}
    seen = (LookSeen(look.entry_id, look.on, look.number, look.after) for look in standing.values())
    return tuple(standing[look.entry_id] for look in counted_looks(seen)[0])


def entry_of_batch(garden: Garden, sticking: Sticking, kind: str, entry_id: str) -> Happened:
    """Return one entry of a batch, or its sticking; raise ``NotFound`` where it is not about this batch."""
    if kind == Sticking.kind and entry_id == sticking.entry_id:
        back = _taken_back(garden, {entry_id}).get((kind, entry_id))
        by = _name(sticking.by)
        return Happened(kind, entry_id, sticking.stuck_on, sticking.number, by, 0, sticking, taken_back=back)
    for event in history_of(garden, sticking).events:
        if (event.kind, event.entry_id) == (kind, entry_id):
            return event
    raise NotFound(f"there is no {kind} of that id about batch {sticking.batch}")


def places_named(garden: Garden) -> list[str]:
    """Return the names of the places of a garden, in the order of the walk."""
    return list(Place.rows.of(garden).order_by("walk_order", "place").values_list("place", flat=True))


def is_taken_back(garden: Garden, entries: Iterable[Entry]) -> bool:
    """Return whether any of some entries was taken back. One query a kind."""
    ids: dict[str, list[str]] = {}
    for entry in entries:
        ids.setdefault(entry.kind, []).append(entry.entry_id)
    rows = Withdrawal.rows.of(garden)
    return any(rows.filter(withdraws_kind=kind, withdraws__in=named).exists() for kind, named in ids.items())
