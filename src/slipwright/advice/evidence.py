"""On whose word an answer stands: cautions, notes, published figures beside it, sources."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from slipwright.advice._wording import WOOD_WORDS, fewer, listed, sentence, span, tenths, unlike
from slipwright.advice.answer import Plan
from slipwright.advice.asked import Asked, Named
from slipwright.advice.growing import growing_rests_on, is_learned
from slipwright.advice.odds import Odds
from slipwright.advice.seen import NOTHING_SEEN, windows_rest_on
from slipwright.advice.timing import BloomNow
from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import Origin, Page, Spread, WoodLeaf
from slipwright.rooting.belief_left import share_in_words, share_of_prior
from slipwright.rooting.learned import Learned
from slipwright.rooting.resting import RestsOn, records_behind

_TROPIC, _FAR = 23.5, 60.0
#: beyond this the tail of a handbook's range is a shape and not knowledge: common practice, no source
MOST_ASSURANCE = 0.99


@dataclass(frozen=True, slots=True)
class Evidence:
    """What stands behind an answer and beside it."""

    sources: tuple[str, ...]
    beside: tuple[str, ...]
    notes: tuple[str, ...]
    rests_on: RestsOn
    basis: str


def evidence_of(
    named: Named,
    leaf: WoodLeaf | None,
    plan: Plan | None,
    *,
    asked: Asked,
    bloom: BloomNow,
    softwood_too: bool = False,
) -> Evidence:
    """Return what an answer rests on.

    Parameters
    ----------
    named : Named
        The plant as it was found.
    leaf : WoodLeaf or None
        The wood spoken of.
    plan : Plan or None
        What to do with it, if it may be done.
    asked : Asked
        The question.
    bloom : BloomNow
        Nearness of bloom.
    softwood_too : bool
        Whether softwood of spring was spoken of: its published figures then stand beside.

    Returns
    -------
    Evidence
        Sources of each part, published figures beside the range used, what was assumed, and what
        it all rests on.

    References
    ----------
    Each value's own, in the handbook.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.advice.timing import bloom_now
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 10, 20)
    >>> asked = Asked("rose", on)
    >>> found = evidence_of(Named(rose, "Rosa"), None, None, asked=asked, bloom=bloom_now(rose, on))
    >>> found.rests_on.n_batches
    0
    """
    page = named.page
    beside = _figures_beside(page, leaf, softwood_too)
    notes = unlike([*_notes(named, asked, bloom), *_plan_notes(asked, plan)])
    n_batches, share, records = _records(asked.learned, plan.odds if plan else None)
    basis = _basis(leaf, records)
    published = [Said("Published beside it: {figures}.", figures=joined(beside, "; "))] if beside else []
    told = [share_in_words(share, from_page=leaf is not None)] if records else []
    rests_on = RestsOn(n_batches, 0, share, joined([rests_on_words(basis), *told, *published, *notes]))
    return Evidence((*_sources(page, leaf), *beside), beside, notes, rests_on, basis)


def grounds_of_odds(leaf: WoodLeaf, odds: Odds, learned: Learned | None) -> RestsOn:
    """Return what the chances of a wood rest on.

    Parameters
    ----------
    leaf : WoodLeaf
        The wood.
    odds : Odds
        Its chances as it would be taken.
    learned : Learned or None
        What a garden's records taught; None for the handbook alone.

    Returns
    -------
    RestsOn
        Batches behind them, how much is still the prior's, and a sentence.

    References
    ----------
    As `slipwright.rooting.resting.records_behind`.

    Examples
    --------
    >>> from slipwright.advice.odds import odds_of
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> leaf = rose.woods["hardwood"]
    >>> odds = odds_of(rose, leaf, shoot=None, have=None, leafless=False)
    >>> grounds_of_odds(leaf, odds, None).text
    'Rests on the handbook alone (common practice, no source); no records of yours.'
    """
    n_batches, share, records = _records(learned, odds)
    return RestsOn(n_batches, 0, share, rests_on_words(_basis(leaf, records)))


def _records(learned: Learned | None, odds: Odds | None) -> tuple[int, float, str]:
    """Say how many batches of the garden's the chances rest on, how much is still the prior's, and which."""
    if learned is None or odds is None:
        return 0, 1.0, ""
    n_batches, records = records_behind(learned, odds.kind)
    if not records:
        return 0, 1.0, ""
    return n_batches, share_of_prior(odds.rooted, odds.cuttings, odds.kind, odds.patience_days), records


def _basis(leaf: WoodLeaf | None, records: str) -> str:
    origin = leaf.rooted_percent[0].origin.words if leaf else ""
    if records:
        return Said("{records} and the handbook ({origin})", records=records, origin=origin)
    if leaf:
        return Said("the handbook alone ({origin}); no records of yours", origin=origin)
    return Said("the handbook alone; no records of yours")


def rests_on_words(basis: str) -> str:
    """Return what an answer rests on as a sentence.

    Parameters
    ----------
    basis : str
        What it rests on.

    Returns
    -------
    str
        The sentence.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> rests_on_words("the handbook alone")
    'Rests on the handbook alone.'
    """
    return Said("Rests on {basis}.", basis=basis)


def _notes(named: Named, asked: Asked, bloom: BloomNow) -> Iterable[str]:
    """Say what was assumed, and what to find out."""
    yield sentence(named.remark)
    if asked.seen != NOTHING_SEEN or asked.seen.weather is not None:
        yield Said("The days of the wood rest on {basis}.", basis=windows_rest_on(asked.seen, asked.on))
        yield Said(
            "First flowers, 8 times in 10 between {p10} and {p90}, rest on {basis}.",
            p10=day_in_words(bloom.p10, beside=asked.on),
            p90=day_in_words(bloom.p90, beside=asked.on),
            basis=bloom.rests_on,
        )
    if asked.latitude_deg is None:
        yield Said("No latitude given: the northern calendar is assumed. South of the equator say so.")
    elif abs(asked.latitude_deg) < _TROPIC:
        yield Said("Within the tropics the handbook's months say little: go by the feel of the wood.")
    elif abs(asked.latitude_deg) > _FAR:
        yield Said("Beyond 60 degrees the handbook's months run early or late: go by the feel of the wood.")
    if asked.shoot is None:
        yield Said(
            "The shoot decides: one in bud or flower is refused; of spent ones {fewer} root. "
            "Look at its tip.",
            fewer=fewer(bloom.spent_cost),
        )
    if asked.shoot in ("budded", "flowering"):
        yield Said("The handbook's reason for its distance from bloom: {reason}", reason=bloom.reason)
    if bloom.state == "near":
        yield Said(
            "Near bloom by the calendar: mind that the shoot carries no bud ({chance} clear of bloom).",
            chance=tenths(bloom.p_clear),
        )


def _plan_notes(asked: Asked, plan: Plan | None) -> Iterable[str]:
    if plan is None:
        return
    for remark in plan.odds.remarks:
        yield sentence(remark)
    if is_learned(plan.grows, "finished"):
        origin = plan.leaf.months_to_finished.origin.words
        yield Said(
            "The days until they are ready rest on {basis}.",
            basis=growing_rests_on(plan.grows, "finished", origin),
        )
    if plan.n_to_stick is None:
        yield Said("No number to stick reaches what was asked at these odds.")
    if asked.assurance > MOST_ASSURANCE:
        yield Said(
            "Surer than {n} times in 100 is more than a range of three points "
            "knows: how badly the worst batch in a hundred does is nowhere written. Such a number "
            "is a guess.",
            n=f"{MOST_ASSURANCE * 100:.0f}",
        )
    kind = plan.shelter.kind_and_words()[0]
    if not plan.leafless and kind in ("frame", "none") and asked.have in (None, "tent"):
        yield Said(
            "A bag is not for this wood now. Without a frame: a cool, light porch or window, out of frost."
        )
    elif asked.have is None and not plan.leafless:
        yield Said("A clear bag over the pot is assumed.")
    if asked.have == "open" and not plan.leafless:
        yield from (statement.text for statement in plan.leaf.cover)


def _figures_beside(page: Page, leaf: WoodLeaf | None, softwood_too: bool) -> tuple[str, ...]:
    """Gather published figures of the wood, else one of the plant's other woods."""
    woods = [leaf] if leaf else []
    if softwood_too and "softwood" in page.woods and page.woods["softwood"] is not leaf:
        woods.append(page.woods["softwood"])
    found = _published(woods) or _published(page.woods.values())[:1]
    if softwood_too:
        found += [
            Said("{words} ({origin})", words=note.text, origin=note.origin.words)
            for note in page.bloom.notes
            if note.origin.sources
        ]
    return unlike(found)


