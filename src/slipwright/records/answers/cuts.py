"""Stock plants to cut from today."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import cast
from uuid import UUID

import numpy as np

from slipwright.advice.round import Act, acts_for
from slipwright.advice.timing import Flowers
from slipwright.advice.walk import PlantOnRound
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.programme.cut_now import why_cut
from slipwright.records.answers.programme.of_wants import known_wants
from slipwright.records.answers.seasons import WITH_A_PAGE, Seasons, asked_plant, seasons_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.answers.told import Told
from slipwright.records.answers.walk import SEED
from slipwright.records.answers.wants import shares_that_live
from slipwright.records.models import Garden, Plant
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.listing import Asked, wants_to_come
from slipwright.records.tables.progress import Progress, quiet

#: by garden: what the acts rest on, and the acts
_ACTS: dict[UUID, tuple[tuple[object, ...], tuple[Act, ...]]] = {}


@dataclass(frozen=True, slots=True)
class Cuts:
    """The plants to cut from on a day, each with its place in the walk, and how well that is known."""

    acts: Sequence[tuple[Act, int | None]]
    #: plants whose season is still being worked out
    n_working: int = 0
    #: the day the oldest season among them was worked out on, None where all are this day's
    told_on: date | None = None


def cuts_on(
    garden: Garden,
    handbook: Handbook,
    batches: Sequence[BatchNow],
    told: Mapping[int, Told],
    on: date,
    seasons: Seasons | None = None,
    waits: Progress | None = None,
) -> Cuts:
    """Return the plants to cut from on a day. Two or three queries, two more where seasons are worked out.

    Of wants that the programme in use was made for, it says which plants to cut, and in which week.
    A plant whose share was cut this season is left out. With ``seasons`` no other plants are looked at. For
    somebody who ``waits`` every season is worked out that is not this day's, and they are told how far it is.
    """
    asked = _asked(garden, handbook, wants_to_come(garden, on=on), batches, told, on)
    planned = why_cut(garden, on=on)
    plants, order = [], {}
    kept = selectors.seasons_kept(garden, on=on)
    stocks = kept.plants
    if seasons is not None:
        stocks = [one for one in stocks if one.plant in seasons.found]
    # a garden that wrote down no shares is not asked what was cut
    says_share = any(shoots_that_may_go(one) is not None for one in stocks)
    cut = selectors.shoots_cut(garden, on=on) if says_share else {}
    for plant in stocks:
        if share_is_cut(plant, cut.get(plant.plant)):
            continue
        place = plant.place
        order[plant.plant] = place.walk_order if place else None
        found = _on_round(handbook, plant, asked, on)
        plants.append(replace(found, planned=planned.get(plant.plant, "")))
    plants = [one for one in plants if one.may_stick and (one.planned or (one.page and one.n_wanted != 0))]
    if seasons is None:
        due = [asked_plant(one.plant, one.page, one.flowers or "") for one in plants if not one.planned]
        seasons = seasons_of(
            garden,
            handbook,
            [one for one in due if one],
            on=on,
            kept=kept,
            at_most=WITH_A_PAGE if waits is None else None,
            fresh=waits is not None,
            progress=waits or quiet,
        )
    known = [one for one in plants if one.planned]
    known += [
        replace(one, season=season)
        for one in plants
        if not one.planned and (season := seasons.of(one.plant)) is not None
    ]
    known.sort(key=lambda plant: (order[plant.plant] is None, order[plant.plant] or 0))
    acts = _acts(garden, handbook, known, on, seasons.south)
    cuts = [(act, order[act.plant or ""]) for act in acts]
    return Cuts(cuts, seasons.n_working, min(seasons.told_on.values(), default=None))


def _acts(
    garden: Garden, handbook: Handbook, plants: Sequence[PlantOnRound], on: date, south: bool
) -> tuple[Act, ...]:
    rests_on = (on, south, id(handbook), *map(_facts, plants))
    known = _ACTS.get(garden.garden)
    if known is None or known[0] != rests_on:
        acts = acts_for([], on=on, generator=np.random.default_rng(SEED), plants=plants, south=south)
        _ACTS[garden.garden] = known = (rests_on, acts)
    return known[1]


def _facts(plant: PlantOnRound) -> tuple[object, ...]:
    """Return all that the act of a plant rests on, beside the day and the handbook."""
    page = plant.page.key if plant.page else ""
    return (
        plant.plant,
        plant.taxon,
        page,
        plant.season,
        plant.place,
        plant.may_stick,
        plant.n_wanted,
        plant.planned,
    )


def _on_round(handbook: Handbook, plant: Plant, asked: Mapping[str, int], on: date) -> PlantOnRound:
    taxon = plant.taxon
    return PlantOnRound(
        plant=plant.plant,
        taxon=taxon.taxon,
        page=page_of_stock(handbook, taxon),
        place=plant.place.place if plant.place else "",
        may_stick=selectors.rights_of(taxon, on=on).allowed,
        n_wanted=asked.get(taxon.taxon),
        flowers=cast(Flowers, taxon.flowers) if taxon.flowers else None,
    )


def _asked(
    garden: Garden,
    handbook: Handbook,
    wants: Sequence[Asked],
    batches: Sequence[BatchNow],
    told: Mapping[int, Told],
    on: date,
) -> dict[str, int]:
    """Return how many rooted cuttings of each taxon are still to be stuck for, beside the programme."""
    to_come: dict[str, int] = {}
    for batch in batches:
        if batch.want and batch.n_waiting > 0 and batch.pk in told:
            to_come[batch.want] = to_come.get(batch.want, 0) + told[batch.pk].n_to_come
    asked: dict[str, int] = {}
    known = known_wants(garden, wants, on=on)
    shares = shares_that_live(garden, handbook, [(want.taxon, want.ready_as) for want in wants], on=on)
    for want, share in zip(wants, shares, strict=True):
        needed = math.ceil(want.n_wanted / share)
        short = max(needed - max(want.n_alive + to_come.get(want.want, 0), 0), 0)
        short = 0 if want.want in known else short
        asked[want.taxon] = asked.get(want.taxon, 0) + short
    return asked
