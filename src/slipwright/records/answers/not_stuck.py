"""What a batch not yet stuck will likely do, by what its garden learned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from slipwright.advice.asked import NotKnown, plant_named
from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, has_page, patience_of_batch, record_of_batch, rule_of
from slipwright.craft.names import NotAPlantName, genus_of, plant_name
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, Wood
from slipwright.records.answers.stick_choices import taxa_of, taxon_called
from slipwright.records.answers.walk import SEED, learned_for, round_days
from slipwright.records.models import Garden
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.forecast import Forecast, forecast_batch


@dataclass(frozen=True, slots=True)
class Plant:
    """A plant that may be stuck: ``patience_days`` are the garden's own, ``remark`` how it was found."""

    taxon: str
    page: Page | None
    patience_days: int | None = None
    remark: str = ""


def plant_to_stick(garden: Garden, handbook: Handbook, words: str) -> Plant | NotKnown:
    """Return the plant some words mean: the garden's, else the handbook's, else one of a genus it has."""
    row = taxon_called(garden, words.strip())
    if row is not None:
        return Plant(row.taxon, handbook.page_of(row.taxon), row.patience_days)
    named = plant_named(handbook, words)
    if not isinstance(named, NotKnown):
        return Plant(named.taxon, named.page, remark=named.remark)
    try:
        name = plant_name(words)
    except NotAPlantName:
        return named
    if name.genus not in {genus_of(one.taxon) for one in taxa_of(garden)}:
        return named
    return Plant(name.canonical(), handbook.page_of(name.canonical()))


def forecast_of_new(
    garden: Garden, handbook: Handbook, plant: Plant, wood: Wood, n_stuck: int, *, on: date
) -> tuple[Forecast, bool]:
    """Return what a batch stuck on a day will likely do, and whether anything was learned that it rests on.

    ``garden`` must have just been read. At most two queries.
    """
    south = is_south(float(garden.latitude_deg))
    batch = BatchOnRound(
        batch="",
        taxon=plant.taxon,
        wood=wood,
        counts=BatchCounts(on, n_stuck),
        page=plant.page,
        patience_days=plant.patience_days,
    )
    record = record_of_batch(batch, south=south)
    learned = learned_for(garden, [replace(batch, kind=record.kind)])
    told = forecast_batch(
        learned,
        record,
        on=on,
        generator=np.random.default_rng(SEED),
        patience_days=patience_of_batch(batch),
        from_page=has_page(batch),
        pot_up=rule_of(batch),
        south=south,
        round_days=round_days(garden),
    )
    return told, bool(learned.nodes)
