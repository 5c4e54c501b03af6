"""What a forecast rests on, in numbers and in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined
from slipwright.rooting.belief_left import share_in_words
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Learned


@dataclass(frozen=True, slots=True)
class RestsOn:
    """What a number rests on: records, and the share of it that is the handbook's word."""

    n_batches: int
    n_looks: int
    prior_share: float
    text: str

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "n_batches": self.n_batches,
            "n_looks": self.n_looks,
            "prior_share": round(self.prior_share, 2),
            "text": self.text,
        }


def rests_on(
    learned: Learned, record: BatchRecord, share: float, *, from_page: bool, past: date | None, on: date
) -> RestsOn:
    """Return what a forecast rests on, in numbers and words.

    Parameters
    ----------
    learned : Learned
        What was learned, and from how many batches.
    record : BatchRecord
        The batch.
    share : float
        Share of the answer that is still the prior's [-].
    from_page : bool
        Whether a page of the handbook stands behind the prior.
    past : date or None
        The day patience ran out, where it has and something still waits.
    on : date
        Today.

    Returns
    -------
    RestsOn
        Batches of the taxon, else of its genus, that were learned from; looks at this batch that counted
        anything; words.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> from slipwright.rooting.counts import BatchCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import before_records
    >>> stuck = BatchCounts(date(2026, 10, 20), 9)
    >>> record = BatchRecord(Cuttings(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"), stuck)
    >>> rests_on(before_records(), record, 1.0, from_page=True, past=None, on=stuck.stuck_on).text
    'Rests on the handbook alone.'
    """
    n_batches, records = records_behind(learned, record.kind)
    n_looks = record.counts.n_looks
    sentences = [_grounds(records, n_looks, from_page)]
    if records or (n_looks and share < 1):
        sentences.append(share_in_words(share, from_page=from_page))
    if past is not None:
        sentences.append(
            Said(
                "Patience ran out on {day}: of what waits beyond it the handbook says nothing, and neither "
                "what roots nor what dies then can be told with the ease of these numbers.",
                day=day_in_words(past, beside=on),
            )
        )
    return RestsOn(n_batches, n_looks, share, joined(sentences))


def _grounds(records: str, n_looks: int, from_page: bool) -> str:
    base = Said("the handbook") if from_page else Said("what holds for any plant")
    looks = Said("1 look at this batch") if n_looks == 1 else Said("{n} looks at this batch", n=n_looks)
    said = {"base": base, "records": records, "looks": looks}
    if records and n_looks:
        grounds = Said("Rests on {records}, {base} and {looks}", **said)
    elif records:
        grounds = Said("Rests on {records} and {base}", records=records, base=base)
    elif n_looks:
        grounds = Said("Rests on {base} and {looks}", base=base, looks=looks)
    else:
        grounds = Said("Rests on {base} alone", base=base)
    why = "" if from_page else Said("the handbook has no page for this one")
    return Said("{words}.", words=joined([grounds, why], "; "))


def records_behind(learned: Learned, kind: Kind) -> tuple[int, str]:
    """Return how many of the garden's batches bear on one most, and in words which.

    Parameters
    ----------
    learned : Learned
        What was learned, and from how many batches.
    kind : Kind
        Where the batch stands.

    Returns
    -------
    tuple of int and str
        Batches of the taxon, else of its genus [1]; words, empty where nothing was learned yet.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> from slipwright.rooting.learned import before_records
    >>> records_behind(before_records(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"))
    (0, '')
    """
    behind = learned.behind
    n_all = behind.get((), (0, 0))[0]
    n_taxon = behind.get(("taxon", kind.genus, kind.taxon), (0, 0))[0]
    n_genus = behind.get(("genus", kind.genus), (0, 0))[0]
    if n_taxon == 1:
        return 1, Said("your 1 batch of {plant}", plant=kind.taxon)
    n_wood = behind.get(("wood", kind.genus, kind.taxon, kind.wood), (0, 0))[0]
    if 0 < n_wood < n_taxon:
        return n_taxon, Said(
            "your {n} batches of {plant} ({n_wood} of them {wood})",
            n=n_taxon,
            plant=kind.taxon,
            n_wood=n_wood,
            wood=Said(kind.wood),
        )
    if n_taxon:
        return n_taxon, Said("your {n} batches of {plant}", n=n_taxon, plant=kind.taxon)
    if n_genus == 1:
        return 1, Said("your 1 batch of another {genus}", genus=kind.genus)
    if n_genus:
        return n_genus, Said("your {n} batches of other {genus}", n=n_genus, genus=kind.genus)
    if n_all == 1:
        return 0, Said("your 1 batch of another plant")
    return 0, Said("your {n} batches of other plants", n=n_all) if n_all else ""
