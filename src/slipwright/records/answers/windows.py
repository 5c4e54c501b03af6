"""When the wood of every stock plant is right, when it flowers, and what both rest on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.advice.answer import window_json
from slipwright.advice.timing import BloomNow, bloom_now
from slipwright.craft.said import Said, joined
from slipwright.craft.wood import Window
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.plants_seen import Trust, trust_of
from slipwright.records.answers.seasons import all_seasons, asked_plant
from slipwright.records.answers.stock import flowers_of
from slipwright.records.models import Garden
from slipwright.records.tables.progress import Progress, quiet


@dataclass(frozen=True, slots=True)
class PlantWindows:
    """A stock plant with its windows and its bloom; neither where the handbook has no page for it."""

    plant: str
    taxon: str
    windows: tuple[Window, ...] = ()
    bloom: BloomNow | None = None
    trust: Trust | None = None
    #: why it may not be stuck, empty where it may
    refused: str = ""

    @property
    def rests_on(self) -> str:
        """What it rests on, in words."""
        if self.trust is None:
            return Said("the handbook has no page for it, and does not guess")
        wood = Said("wood: {what}", what=self.trust.wood_rests_on)
        return joined([wood, Said("bloom: {what}", what=self.trust.bloom_rests_on)], "; ")

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/windows.json`` has it."""
        bloom = {}
        if self.bloom:
            days = {"p10": self.bloom.p10, "p50": self.bloom.p50, "p90": self.bloom.p90}
            bloom = {name: day.isoformat() for name, day in days.items()}
        trust = self.trust
        return {
            "plant": self.plant,
            "taxon": self.taxon,
            "bloom": bloom,
            "windows": [window_json(window) for window in self.windows],
            "rests_on": {
                "n_blooms": trust.n_blooms if trust else 0,
                "n_firmness": trust.n_firmness if trust else 0,
                "weather_from": _iso(trust.weather_from if trust else None),
                "weather_to": _iso(trust.weather_to if trust else None),
                "forecast_from": _iso(trust.forecast_from if trust else None),
                "n_days_filled": trust.n_filled if trust else 0,
                "text": str(self.rests_on),
            },
        }


def windows_of_garden(
    garden: Garden, handbook: Handbook, *, on: date, progress: Progress = quiet
) -> list[PlantWindows]:
    """Return every stock plant with its windows, in the order of the walk."""
    stocks = [(stock, page_of_stock(handbook, stock)) for stock in selectors.stock_plants(garden, on=on)]
    asked = [asked_plant(stock.plant, page, stock.flowers) for stock, page in stocks]
    seasons, reading = all_seasons(garden, handbook, [one for one in asked if one], on=on, progress=progress)
    found = []
    for stock, page in stocks:
        season = seasons.of(stock.plant)
        refused = "" if stock.rights.allowed else stock.rights.reason
        if page is None or season is None:
            found.append(PlantWindows(stock.plant, stock.taxon, refused=refused))
            continue
        seen, flowers = reading.seen(stock.plant), flowers_of(stock)
        bloom = bloom_now(page, on, south=seasons.south, flowers=flowers, seen=seen)
        trust = trust_of(seen, on=on, bloom_rests_on=bloom.rests_on, wood_rests_on=season.rests_on)
        found.append(PlantWindows(stock.plant, stock.taxon, season.windows, bloom, trust, refused))
    return found


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None
