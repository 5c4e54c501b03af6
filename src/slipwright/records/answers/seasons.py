"""What the garden has seen of its stock plants, as ``advice`` takes it, and the season of each.

Both are remembered: what was seen as long as nothing that bears on stock plants is written, the season of
a plant as long as nothing is seen of it, the weather stays and the day is the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID

from slipwright.advice.blooming import FIRST_FLOWERS, slope_of_garden
from slipwright.advice.plant_season import PlantSeason, season_of_plant
from slipwright.advice.seen import NOTHING_SEEN, FirmnessFelt, SeenPlant, StageSeen
from slipwright.advice.timing import Flowers, is_south
from slipwright.craft.weather import Weather
from slipwright.craft.wood import season_dates
from slipwright.craft.years import WeatherYears, weather_years
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page
from slipwright.records import selectors
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden
from slipwright.records.selectors import YearsOfPlant

#: plants whose season a process keeps
_MOST_KEPT = 4_000

#: by garden and plant: what a season rests on, and the season
_WORKED: dict[tuple[UUID, str], tuple[tuple[object, ...], PlantSeason]] = {}


@dataclass(frozen=True, slots=True)
class Seasons:
    """The seasons of a garden's stock plants on a day; each is worked out when it is first asked for."""

    garden: UUID
    on: date
    south: bool
    weather: WeatherYears | None = None
    plants: Mapping[str, SeenPlant] = field(default_factory=dict)

    def seen(self, plant: str) -> SeenPlant:
        """Return what was seen of a plant, with the weather it had."""
        nothing = NOTHING_SEEN if self.weather is None else SeenPlant(weather=self.weather)
        return self.plants.get(plant, nothing)

    def of(self, plant: str, page: Page, flowers: Flowers | None = None) -> PlantSeason:
        """Return the season of a plant as it stands today."""
        seen = self.seen(plant)
        rests_on = (seen, seen.weather, page.woods, page.bloom, flowers, self.on, self.south)
        known = _WORKED.get((self.garden, plant))
        if known is None or known[0] != rests_on:
            while len(_WORKED) >= _MOST_KEPT:
                _WORKED.pop(next(iter(_WORKED)), None)
            season = season_of_plant(page, self.on, south=self.south, flowers=flowers, seen=seen)
            _WORKED[self.garden, plant] = known = (rests_on, season)
        return known[1]


@dataclass(frozen=True, slots=True)
class Trust:
    """What a plant's season rests on: own records, the weather, and both in words."""

    n_blooms: int
    n_firmness: int
    weather_from: date | None
    weather_to: date | None
    #: first day of the weather that is a forecast
    forecast_from: date | None
    #: days of the weather that were not known and stand as they usually are
    n_filled: int
    bloom_rests_on: str
    wood_rests_on: str


def trust_of(seen: SeenPlant, *, on: date, bloom_rests_on: str, wood_rests_on: str) -> Trust:
    """Return what the season of a plant rests on."""
    weather = seen.weather
    return Trust(
        len([one for one in seen.stages if one.bbch in FIRST_FLOWERS and one.on <= on]),
        len([one for one in seen.firmness if one.firmness is not None and one.on <= on]),
        weather.starts_on if weather else None,
        weather.known_to if weather else None,
        weather.is_forecast_from if weather else None,
        weather.n_filled if weather else 0,
        bloom_rests_on,
        wood_rests_on,
    )


_SEASONS: Remembered[Seasons] = Remembered()
_MARKED: Remembered[Seasons] = Remembered()
_WEATHER: Remembered[WeatherYears | None] = Remembered()


def seasons_of(
    garden: Garden, handbook: Handbook, *, on: date, newest: tuple[int, ...] | None = None
) -> Seasons:
    """Return what was seen of every stock plant up to a day, with the weather they all had.

    ``garden`` must have just been read: as long as its counters and the day stay as they are, nothing was
    written and it is remembered. Else one query where nothing written since bears on stock plants, none if
    ``newest``, what ``selectors.newest_of_plants`` says, is given; and two more where something does.
    """
    rests_on = (as_of(garden.last_number, garden.last_edit, on), id(handbook))
    found = _SEASONS.get(garden.garden, rests_on)
    if found is None:
        mark = (newest or selectors.newest_of_plants(garden), as_of(0, garden.last_edit, on), id(handbook))
        found = _MARKED.get(garden.garden, mark)
        if found is None:
            found = _read(garden, handbook, on)
            _MARKED.keep(garden.garden, mark, found)
        _SEASONS.keep(garden.garden, rests_on, found)
    return found


def _read(garden: Garden, handbook: Handbook, on: date) -> Seasons:
    south = is_south(float(garden.latitude_deg))
    weather = _weather_of(garden, selectors.weather_known(garden, on=on))
    years = selectors.years_of_plants(garden, on=on)
    plants = {plant: _seen(one, weather) for plant, one in years.items()}
    flowering = []
    for plant, one in years.items():
        page = handbook.page_of(one.taxon)
        if page is not None:
            bloom = page.bloom.bloom
            first_on, _ = season_dates(bloom.opens, bloom.closes, south=south, near=on)
            flowering.append((plants[plant], first_on))
    slope = slope_of_garden(flowering, on, south=south)
    plants = {plant: replace(seen, slope=slope) for plant, seen in plants.items()}
    return Seasons(garden.garden, on, south, weather, plants)


def _weather_of(garden: Garden, known: Weather) -> WeatherYears | None:
    """Return the garden's weather; the very same as before where no day of it is another."""
    figures = (known.on, known.tmin_c, known.tmax_c, known.is_forecast)
    mark = tuple(values.tobytes() for values in figures)
    kept = _WEATHER.get(garden.garden, mark)
    if kept is None and len(known):
        kept = weather_years(known)
        _WEATHER.keep(garden.garden, mark, kept)
    return kept


def _seen(years: YearsOfPlant, weather: WeatherYears | None) -> SeenPlant:
    return SeenPlant(
        tuple(StageSeen(on, bbch) for on, bbch in years.stages),
        tuple(FirmnessFelt(*felt) for felt in years.firmness),
        years.cut_back,
        years.deadheaded,
        weather,
    )
