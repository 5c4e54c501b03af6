"""What a garden has seen of its stock plants, as ``advice`` takes it, and what that rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from slipwright.advice.blooming import FIRST_FLOWERS, slope_of_garden
from slipwright.advice.seen import FirmnessFelt, SeenPlant, StageSeen
from slipwright.advice.timing import is_south
from slipwright.craft.bloom import Slope
from slipwright.craft.wood import season_dates
from slipwright.craft.years import WeatherYears, weather_years
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.season_told import season_told
from slipwright.records.models import Garden
from slipwright.records.selectors import SeasonsKept, YearsOfPlant

_WEATHER: Remembered[WeatherYears | None] = Remembered()
_SLOPES: Remembered[Slope] = Remembered()


class Reading:
    """What was seen of some stock plants up to a day, or of all; it is read when it is first asked for.

    How bloom follows warmth is what all plants tell together: worked out anew where all are read, else
    that of the last season kept.
    """

    def __init__(
        self,
        garden: Garden,
        handbook: Handbook,
        kept: SeasonsKept,
        on: date,
        plants: Sequence[str] | None = None,
    ) -> None:
        self.on = on
        self.south = is_south(float(garden.latitude_deg))
        self._garden, self._handbook, self._kept, self._plants = garden, handbook, kept, plants

    def seen(self, plant: str) -> SeenPlant:
        """Return what was seen of a plant, with the weather it had."""
        slope = self.slope
        return _seen(self._years.get(plant, YearsOfPlant("")), self.weather, slope)

    @cached_property
    def weather(self) -> WeatherYears | None:
        """The garden's weather, read anew only where any day of it is another."""
        garden = self._garden
        mark = (self._kept.weather, as_of(0, garden.last_edit, self.on))
        kept = _WEATHER.get(garden.garden, mark)
        if kept is None:
            known = selectors.weather_known(garden, on=self.on)
            kept = weather_years(known) if len(known) else None
            _WEATHER.keep(garden.garden, mark, kept)
        return kept

    @cached_property
    def _years(self) -> dict[str, YearsOfPlant]:
        return dict(selectors.years_of_plants(self._garden, on=self.on, plants=self._plants))

    @cached_property
    def slope(self) -> Slope:
        """How bloom follows warmth in this garden."""
        if self._plants is not None:
            last = max(self._kept.seasons.values(), key=lambda one: one.on or date.min, default=None)
            told = last.told if last else ""
            if not told and self._kept.is_of_one:
                told = selectors.newest_season_kept(self._garden)
            if told:
                return season_told(told).slope
            # nothing was ever kept: all plants are read once, of which these are some
            mark = as_of(0, self._garden.last_edit, self.on)
            known = _SLOPES.get(self._garden.garden, mark)
            if known is None:
                self._plants = None
                known = self._slope_of_all()
                _SLOPES.keep(self._garden.garden, mark, known)
            return known
        return self._slope_of_all()

    def _slope_of_all(self) -> Slope:
        flowering = []
        for one in self._years.values():
            page = self._handbook.page_of(one.taxon)
            if page is not None:
                bloom = page.bloom.bloom
                first_on, _ = season_dates(bloom.opens, bloom.closes, south=self.south, near=self.on)
                repeats = (one.flowers or page.bloom.flowers) == "repeat"
                flowering.append((_seen(one, self.weather, None), first_on, repeats))
        return slope_of_garden(flowering, self.on, south=self.south)


def _seen(years: YearsOfPlant, weather: WeatherYears | None, slope: Slope | None) -> SeenPlant:
    return SeenPlant(
        tuple(StageSeen(on, bbch) for on, bbch in years.stages),
        tuple(FirmnessFelt(*felt) for felt in years.firmness),
        years.cut_back,
        years.deadheaded,
        weather,
        slope,
    )


def seen_of_plant(garden: Garden, handbook: Handbook, plant: str, *, on: date) -> SeenPlant:
    """Return what was seen of one stock plant up to a day, with the weather it had."""
    kept = selectors.seasons_kept(garden, on=on, plant=plant)
    return Reading(garden, handbook, kept, on, [plant]).seen(plant)


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
