"""Stock plants to cut from today."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import cast
from uuid import UUID

import numpy as np

from slipwright.advice.round import Act, acts_for
from slipwright.advice.timing import Flowers, is_south, with_own_gaps
from slipwright.advice.walk import PlantOnRound
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.answers.told import Told
from slipwright.records.answers.walk import SEED
from slipwright.records.answers.wants import share_that_lives
from slipwright.records.models import Garden, Plant
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.listing import Asked, wants_to_come

#: by garden: what the acts rest on, and the acts; the windows of one plant take milliseconds
_ACTS: dict[UUID, tuple[tuple[object, ...], tuple[Act, ...]]] = {}


def cuts_on(
    garden: Garden, handbook: Handbook, batches: Sequence[BatchNow], told: Mapping[int, Told], on: date
) -> list[tuple[Act, int | None]]:
    """Return the plants to cut from on a day, each with its place in the walk. At most three queries.

    A plant whose share was cut this season is left out.
    """
    asked = _asked(handbook, wants_to_come(garden, on=on), batches, told)
    plants, order = [], {}
    stocks = list(Plant.rows.of(garden).select_related("taxon", "place").order_by("plant"))
    # a garden that wrote down no shares is not asked what was cut
    says_share = any(shoots_that_may_go(one) is not None for one in stocks)
    cut = selectors.shoots_cut(garden, on=on) if says_share else {}
    for plant in stocks:
        if share_is_cut(plant, cut.get(plant.plant)):
            continue
        place = plant.place
        order[plant.plant] = place.walk_order if place else None
        plants.append(_on_round(handbook, plant, asked, on))
    plants.sort(key=lambda plant: (order[plant.plant] is None, order[plant.plant] or 0))
    south = is_south(float(garden.latitude_deg))
    rests_on = (on, south, id(handbook), *map(_facts, plants))
    known = _ACTS.get(garden.garden)
    if known is None or known[0] != rests_on:
        acts = acts_for([], on=on, generator=np.random.default_rng(SEED), plants=plants, south=south)
        _ACTS[garden.garden] = known = (rests_on, acts)
    return [(act, order[act.plant or ""]) for act in known[1]]


def _facts(plant: PlantOnRound) -> tuple[object, ...]:
    """Return all that the act of a plant rests on, beside the day and the handbook."""
    bloom = plant.page.bloom if plant.page else None
    gaps = (bloom.gap_before_days.value, bloom.gap_after_days.value) if bloom else None
    page = plant.page.key if plant.page else ""
    return (plant.plant, plant.taxon, page, gaps, plant.place, plant.may_stick, plant.n_wanted, plant.flowers)


def _on_round(handbook: Handbook, plant: Plant, asked: Mapping[str, int], on: date) -> PlantOnRound:
    taxon = plant.taxon
    page = handbook.page_of(taxon.taxon)
    before, after = taxon.gap_before_bloom_days, taxon.gap_after_bloom_days
    if page is not None and (before, after) != (None, None):
        page = with_own_gaps(
            page, gap_before_days=before, gap_after_days=after, reason=taxon.bloom_gap_reason
        )
    return PlantOnRound(
        plant=plant.plant,
        taxon=taxon.taxon,
        page=page,
        place=plant.place.place if plant.place else "",
        may_stick=selectors.rights_of(taxon, on=on).allowed,
        n_wanted=asked.get(taxon.taxon),
        flowers=cast(Flowers, taxon.flowers) if taxon.flowers else None,
    )


def _asked(
    handbook: Handbook, wants: Iterable[Asked], batches: Sequence[BatchNow], told: Mapping[int, Told]
) -> dict[str, int]:
    """Return how many rooted cuttings of each taxon are still to be stuck for."""
    to_come: dict[str, int] = {}
    for batch in batches:
        if batch.want and batch.n_waiting > 0 and batch.pk in told:
            to_come[batch.want] = to_come.get(batch.want, 0) + told[batch.pk].n_to_come
    asked: dict[str, int] = {}
    for want in wants:
        needed = math.ceil(want.n_wanted / share_that_lives(handbook, want.taxon, want.ready_as))
        short = max(needed - max(want.n_alive + to_come.get(want.want, 0), 0), 0)
        asked[want.taxon] = asked.get(want.taxon, 0) + short
    return asked
