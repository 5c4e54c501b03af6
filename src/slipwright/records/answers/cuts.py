"""Stock plants to cut from today."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import cast
from uuid import UUID

import numpy as np

from slipwright.advice.round import Act, acts_for
from slipwright.advice.timing import Flowers, with_own_gaps
from slipwright.advice.walk import PlantOnRound
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.seasons import Seasons, seasons_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.answers.told import Told
from slipwright.records.answers.walk import SEED
from slipwright.records.answers.wants import share_that_lives
from slipwright.records.models import Garden, Plant
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.listing import Asked, wants_to_come

#: by garden: what the acts rest on, and the acts
_ACTS: dict[UUID, tuple[tuple[object, ...], tuple[Act, ...]]] = {}


def cuts_on(
    garden: Garden, handbook: Handbook, batches: Sequence[BatchNow], told: Mapping[int, Told], on: date
) -> list[tuple[Act, int | None]]:
    """Return the plants to cut from on a day, each with its place in the walk. At most five queries.

    Three where nothing new was seen of a plant and no row of the garden was edited. A plant whose share
    was cut this season is left out. ``garden`` must have just been read.
    """
    asked = _asked(handbook, wants_to_come(garden, on=on), batches, told)
    plants, order = [], {}
    stocks, newest = selectors.plants_and_newest(garden)
    # a garden that wrote down no shares is not asked what was cut
    says_share = any(shoots_that_may_go(one) is not None for one in stocks)
    cut = selectors.shoots_cut(garden, on=on) if says_share else {}
    seasons = seasons_of(garden, handbook, on=on, newest=newest)
    for plant in stocks:
        if share_is_cut(plant, cut.get(plant.plant)):
            continue
        place = plant.place
        order[plant.plant] = place.walk_order if place else None
        plants.append(_on_round(handbook, plant, asked, seasons))
    plants.sort(key=lambda plant: (order[plant.plant] is None, order[plant.plant] or 0))
    south = seasons.south
    rests_on = (on, south, id(handbook), *map(_facts, plants))
    known = _ACTS.get(garden.garden)
    if known is None or known[0] != rests_on:
        acts = acts_for([], on=on, generator=np.random.default_rng(SEED), plants=plants, south=south)
        _ACTS[garden.garden] = known = (rests_on, acts)
    return [(act, order[act.plant or ""]) for act in known[1]]


def _facts(plant: PlantOnRound) -> tuple[object, ...]:
    """Return all that the act of a plant rests on, beside the day and the handbook."""
    page = plant.page.key if plant.page else ""
    return (plant.plant, plant.taxon, page, plant.season, plant.place, plant.may_stick, plant.n_wanted)


def _on_round(handbook: Handbook, plant: Plant, asked: Mapping[str, int], seasons: Seasons) -> PlantOnRound:
    taxon = plant.taxon
    page = handbook.page_of(taxon.taxon)
    before, after = taxon.gap_before_bloom_days, taxon.gap_after_bloom_days
    if page is not None and (before, after) != (None, None):
        page = with_own_gaps(
            page, gap_before_days=before, gap_after_days=after, reason=taxon.bloom_gap_reason
        )
    may_stick, n_wanted = selectors.rights_of(taxon, on=seasons.on).allowed, asked.get(taxon.taxon)
    flowers = cast(Flowers, taxon.flowers) if taxon.flowers else None
    return PlantOnRound(
        plant=plant.plant,
        taxon=taxon.taxon,
        page=page,
        place=plant.place.place if plant.place else "",
        may_stick=may_stick,
        n_wanted=n_wanted,
        flowers=flowers,
        season=seasons.of(plant.plant, page, flowers) if page and may_stick and n_wanted != 0 else None,
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
