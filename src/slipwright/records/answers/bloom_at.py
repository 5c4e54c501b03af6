"""How near to bloom a stock plant was on the day its cuttings were stuck, of many batches at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import cast

from slipwright.advice.blooming import FIRST_FLOWERS, OVER, BloomDays, bloom_of_plant, slope_of_garden
from slipwright.advice.seen import SeenPlant, StageSeen
from slipwright.advice.timing import Flowers, bloom_days, is_south
from slipwright.craft.bloom import Slope
from slipwright.craft.wood import EDGE_SD_DAYS
from slipwright.craft.years import WeatherYears, weather_years
from slipwright.handbook.pages import Page
from slipwright.records import selectors
from slipwright.records.models import Garden
from slipwright.records.selectors.histories import InFlower, Stuck, plants_in_flower
from slipwright.rooting.near_bloom import bloom_of_days, bloom_of_forecast

#: a flowering seen so near a day is the nearest one, whatever else was not written down [d]
_NEAR_DAYS = 45
#: records of one flowering lie no further apart [d]
_ONE_FLOWERING_DAYS = 60
#: what was seen tells of no day further off; another flowering may be nearer [d]
_HALF_A_YEAR = 183


@dataclass(frozen=True, slots=True)
class Flowering:
    """First and last record of one flowering; an end nobody saw may lie further out."""

    first_on: date
    last_on: date
    begin_seen: bool
    end_seen: bool

    def days_from(self, on: date) -> int | None:
        """Return the days a day lies from it, below 0 before it; None on the side nobody saw the end of."""
        if on < self.first_on:
            return (on - self.first_on).days if self.begin_seen else None
        if on > self.last_on:
            return (on - self.last_on).days if self.end_seen else None
        return 0


def flowerings(seen: Sequence[tuple[date, int]]) -> list[Flowering]:
    """Return the flowerings that records of BBCH 60 to 69, oldest first, tell of."""
    runs: list[list[tuple[date, int]]] = []
    for on, bbch in seen:
        last = runs[-1][-1] if runs else None
        goes_on = last is not None and (on - last[0]).days <= _ONE_FLOWERING_DAYS
        if goes_on and last is not None and (last[1] not in OVER or bbch in OVER):
            runs[-1].append((on, bbch))
        else:
            runs.append([(on, bbch)])
    return [Flowering(run[0][0], run[-1][0], run[0][1] in FIRST_FLOWERS, run[-1][1] in OVER) for run in runs]


def weather_of(garden: Garden) -> WeatherYears | None:
    """Return all the weather a garden has; None where it has none. One query."""
    known = selectors.weather_known(garden, on=date.max)
    return weather_years(known) if len(known) else None


class BloomAt:
    """The bloom of a garden's plants about given days; what was seen and the weather are read when needed.

    All that was ever written down counts, also what was seen after the day: a look back knows more than
    one ahead. The day of asking has no part in it.
    """

    def __init__(
        self,
        garden: Garden,
        page_of: Callable[[str], Page | None],
        *,
        weather_of: Callable[[Garden], WeatherYears | None] = weather_of,
    ) -> None:
        self._garden, self._page_of, self._weather_of = garden, page_of, weather_of
        self._south = is_south(float(garden.latitude_deg))
        self._books: dict[tuple[str, str, date], tuple[date, date]] = {}
        self._blooms: dict[tuple[str, str, str, date], BloomDays] = {}
        self._runs: dict[str, list[Flowering]] = {}
        self._plants: dict[str, SeenPlant] = {}

    def of(self, batches: Sequence[Stuck]) -> dict[int, float | None]:
        """Return how near to bloom each batch was taken, 0 to 1, by key; None where nothing tells."""
        found: dict[int, float | None] = {}
        days: list[tuple[int, int]] = []
        told: list[tuple[int, date, BloomDays]] = []
        for stuck in batches:
            n_days = self._days_from_bloom(stuck)
            if n_days is not None:
                days.append((stuck.pk, n_days))
            elif (bloom := self._forecast(stuck)) is not None:
                told.append((stuck.pk, stuck.stuck_on, bloom))
            else:
                found[stuck.pk] = None
        if days:
            known = bloom_of_days([n_days for _, n_days in days])  # type: ignore[arg-type]
            found |= dict(zip((pk for pk, _ in days), known.tolist(), strict=True))
        if told:
            found |= _averaged(told)
        return found

    def _days_from_bloom(self, stuck: Stuck) -> int | None:
        """Return what the batch says, else what was seen of its plant."""
        if stuck.days_from_bloom is not None or not stuck.plant:
            return stuck.days_from_bloom
        on = stuck.stuck_on
        runs = self._runs.get(stuck.plant)
        if runs is None:
            runs = self._runs[stuck.plant] = flowerings(self._stages_of(stuck.plant))
        if not runs:
            return None
        nearest = min(runs, key=lambda run: max((run.first_on - on).days, (on - run.last_on).days))
        days = nearest.days_from(on)
        # further off the page knows better whether the plant has flowered since
        reaches = _NEAR_DAYS if self._page_of(stuck.taxon) else _HALF_A_YEAR
        return days if days is not None and abs(days) <= reaches else None

    def _forecast(self, stuck: Stuck) -> BloomDays | None:
        page = self._page_of(stuck.taxon)
        if page is None:
            return None
        flowers = cast(Flowers, stuck.flowers) if stuck.flowers else None
        at = (page.key, stuck.flowers, stuck.stuck_on)
        book = self._books.get(at)
        if book is None:
            book = bloom_days(page, stuck.stuck_on, south=self._south, flowers=flowers)
            self._books[at] = book
        # plants nothing was seen of flower alike
        plant = stuck.plant if stuck.plant and stuck.plant in self._seen else ""
        key = (page.key, stuck.flowers, plant, book[0])
        if (bloom := self._blooms.get(key)) is None:
            bloom = self._blooms[key] = self._bloom(plant, book, (flowers or page.bloom.flowers) == "repeat")
        return bloom

    def _bloom(self, plant: str, book: tuple[date, date], repeats: bool) -> BloomDays:
        seen = self._seen_plant(plant)
        if not seen.tells_of_bloom:
            return BloomDays(*book, EDGE_SD_DAYS, EDGE_SD_DAYS, 0, was_seen=False, rests_on="")
        return bloom_of_plant(seen, *book, date.max, repeats=repeats, south=self._south)

    def _seen_plant(self, plant: str) -> SeenPlant:
        if plant not in self._plants:
            self._plants[plant] = _seen(self._stages_of(plant), self._weather, self._slope)
        return self._plants[plant]

    def _stages_of(self, plant: str) -> Sequence[tuple[date, int]]:
        return self._seen[plant].stages if plant in self._seen else ()

    @cached_property
    def _seen(self) -> dict[str, InFlower]:
        return plants_in_flower(self._garden)

    @cached_property
    def _weather(self) -> WeatherYears | None:
        return self._weather_of(self._garden)

    @cached_property
    def _slope(self) -> Slope | None:
        if self._weather is None:
            return None
        flowering = []
        for one in self._seen.values():
            page = self._page_of(one.taxon)
            if page is not None:
                first_on, _ = bloom_days(page, one.stages[-1][0], south=self._south)
                repeats = (one.flowers or page.bloom.flowers) == "repeat"
                flowering.append((_seen(one.stages, self._weather, None), first_on, repeats))
        return slope_of_garden(flowering, date.max, south=self._south)


def _seen(stages: Sequence[tuple[date, int]], weather: WeatherYears | None, slope: Slope | None) -> SeenPlant:
    return SeenPlant(tuple(StageSeen(on, bbch) for on, bbch in stages), weather=weather, slope=slope)


def _averaged(told: Sequence[tuple[int, date, BloomDays]]) -> dict[int, float]:
    import numpy as np

    days = np.array(
        [
            (
                on.toordinal(),
                bloom.first_on.toordinal(),
                bloom.last_on.toordinal(),
                bloom.first_sd_days,
                bloom.last_sd_days,
            )
            for _, on, bloom in told
        ]
    ).T
    near = bloom_of_forecast(days[0], days[1], days[2], first_sd_days=days[3], last_sd_days=days[4])
    return dict(zip((pk for pk, _, _ in told), near.tolist(), strict=True))
