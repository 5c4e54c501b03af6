"""How plants grow on once they are potted, in days of the calendar and in words."""

from __future__ import annotations

from datetime import date, timedelta

from slipwright.craft.said import Said
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.potting import DayRange


def day_of_stage(known: GrowsOn, stage: str, wood: str, since: date) -> DayRange | None:
    """Return when young plants come so far.

    Parameters
    ----------
    known : GrowsOn
        What is known of the plant.
    stage : {'weaned', 'established', 'finished'}
        How far.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        The wood they were taken from.
    since : date
        Day of sticking for finished, else of potting.

    Returns
    -------
    DayRange or None
        8 times in 10; None where nobody knows any days.

    References
    ----------
    As `slipwright.rooting.growing`.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> from slipwright.rooting.growing import Growth
    >>> rose = Growth().of("Rosa", load_handbook().page_of("Rosa"))
    >>> day_of_stage(rose, "weaned", "semi-hardwood", date(2026, 3, 1)).p50.isoformat()
    '2026-03-15'
    """
    points = known.days(stage, wood)
    if points is None:
        return None
    early, middle, late = (since + timedelta(days=round(days)) for days in points)
    return DayRange(early, middle, late, stage)


def growing_rests_on(known: GrowsOn, what: str, origin: str) -> str:
    """Return in words what is known of growing on rests on.

    Parameters
    ----------
    known : GrowsOn
        What is known of the plant.
    what : {'survive', 'weaned', 'established', 'finished'}
        Which part of it.
    origin : str
        On whose word the handbook's range stands.

    Returns
    -------
    str
        To be put behind "rests on".

    Notes
    -----
    The handbook's part is the plant's variance now by that before any record. Where batches were potted
    that nobody wrote about, all that were potted are told too.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> from slipwright.rooting.growing import Growth
    >>> growing_rests_on(Growth().of("Acer", None), "weaned", "common practice, no source")
    'the handbook alone (common practice, no source)'
    """
    tenths = round(10 * known.prior_share(what))
    if not is_learned(known, what):
        return Said("the handbook alone ({origin})", origin=origin)
    said = {
        "n": known.n_plants,
        "batches": Said("one batch") if known.n_batches == 1 else Said("{n} batches", n=known.n_batches),
        "some": known.n_batches,
        "all": known.n_potted_batches,
        "tenths": tenths,
        "origin": origin,
    }
    of_some = known.n_potted_batches > known.n_batches
    if tenths < 1:
        if of_some:
            return Said(
                "{n} plants of {some} of your {all} potted batches, and hardly any more on the handbook",
                **said,
            )
        return Said("{n} plants of {batches} of yours, and hardly any more on the handbook", **said)
    if of_some:
        return Said(
            "{n} plants of {some} of your {all} potted batches; "
            "the handbook ({origin}) still weighs {tenths} in 10",
            **said,
        )
    return Said(
        "{n} plants of {batches} of yours; the handbook ({origin}) still weighs {tenths} in 10", **said
    )


def is_learned(known: GrowsOn, what: str) -> bool:
    """Return whether a garden's records say anything worth naming.

    Parameters
    ----------
    known : GrowsOn
        What is known of the plant.
    what : {'survive', 'weaned', 'established', 'finished'}
        Which part of it.

    Returns
    -------
    bool
        Whether less than 19 parts in 20 are the handbook's word.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.rooting.growing import Growth
    >>> is_learned(Growth().of("Acer", None), "survive")
    False
    """
    return known.n_batches > 0 and known.prior_share(what) < 0.95
