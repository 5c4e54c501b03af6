"""The stick sheet of a want or a batch, and the garden's calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any, cast

import numpy as np
from django.db.models import F

from slipwright.advice.advise import advise as answer_for
from slipwright.advice.answer import Advice
from slipwright.advice.calendar import calendar_events
from slipwright.advice.seen import NOTHING_SEEN
from slipwright.advice.sheet import stick_sheet
from slipwright.advice.timing import Flowers, is_south
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, joined
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Auxin, Dose, Form, Origin, Range, Unit, Wood
from slipwright.outputs.calendar import Event
from slipwright.outputs.measures import day_text
from slipwright.outputs.sheet import StickSheet
from slipwright.records import selectors
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.plants_seen import seen_of_plant
from slipwright.records.answers.round import forecast_of_batch
from slipwright.records.answers.walk import (
    SEED,
    batches_on_round,
    learned_for,
    learned_for_taxa,
    plants_on_round,
    round_days,
)
from slipwright.records.answers.wants import Need, asked_for, in_time, needs_of
from slipwright.records.errors import NotFound, Refused
from slipwright.records.models import Container, Garden, Plant, Sticking, Taxon, Want
from slipwright.records.selectors import BatchNow


def sheet_for(garden: Garden, handbook: Handbook, named: str, *, on: date) -> StickSheet:
    """Return the stick sheet of a want, or of a batch by its code."""
    want = Want.rows.of(garden).select_related("taxon").filter(want__iexact=named.strip()).first()
    if want is not None:
        return _sheet_of_want(garden, handbook, want, on)
    try:
        sticking = selectors.batch_by_code(garden, named)
    except NotFound as error:
        known = ", ".join(
            Want.rows.of(garden).order_by("ready_by", "want").values_list("want", flat=True)[:20]
        )
        raise NotFound(
            f"there is no want called {named!r} and no batch of that code; the wants are {known or 'none'}"
        ) from error
    return _sheet_of_batch(garden, handbook, sticking, on)


def _sheet_of_want(garden: Garden, handbook: Handbook, want: Want, on: date) -> StickSheet:
    (need,) = needs_of(garden, handbook, on=on, only=want.want)
    if not need.n_short:
        raise Refused(
            Said(
                "{want}: nothing more to stick. It takes {needed} rooted, and what was stuck "
                "for it likely gives {expected}",
                want=want.want,
                needed=need.n_rooted_needed,
                expected=need.n_expected,
            )
        )
    plants = Plant.rows.of(garden).filter(taxon=want.taxon)
    plant = plants.order_by(F("shoots_per_season").desc(nulls_last=True), "plant").first()
    advice = _answer(
        garden,
        handbook,
        want.taxon,
        on,
        want=need.n_short,
        assurance=float(min(max(want.assurance, Decimal("0.01")), Decimal("0.99"))),
        seen=seen_of_plant(garden, handbook, plant.plant, on=on) if plant else NOTHING_SEEN,
    )
    sheet = _sheet(garden, advice, plant, on)
    late = in_time(need.want, advice.plan) if advice.plan else ""
    return replace(
        sheet,
        answer=joined([sheet.answer, late]),
        facts=((Said("For"), _in_words(need)), *sheet.facts),
    )


def _in_words(need: Need) -> str:
    want = need.want
    text: str = Said(
        "{n} {ready_as} by {day}",
        n=want.n_wanted,
        ready_as=Said(want.ready_as),
        day=day_text(want.ready_by),
    )
    if need.survive < 1:
        rooted = Said(
            "{n} rooted, since about {share} in 10 live to it",
            n=need.n_rooted_needed,
            share=round(10 * need.survive),
        )
        text = joined([text, rooted], ": ")
    likely = Said("{n} likely from what is stuck", n=need.n_expected) if need.n_expected else ""
    return joined([text, likely], "; ")


def _sheet_of_batch(garden: Garden, handbook: Handbook, sticking: Sticking, on: date) -> StickSheet:
    container: Container | None = sticking.container
    advice = _answer(
        garden,
        handbook,
        sticking.taxon,
        sticking.stuck_on,
        wood=cast(Wood, sticking.wood),
        n_stuck=sticking.n_stuck,
        n_per_container=sticking.n_per_container,
        pot_l=float(container.volume_ml) / 1000 if container and container.volume_ml else None,
        have=sticking.cover or None,
        shoot=sticking.shoot or None,
        dose=_dose_of(sticking),
    )
    sheet = _sheet(garden, advice, sticking.plant, on, code=sticking.batch)
    told = forecast_of_batch(garden, handbook, sticking, on=on)
    (now,) = selectors.states_of_batches(garden, [sticking])
    last = told.days[-1].rooted
    stands = Said(
        "{rooted} rooted, {lost} lost, {waiting} waiting",
        rooted=plain(now.n_rooted, 0),
        lost=plain(now.n_lost, 0),
        waiting=plain(max(now.n_waiting, 0), 0),
    )
    likely = Said(
        "about {middle} rooted in all; 8 times in 10 between {low} and {high}",
        middle=plain(last.p50, 0),
        low=plain(last.p10, 0),
        high=plain(last.p90, 0),
    )
    facts = [(Said("Stands"), stands), (Said("Likely"), likely)]
    kept = [fact for fact in sheet.facts if fact[0] not in ("Wanted", "Likely", "Chance", "Shoots")]
    n_pots = (advice.plan.n_containers if advice.plan else None) or 0
    return replace(
        sheet,
        answer=_answer_of_batch(now, n_pots),
        facts=(*facts, *kept),
        rests_on=told.rests_on.text,
    )


def _answer_of_batch(now: BatchNow, n_pots: int) -> str:
    said: dict[str, Any] = {"n": plain(now.n_stuck, 0), "wood": Said(now.wood), "day": day_text(now.stuck_on)}
    pots = Said("1 pot") if n_pots == 1 else Said("{n} pots", n=plain(n_pots, 0))
    if now.n_stuck == 1:
        one = Said("1 {wood} cutting in {pots}, stuck {day}.", **said, pots=pots)
        return one if n_pots else Said("1 {wood} cutting, stuck {day}.", **said)
    if n_pots:
        return Said("{n} {wood} cuttings in {pots}, stuck {day}.", **said, pots=pots)
    return Said("{n} {wood} cuttings, stuck {day}.", **said)


def _dose_of(sticking: Sticking) -> Dose | None:
    """Return the hormone the batch was given; ``None`` where it was not written down."""
    recorded = Origin(mark="as recorded")
    if sticking.auxin == "none":
        return Dose("none", "none", 0, 0, "", None, recorded)
    strength = sticking.auxin_mg_per_kg if sticking.auxin_form == "talc" else sticking.auxin_mg_per_l
    if not (sticking.auxin and sticking.auxin_form and strength):
        return None
    form = cast(Form, sticking.auxin_form)
    unit: Unit = "mg/kg" if form == "talc" else "mg/L"
    seconds = None
    if sticking.dip_s:
        seconds = Range(float(sticking.dip_s), float(sticking.dip_s), "s", recorded)
    return Dose(form, cast(Auxin, sticking.auxin), float(strength), float(strength), unit, seconds, recorded)


def _answer(garden: Garden, handbook: Handbook, taxon: Taxon, on: date, **more: Any) -> Advice:
    if handbook.page_of(taxon.taxon) is None:
        raise NotFound(f"the handbook has no page for {taxon.taxon}, so there is nothing to put on a sheet")
    return answer_for(
        handbook,
        taxon.taxon,
        on=on,
        latitude_deg=float(garden.latitude_deg),
        flowers=cast(Flowers, taxon.flowers) if taxon.flowers else None,
        rights=taxon.rights or "unknown",
        rights_until=taxon.rights_until,
        licence=taxon.licence,
        licence_until=taxon.licence_until,
        round_days=round_days(garden),
        learned=learned_for_taxa(garden, handbook, [taxon.taxon], on=on),
        grows=growth_of(garden, handbook, on=on).of(taxon.taxon, handbook.page_of(taxon.taxon)),
        **more,
    )


def _sheet(garden: Garden, advice: Advice, plant: Plant | None, on: date, code: str = "") -> StickSheet:
    length = plant.shoot_length_mm if plant else None
    return stick_sheet(
        advice,
        code=code,
        garden=garden.name,
        made_on=on,
        shoot_length_mm=None if length is None else float(length),
        nodes_per_shoot=plant.nodes_per_shoot if plant else None,
        first="us" if garden.units == "us" else "metric",
    )


def events_of(garden: Garden, handbook: Handbook, *, on: date) -> tuple[Event, ...]:
    """Return the garden's days to look, pot up, give up and cut."""
    batches = batches_on_round(garden, handbook, selectors.states_of_open_batches(garden))
    return calendar_events(
        batches,
        plants_on_round(garden, handbook, asked_for(garden, handbook, on=on), on=on),
        on=on,
        generator=np.random.default_rng(SEED),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
        domain=f"{garden.garden}.slipwright",
        learned=learned_for(garden, batches),
    )
