"""The stick sheet of a want or a batch, and the garden's calendar."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any, cast

import numpy as np

from slipwright.advice.advise import advise as answer_for
from slipwright.advice.answer import Advice
from slipwright.advice.calendar import calendar_events
from slipwright.advice.sheet import stick_sheet
from slipwright.advice.timing import Flowers, is_south
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Wood
from slipwright.outputs.calendar import Event
from slipwright.outputs.sheet import StickSheet
from slipwright.records import selectors
from slipwright.records.answers.round import SEED
from slipwright.records.answers.walk import batches_on_round, plants_on_round, round_days
from slipwright.records.errors import NotFound
from slipwright.records.models import Container, Garden, Plant, Sticking, Taxon, Want


def sheet_for(garden: Garden, handbook: Handbook, named: str, *, on: date) -> StickSheet:
    """Return the stick sheet of a want, or of a batch by its code."""
    want = Want.rows.of(garden).select_related("taxon").filter(want=named).first()
    if want is not None:
        return _sheet_of_want(garden, handbook, want, on)
    try:
        sticking = selectors.batch_by_code(garden, named)
    except NotFound as error:
        raise NotFound(f"there is no want called {named!r}, and {error}") from error
    return _sheet_of_batch(garden, handbook, sticking, on)


def _sheet_of_want(garden: Garden, handbook: Handbook, want: Want, on: date) -> StickSheet:
    advice = _answer(
        garden,
        handbook,
        want.taxon,
        on,
        want=want.n_wanted,
        assurance=float(min(max(want.assurance, Decimal("0.01")), Decimal("0.99"))),
    )
    plant = Plant.rows.of(garden).filter(taxon=want.taxon).order_by("-shoots_per_season", "plant").first()
    return _sheet(garden, advice, plant, on)


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
    )
    return _sheet(garden, advice, sticking.plant, on, code=sticking.batch)


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
    return calendar_events(
        batches_on_round(garden, handbook, selectors.states_of_open_batches(garden)),
        plants_on_round(garden, handbook, on=on),
        on=on,
        generator=np.random.default_rng(SEED),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
        domain=f"{garden.garden}.slipwright",
    )
