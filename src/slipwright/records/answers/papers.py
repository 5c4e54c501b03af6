"""The stick sheet of a want or a batch, and the garden's calendar."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any, cast

import numpy as np
from django.db.models import F

from slipwright.advice._wording import WOOD_WORDS, counted, tenths
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
from slipwright.records.answers.programme.in_use import events_in_use
from slipwright.records.answers.programme.of_wants import PlannedWant, planned_wants
from slipwright.records.answers.programme.rest import rest_of
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
from slipwright.records.selectors import BatchNow, WantNow

#: what tells the hormone of a batch
_DIP = ("auxin", "auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg", "dip_s")


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
    planned = (planned_wants(garden, [need.want], on=on) or {}).get(want.want)
    if planned and planned.to_do:
        return _sheet_of_line(garden, handbook, want, planned, on)
    if planned and planned.is_good and not planned.n_missed:
        raise Refused(Said("{want}: nothing more to stick by the programme in use.", want=want.want))
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


def _sheet_of_line(
    garden: Garden, handbook: Handbook, want: Want, planned: PlannedWant, on: date
) -> StickSheet:
    """Return the sheet of the batch of the programme in use that is next for a want."""
    line, n_after = planned.to_do[0], len(planned.to_do) - 1
    told = rest_of(line.told, line.n_left)
    plants = [one["plant"] for one in told.get("shoots", ()) if one["plant"]]
    plant = Plant.rows.of(garden).filter(plant__in=plants[:1]).first()
    container = Container.rows.of(garden).filter(container=told.get("container") or "").first()
    dip = {name: told.get(name) for name in _DIP}
    # a range of strengths is the handbook's, who tells it better
    is_own = told.get("method") and not any(isinstance(said, list) for said in dip.values())
    advice = _answer(
        garden,
        handbook,
        want.taxon,
        max(line.stick_on, on),
        wood=cast(Wood, told["wood"]),
        n_stuck=line.n_left,
        n_per_container=told.get("n_per_container"),
        pot_l=float(container.volume_ml) / 1000 if container and container.volume_ml else None,
        have=told.get("cover") or None,
        dose=_dose(dip) if is_own else None,
    )
    sheet = _sheet(garden, advice, plant, on)
    answer: str = Said(
        "Stick {cuttings} of {wood}, week of {day}: line {line} of the programme.",
        cuttings=counted(line.n_left, "cutting"),
        wood=WOOD_WORDS[told["wood"]],
        day=day_text(line.week),
        line=line.n + 1,
    )
    if n_after:
        after = Said("1 more batch for it comes later.") if n_after == 1 else ""
        answer = joined([answer, after or Said("{n} more batches for it come later.", n=n_after)])
    facts = [(Said("For"), _wish(want)), (Said("Promised"), tenths(planned.told["promised"]))]
    if plants:
        facts.append((Said("Cut from"), joined(plants, ", ")))
    kept = [fact for fact in sheet.facts if fact[0] not in ("Wanted", "Shoots")]
    return replace(sheet, answer=answer, facts=(*facts, *kept))


def _wish(want: Want | WantNow) -> str:
    return Said(
        "{n} {ready_as} by {day}",
        n=want.n_wanted,
        ready_as=Said(want.ready_as),
        day=day_text(want.ready_by),
    )


def _in_words(need: Need) -> str:
    text = _wish(need.want)
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
        dose=_dose({name: getattr(sticking, name) for name in _DIP}),
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


def _dose(lot: Mapping[str, Any]) -> Dose | None:
    """Return the hormone a batch is given; ``None`` where it is not written down."""
    recorded = Origin(mark="as recorded")
    auxin, said_form, dip_s = lot.get("auxin"), lot.get("auxin_form"), lot.get("dip_s")
    if auxin == "none":
        return Dose("none", "none", 0, 0, "", None, recorded)
    strength = lot.get("auxin_mg_per_kg" if said_form == "talc" else "auxin_mg_per_l")
    if not (auxin and said_form and strength):
        return None
    form = cast(Form, said_form)
    unit: Unit = "mg/kg" if form == "talc" else "mg/L"
    seconds = None
    if dip_s:
        seconds = Range(float(dip_s), float(dip_s), "s", recorded)
    return Dose(form, cast(Auxin, auxin), float(strength), float(strength), unit, seconds, recorded)


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
        first="us" if garden.units == "us" else "metric",
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
    """Return the garden's days to look, pot up, give up and cut, and the weeks of the programme in use."""
    domain = f"{garden.garden}.slipwright"
    batches = batches_on_round(garden, handbook, selectors.states_of_open_batches(garden))
    days = calendar_events(
        batches,
        plants_on_round(garden, handbook, asked_for(garden, handbook, on=on), on=on),
        on=on,
        generator=np.random.default_rng(SEED),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
        domain=domain,
        learned=learned_for(garden, batches),
    )
    return days + events_in_use(garden, handbook, on=on, domain=domain)
