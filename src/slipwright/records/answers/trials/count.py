"""The pots of a trial that something waits in, as a form that counts them all starts from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from slipwright.records import selectors
from slipwright.records.answers.trials.now import PotNow, TrialNow
from slipwright.records.models import Garden, Sticking


@dataclass(frozen=True, slots=True)
class PotToCount:
    """A pot in which something waits: when it was looked at last, and the entry a new look follows."""

    pot: PotNow
    n_waiting: int
    last_on: date | None
    after: str


def pots_to_count(garden: Garden, now: TrialNow) -> list[PotToCount]:
    """Return the pots something waits in, as they stand on the bench. Two queries."""
    open_pots = [pot for pot in now.pots if pot.pot.n_waiting > 0 and pot.pot.ended_on is None]
    pks = [pot.pot.pk for pot in open_pots]
    looks = selectors.looks_of(garden, pks)
    ids = dict(Sticking.rows.of(garden).filter(pk__in=pks).values_list("pk", "entry_id"))
    found = []
    for pot in open_pots:
        last = looks[pot.pot.pk][-1] if looks.get(pot.pot.pk) else None
        after = last.entry_id if last else ids[pot.pot.pk]
        found.append(PotToCount(pot, pot.pot.n_waiting, last.on if last else None, after))
    return found
