"""The garden as one walks it: batches, stock plants and places as ``slipwright.advice`` takes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import cast

from slipwright.advice.timing import Flowers, with_own_gaps
from slipwright.advice.walk import BatchOnRound, PlaceOnRound, PlantOnRound
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, Wood
from slipwright.records import selectors
from slipwright.records.answers.seasons import Seasons, seasons_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.models import Garden, Place
from slipwright.records.selectors import BatchNow, Stock
from slipwright.rooting.dates import ROUND_DAYS

#: the same records get the same answer
SEED = 1


def round_days(garden: Garden) -> int:
    """Return the days between rounds, held to the 5 to 10 the craft allows."""
    return min(max(garden.round_days or ROUND_DAYS, 5), 10)


def batches_on_round(garden: Garden, handbook: Handbook, batches: Sequence[BatchNow]) -> list[BatchOnRound]:
    """Return batches as the round takes them, each with its page and its own counts."""
    counts = selectors.counts_of(garden, batches)
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
        )
        for now in batches
    ]


def plants_on_round(
    garden: Garden, handbook: Handbook, asked: Mapping[str, int], *, on: date
) -> list[PlantOnRound]:
    """Return the stock plants but those whose share was cut this season.

    ``asked`` says how many of each taxon are still to be stuck for.
    """
    stocks = selectors.stock_plants(garden, on=on)
    # a garden that wrote down no shares is not asked what was cut
    says_share = any(shoots_that_may_go(stock) is not None for stock in stocks)
    cut = selectors.shoots_cut(garden, on=on) if says_share else {}
    seasons = seasons_of(garden, handbook, on=on)
    return [
        _on_round(stock, page_of_stock(handbook, stock), asked.get(stock.taxon), seasons)
        for stock in stocks
        if not share_is_cut(stock, cut.get(stock.plant))
    ]


def _on_round(stock: Stock, page: Page | None, n_wanted: int | None, seasons: Seasons) -> PlantOnRound:
    flowers = cast(Flowers, stock.flowers) if stock.flowers else None
    is_asked = stock.rights.allowed and n_wanted != 0
    return PlantOnRound(
        plant=stock.plant,
        taxon=stock.taxon,
        page=page,
        place=stock.place,
        may_stick=stock.rights.allowed,
        n_wanted=n_wanted,
        flowers=flowers,
        season=seasons.of(stock.plant, page, flowers) if page and is_asked else None,
    )


def page_of_stock(handbook: Handbook, stock: Stock) -> Page | None:
    """Return the plant's page, with the garden's own distance from bloom where it has set one."""
    page = handbook.page_of(stock.taxon)
    own = (stock.gap_before_bloom_days, stock.gap_after_bloom_days)
    if page is None or own == (None, None):
        return page
    return with_own_gaps(page, gap_before_days=own[0], gap_after_days=own[1], reason=stock.bloom_gap_reason)


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
