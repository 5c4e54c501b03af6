"""Where a batch stands, summed from its entries. One rule for recording, loading and selfcheck."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

#: More left the batch than were stuck.
MORE_THAN_STUCK = "more-than-stuck"
#: The number counted as still waiting is not what the sum leaves.
WAITING_DIFFERS = "waiting-differs"
#: Two looks were made from the same earlier look; the later one counts until a person picks.
TWO_LOOKS_FROM_ONE = "two-looks-from-one"
#: More rooted cuttings were lost than had rooted.
LOST_MORE_THAN_ROOTED = "lost-more-than-rooted"
#: More were potted than had rooted.
POTTED_MORE_THAN_ROOTED = "potted-more-than-rooted"
#: Of those tried, more had rooted than were tried.
TRIED_DIFFERS = "tried-differs"
#: Seen or done before the batch was stuck.
BEFORE_STICKING = "before-sticking"

FLAGS = (
    MORE_THAN_STUCK,
    WAITING_DIFFERS,
    TWO_LOOKS_FROM_ONE,
    LOST_MORE_THAN_ROOTED,
    POTTED_MORE_THAN_ROOTED,
    TRIED_DIFFERS,
    BEFORE_STICKING,
)


@dataclass(frozen=True, slots=True)
class LookSeen:
    """The counts of one look; ``None`` was not counted."""

    entry_id: str
    on: date
    number: int
    after: str = ""
    n_rooted: int | None = None
    n_lost: int | None = None
    n_waiting: int | None = None
    n_removed: int | None = None
    n_lost_rooted: int | None = None
    n_tried: int | None = None
    n_tried_rooted: int | None = None


@dataclass(frozen=True, slots=True)
class PottedUp:
    """One potting."""

    on: date
    number: int
    n_potted: int


@dataclass(slots=True)
class Standing:
    """Where a batch stands. At risk is ``n_waiting`` = stuck - rooted - lost - removed."""

    n_stuck: int
    n_rooted: int = 0
    n_lost: int = 0
    n_removed: int = 0
    n_lost_rooted: int = 0
    n_potted: int = 0
    n_looks: int = 0
    last_look_on: date | None = None
    first_rooted_on: date | None = None
    unpotted_since: date | None = None
    ended_on: date | None = None
    flags: set[str] = field(default_factory=set)

    @property
    def n_waiting(self) -> int:
        """Cuttings still at risk; negative where the counts do not add up."""
        return self.n_stuck - self.n_rooted - self.n_lost - self.n_removed

    @property
    def n_to_pot(self) -> int:
        """Rooted cuttings that still stand where they were stuck."""
        return self.n_rooted - self.n_lost_rooted - self.n_potted

    def settle(self, on: date) -> None:
        """Note whether the batch ended on this day, and since when rooted ones wait for a pot."""
        if self.n_to_pot <= 0:
            self.unpotted_since = None
        elif self.unpotted_since is None:
            self.unpotted_since = on
        over = self.n_waiting <= 0 and self.n_to_pot <= 0
        self.ended_on = (self.ended_on or on) if over else None


def counted_looks(looks: Iterable[LookSeen]) -> tuple[list[LookSeen], bool]:
    """Return the looks that count, in the order they were seen, and whether any did not.

    Of two looks made from the same earlier look the one observed later counts, then the one with
    the later server number.  Looks that name no earlier look follow by day, then by number.
    """
    newest: dict[str, LookSeen] = {}
    free: list[LookSeen] = []
    clash = False
    for look in looks:
        if not look.after:
            free.append(look)
        elif (other := newest.get(look.after)) is None:
            newest[look.after] = look
        else:
            clash = True
            if (look.on, look.number) > (other.on, other.number):
                newest[look.after] = look
    return sorted([*free, *newest.values()], key=lambda look: (look.on, look.number)), clash


def standing(
    n_stuck: int, stuck_on: date, looks: Sequence[LookSeen], pottings: Sequence[PottedUp] = ()
) -> Standing:
    """Return where a batch stands after all its looks and pottings that were not withdrawn."""
    here = Standing(n_stuck)
    counted, clash = counted_looks(looks)
    if clash:
        here.flags.add(TWO_LOOKS_FROM_ONE)
    events: list[LookSeen | PottedUp] = sorted([*counted, *pottings], key=_day)
    for event in events:
        if event.on < stuck_on:
            here.flags.add(BEFORE_STICKING)
        if isinstance(event, LookSeen):
            _add_look(here, event)
        else:
            here.n_potted += event.n_potted
            if here.n_to_pot < 0:
                here.flags.add(POTTED_MORE_THAN_ROOTED)
        here.settle(event.on)
    return here


def _day(event: LookSeen | PottedUp) -> tuple[date, bool, int]:
    """Sort by day; of one day, looks come before pottings: what is potted was rooted by then."""
    return event.on, isinstance(event, PottedUp), event.number


def _add_look(here: Standing, look: LookSeen) -> None:
    here.n_looks += 1
    here.last_look_on = look.on
    here.n_rooted += look.n_rooted or 0
    here.n_lost += look.n_lost or 0
    here.n_removed += look.n_removed or 0
    here.n_lost_rooted += look.n_lost_rooted or 0
    if here.first_rooted_on is None and (look.n_rooted or look.n_tried_rooted):
        here.first_rooted_on = look.on
    if here.n_waiting < 0:
        here.flags.add(MORE_THAN_STUCK)
    if look.n_waiting is not None and look.n_waiting != here.n_waiting:
        here.flags.add(WAITING_DIFFERS)
    if here.n_lost_rooted > here.n_rooted:
        here.flags.add(LOST_MORE_THAN_ROOTED)
    if (look.n_tried_rooted or 0) > (look.n_tried or 0):
        here.flags.add(TRIED_DIFFERS)
