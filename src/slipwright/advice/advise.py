"""A straight answer without records: may I cut this plant, when, which wood, how many and how."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from slipwright.advice._reasons import before_bloom, better_later, may_be_tried, reasons
from slipwright.advice._wording import listed, sentence
from slipwright.advice.answer import Advice, Verdict
from slipwright.advice.asked import Asked, Named, NotKnown, plant_named
from slipwright.advice.evidence import evidence_of, rests_on_words
from slipwright.advice.plan import best_opening, plan_of_opening
from slipwright.advice.seen import NOTHING_SEEN, SeenPlant, windows_of_plant
from slipwright.advice.timing import (
    SOON_DAYS,
    Flowers,
    Opening,
    bloom_now,
    is_south,
    openings_of_page,
)
from slipwright.craft.cautions import Caution
from slipwright.craft.rights import Standing, standing
from slipwright.craft.said import Said, joined
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Dose, Wood
from slipwright.outputs.measures import First
from slipwright.rooting.dates import ROUND_DAYS
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.learned import Learned
from slipwright.rooting.resting import RestsOn

#: the same question gets the same answer
SEED = 1


def advise(
    handbook: Handbook,
    taxon_words: str,
    *,
    on: date,
    latitude_deg: float | None = None,
    want: int = 1,
    assurance: float = 0.8,
    shoot: str | None = None,
    have: str | None = None,
    flowers: Flowers | None = None,
    rights: str = "unknown",
    rights_until: date | None = None,
    licence: str = "",
    licence_until: date | None = None,
    round_days: int = ROUND_DAYS,
    price_each: float | None = None,
    cost_per_pot: float | None = None,
    currency: str = "",
    wood: Wood | None = None,
    n_stuck: int | None = None,
    n_per_container: int | None = None,
    pot_l: float | None = None,
    dose: Dose | None = None,
    seen: SeenPlant = NOTHING_SEEN,
    grows: GrowsOn | None = None,
    learned: Learned | None = None,
    first: First = "metric",
    tongue: str = "en",
    generator: np.random.Generator | None = None,
) -> Advice:
    """Return a straight answer for one plant on one day, from the handbook and what records taught.

    Parameters
    ----------
    handbook : Handbook
        Every page.
    taxon_words : str
        A common, botanical or older name.
    on : date
        The day asked about.
    latitude_deg : float, optional
        Latitude, north positive; without it the north is assumed and said so [deg].
    want : int
        Rooted plants wanted [1].
    assurance : float
        Probability wished of having them, above 0 and below 1 [-].
    shoot : {'vegetative', 'budded', 'flowering', 'spent'}, optional
        State of the shoot in hand.
    have : {'tent', 'mist', 'open'}, optional
        The cover there is; without it a tied bag is assumed for leafy cuttings.
    flowers : {'once', 'repeat'}, optional
        How this plant flowers, if other than its page says.
    rights : {'none', 'unknown', 'protected', 'licensed'}
        What is known of the rights in it.
    rights_until : date, optional
        Last day of protection.
    licence : str
        Number or wording of a licence.
    licence_until : date, optional
        Last day of the licence.
    round_days : int
        Days between looks, 5 to 10 [days].
    price_each : float, optional
        Price of one bought plant, for the saving [money].
    cost_per_pot : float, optional
        Cost of pot, medium and hormone for one pot; 4 unless given, which is invented [money].
    currency : str
        Written after amounts.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}, optional
        A wood already decided on.
    n_stuck : int, optional
        A number already decided on, as for the sheet of a batch: the plan then begins on ``on`` [1].
    n_per_container : int, optional
        Cuttings to a pot, in place of the handbook's [1].
    pot_l : float, optional
        Volume of a pot, in place of the handbook's [L].
    dose : Dose, optional
        A hormone already decided on, in place of the handbook's.
    seen : SeenPlant
        What was seen of the plant, and the weather it stood in.
    grows : GrowsOn, optional
        What a garden's records say of growing on; the handbook alone unless given.
    learned : Learned, optional
        What a garden's records taught of rooting; the handbook alone unless given.
    first : {'metric', 'us'}
        Which measure the steps of the work are told in first.
    tongue : str
        The language of the speaker, in two letters: for the plant's common names.
    generator : numpy.random.Generator, optional
        Where draws for the potting day come from; a fixed seed unless given, so that the same
        question gets the same answer.

    Returns
    -------
    Advice
        Verdict (yes, soon: within 60 days, no, not_allowed, unknown), reasons, numbers and steps.

    Raises
    ------
    BadArgument
        If an argument breaks its rule.

    Notes
    -----
    Of the windows open on the day the wood with the largest chance x median share rooted is taken;
    with none open, the one that opens first; one that roots clearly better later is named beside it.
    Soft wood just before bloom stays open at a stated cost.  A plant is answered only by a name of its
    own; words that merely touch a name are not known.  A shoot in bud or flower is refused; numbers are then
    those of another shoot.  Ready: months to finished from sticking, a month being 30.44 days.
    The handbook's months are weak within the tropics and beyond 60 degrees.

    References
    ----------
    Every number carries its source or mark in the handbook; `Advice.sources` lists them.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> answer = advise(load_handbook(), "rose", on=date(2026, 10, 20), latitude_deg=41, want=5)
    >>> answer.verdict, answer.plan.leaf.wood
    ('yes', 'semi-hardwood')
    """
    asked = Asked(
        taxon_words,
        on,
        latitude_deg,
        want,
        assurance,
        shoot,
        have,
        flowers,
        rights,
        rights_until,
        licence,
        licence_until,
        round_days,
        price_each,
        cost_per_pot,
        currency,
        wood,
        n_stuck,
        n_per_container,
        pot_l,
        dose,
        seen,
        grows,
        learned,
        first=first,
    )
    allowed = standing(rights, rights_until=rights_until, licence=licence, licence_until=licence_until, on=on)
    found = plant_named(handbook, taxon_words, tongue)
    if isinstance(found, NotKnown):
        return _of_unknown(asked, found, allowed)
    return _of_page(asked, found, allowed, tongue, generator or np.random.default_rng(SEED))


def _of_unknown(asked: Asked, found: NotKnown, allowed: Standing) -> Advice:
    """Answer for a plant without a page: the law still speaks, the craft cannot."""
    if not allowed.allowed:
        verdict: Verdict = "not_allowed"
        why = allowed.reason
    else:
        verdict = "unknown"
        called = found.words.strip() or Said("nothing")
        near = Said("Names near it: {names}.", names=listed(found.near, "or"))
        why = joined(
            [
                Said("The handbook has no one plant called {name} and does not guess.", name=called),
                near if found.near else Said("Try its genus."),
            ]
        )
    basis = Said("nothing: no handbook page, no records of yours")
    rests = RestsOn(0, 0, 1.0, rests_on_words(basis))
    cautions = (_rights_caution(allowed),)
    name = found.words.strip()
    return Advice(asked, verdict, why, name, "", (), None, None, cautions, (), (), (), rests, basis)


def _of_page(
    asked: Asked, named: Named, allowed: Standing, tongue: str, generator: np.random.Generator
) -> Advice:
    page, south = named.page, is_south(asked.latitude_deg)
    asked = replace(asked, taxon=named.taxon)
    windows = windows_of_plant(page, asked.seen, asked.on, south)
    bloom = bloom_now(page, asked.on, south=south, flowers=asked.flowers, seen=asked.seen)
    openings = openings_of_page(
        page, windows, asked.on, south=south, shoot=asked.shoot, flowers=asked.flowers, seen=asked.seen
    )
    best = best_opening(page, openings, asked, south)
    refused = asked.shoot in ("budded", "flowering")
    if not allowed.allowed:
        verdict: Verdict = "not_allowed"
        plan = None
    else:
        verdict = "no" if refused or best is None else _verdict(best, asked.on)
        plan = plan_of_opening(page, best, asked, south, generator) if best else None
    better = better_later(page, best, openings, asked, south) if plan else None
    early = before_bloom(page, bloom, openings, asked, south)
    if verdict == "not_allowed":
        said = [sentence(allowed.reason)]
    else:
        said = [
            *reasons(verdict, page, asked, bloom, best, better, south),
            *early,
            *may_be_tried(page, best, openings, asked, south),
        ]
    leaf = page.woods[best.wood] if best else None
    behind = evidence_of(named, leaf, plan, asked=asked, bloom=bloom, softwood_too=bool(early))
    return Advice(
        asked=asked,
        verdict=verdict,
        why=joined(said),
        taxon=named.taxon,
        common_name=page.common_name(named.taxon, tongue),
        windows=windows,
        bloom=bloom,
        plan=plan,
        cautions=(_rights_caution(allowed), *(plan.cautions if plan else ())),
        sources=behind.sources,
        beside=behind.beside,
        notes=behind.notes,
        rests_on=behind.rests_on,
        basis=behind.basis,
        better=better,
    )


def _rights_caution(allowed: Standing) -> Caution:
    return Caution("rights", allowed.reason, "stock plant")


def _verdict(best: Opening, on: date) -> Verdict:
    days = (best.from_on - on).days
    if days == 0:
        return "yes"
    return "soon" if days <= SOON_DAYS else "no"