def _published(leaves: Iterable[WoodLeaf]) -> list[str]:
    return [_figure(leaf.wood, row) for leaf in leaves for row in leaf.rooted_percent if row.origin.sources]


def _figure(wood: str, row: Spread) -> str:
    return Said(
        "{wood}: {share} in 100 rooted, {treatment} ({origin})",
        wood=WOOD_WORDS[wood],
        share=span(row.p10, row.p90),
        treatment=row.treatment,
        origin=row.origin.words,
    )


def _sources(page: Page, leaf: WoodLeaf | None) -> tuple[str, ...]:
    """Name on whose word each part of the answer stands, parts with one origin together."""
    rule = page.bloom
    parts: list[tuple[str, Origin]] = [
        (Said("bloom"), rule.bloom.origin),
        (Said("distance from bloom"), rule.gap_before_days.origin),
    ]
    if leaf:
        parts += [(Said("days of the wood"), season.origin) for season in leaf.seasons]
        parts += [
            (Said("chance of rooting"), leaf.rooted_percent[0].origin),
            (Said("weeks to root"), leaf.weeks_to_root[0].origin),
            (Said("length"), leaf.length_mm.origin),
            (Said("nodes"), leaf.n_nodes.origin),
            (Said("patience"), leaf.patience_days.origin),
            (Said("potting up"), leaf.pot_up_note.origin),
            (Said("months to finished"), leaf.months_to_finished.origin),
        ]
        parts += [(Said("hormone"), dose.origin) for dose in leaf.doses[:1]]
    parts.append((Said("medium"), page.medium_origin))
    if page.n_per_pot and page.pot_volume_l:
        parts += [(Said("cuttings to a pot"), page.n_per_pot.origin), (Said("pot"), page.pot_volume_l.origin)]
    by_origin: dict[str, list[str]] = {}
    for what, origin in parts:
        whats = by_origin.setdefault(origin.words, [])
        if what not in whats:
            whats.append(what)
    return tuple(joined([listed(whats), origin], ": ") for origin, whats in by_origin.items())
