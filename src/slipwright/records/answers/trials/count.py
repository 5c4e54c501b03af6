"""The pots of a trial that something waits in, as a form that counts them all starts from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from slipwright.records import selectors
from slipwright.records.answers.trials.now import PotNow, TrialNow
from slipwright.records.models import Garden, Sticking

#: pots in one form: about what a person counts in one go, and far fewer fields than a form may send
MOST_AT_ONCE = 60


@dataclass(frozen=True, slots=True)
class PotToCount:
    """A pot in which something waits: when it was looked at last, and the entry a new look follows."""

    pot: PotNow
    n_waiting: int
    last_on: date | None
    after: str


@dataclass(frozen=True, slots=True)
class CountPage:
    """Pots that are counted together: the ``first`` to the ``last`` of ``n_open`` something waits in.

    ``before`` and ``after`` are where the pages beside it start, by number on the bench; None where none is.
    """

    pots: tuple[PotNow, ...]
    first: int
    n_open: int
    before: int | None
    after: int | None

    @property
    def last(self) -> int:
        """The number of its last pot among those something waits in."""
        return self.first + len(self.pots) - 1


def count_page(now: TrialNow, start: int = 1) -> CountPage:
    """Return the pots to count together from pot number ``start`` of the bench on, as they stand.

    Pots keep their number when others are counted out, so that none is passed over.
    """
    waits = [
        (number, pot)
        for number, pot in enumerate(now.pots, 1)
        if pot.pot.n_waiting > 0 and pot.pot.ended_on is None
    ]
    at = next((at for at, (number, _pot) in enumerate(waits) if number >= start), 0)
    end = at + MOST_AT_ONCE
    return CountPage(
        tuple(pot for _number, pot in waits[at:end]),
        at + 1,
        len(waits),
        waits[max(at - MOST_AT_ONCE, 0)][0] if at else None,
        waits[end][0] if end < len(waits) else None,
    )


def pots_to_count(garden: Garden, open_pots: Sequence[PotNow]) -> list[PotToCount]:
    """Return pots something waits in, with what a look at them follows. Two queries."""
    pks = [pot.pot.pk for pot in open_pots]
    looks = selectors.looks_of(garden, pks)
    ids = dict(Sticking.rows.of(garden).filter(pk__in=pks).values_list("pk", "entry_id"))
    found = []
    for pot in open_pots:
        last = looks[pot.pot.pk][-1] if looks.get(pot.pot.pk) else None
        after = last.entry_id if last else ids[pot.pot.pk]
        found.append(PotToCount(pot, pot.pot.n_waiting, last.on if last else None, after))
    return found
