"""The garden as one walks it: batches, stock plants and places as ``slipwright.advice`` takes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import cast

from slipwright.advice.kinds import kind_of
from slipwright.advice.timing import Flowers, is_south
from slipwright.advice.walk import BatchOnRound, PlaceOnRound, PlantOnRound
from slipwright.handbook import Handbook
from slipwright.handbook.pages import WOODS, Page, Wood
from slipwright.records import selectors
from slipwright.records.answers.histories import records_of
from slipwright.records.answers.learning import learned_of, learned_or_prior
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.programme.cut_now import why_cut
from slipwright.records.answers.seasons import Seasons, asked_plant, seasons_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.models import Garden, Place
from slipwright.records.selectors import BatchNow, Stock
from slipwright.records.tables.progress import Progress, quiet
from slipwright.rooting.dates import ROUND_DAYS
from slipwright.rooting.learned import Learned

#: the same records get the same answer
SEED = 1


def round_days(garden: Garden) -> int:
    """Return the days between rounds, held to the 5 to 10 the craft allows."""
    return min(max(garden.round_days or ROUND_DAYS, 5), 10)


def batches_on_round(
    garden: Garden, handbook: Handbook, batches: Sequence[BatchNow], *, for_forecasts: bool = True
) -> list[BatchOnRound]:
    """Return batches as the round takes them, each with its page and its own counts.

    ``for_forecasts`` reads what the two clocks depend on too, at most six queries more.
    """
    counts = selectors.counts_of(garden, batches)
    records = records_of(garden, handbook, batches, counts=counts) if for_forecasts and batches else {}
    return [
        BatchOnRound(
            batch=now.batch,
            taxon=now.taxon,
            wood=cast(Wood, now.wood),
            counts=counts[now.pk],
            place=now.place,
            plant=now.plant,
            cover=now.cover_now,
            page=handbook.page_of(now.taxon),
            patience_days=now.patience_days,
            cuttings=records[now.pk].cuttings if now.pk in records else None,
            kind=records[now.pk].kind if now.pk in records else None,
        )
        for now in batches
    ]


def learned_for(garden: Garden, batches: Sequence[BatchOnRound]) -> Learned:
    """Return what was learned as far as it bears on some batches, or the prior. At most two queries.

    ``garden`` must have just been read.
    """
    kinds = [batch.kind for batch in batches if batch.kind]
    return learned_or_prior(garden, kinds)


def learned_for_taxa(garden: Garden, handbook: Handbook, taxa: Iterable[str], *, on: date) -> Learned | None:
    """Return what was learned as far as it bears on plants to be stuck about a day; None where nothing was.

    ``garden`` must have just been read. At most two queries.
    """
    south = is_south(float(garden.latitude_deg))
    kinds = []
    for taxon in taxa:
        page = handbook.page_of(taxon)
        for wood in WOODS:
            leaf = page.woods.get(wood) if page else None
            # the wood may be right in the next season only
            for day in (on, on + timedelta(days=365)):
                kinds.append(kind_of(taxon, leaf, wood, day, south=south))
    return learned_of(garden, kinds)


def plants_on_round(
    garden: Garden,
    handbook: Handbook,
    asked: Mapping[str, int],
    *,
    on: date,
    progress: Progress = quiet,
) -> list[PlantOnRound]:
    """Return the stock plants but those whose share was cut this season, each with its season of the day.

    ``asked`` says how many of each taxon are still to be stuck for.
    """
    stocks = selectors.stock_plants(garden, on=on)
    # a garden that wrote down no shares is not asked what was cut
    says_share = any(shoots_that_may_go(stock) is not None for stock in stocks)
    cut = selectors.shoots_cut(garden, on=on) if says_share else {}
    plants = [
        (stock, page_of_stock(handbook, stock))
        for stock in stocks
        if not share_is_cut(stock, cut.get(stock.plant))
    ]
    of_season = [
        asked_plant(stock.plant, page, stock.flowers)
        for stock, page in plants
        if stock.rights.allowed and asked.get(stock.taxon) != 0
    ]
    seasons = seasons_of(
        garden,
        handbook,
        [one for one in of_season if one],
        on=on,
        at_most=None,
        fresh=True,
        progress=progress,
    )
    planned = why_cut(garden, on=on)
    return [
        replace(_on_round(stock, page, asked.get(stock.taxon), seasons), planned=planned.get(stock.plant, ""))
        for stock, page in plants
    ]


def _on_round(stock: Stock, page: Page | None, n_wanted: int | None, seasons: Seasons) -> PlantOnRound:
    return PlantOnRound(
        plant=stock.plant,
        taxon=stock.taxon,
        page=page,
        place=stock.place,
        may_stick=stock.rights.allowed,
        n_wanted=n_wanted,
        flowers=cast(Flowers, stock.flowers) if stock.flowers else None,
        season=seasons.of(stock.plant),
    )


def places_on_round(garden: Garden, *, on: date, now: datetime | None = None) -> list[PlaceOnRound]:
    """Return the places in the order of the walk, with the young pots that stand in each.

    With ``now`` each has the warmth an instrument read there within the last three hours.
    """
    young = selectors.young_pots(garden, on=on)
    read = selectors.air_now(garden, now) if now else {}
    return [
        PlaceOnRound(
            place.place,
            place.kind,
            place.cover,
            place.walk_order,
            young.get(place.pk, 0),
            read.get(place.place),
            float(place.shade_percent) if place.shade_percent is not None else None,
        )
        for place in Place.rows.of(garden).order_by("walk_order", "place")
    ]
