"""What a page of one batch needs of the whole garden, remembered as long as nothing of it was written.

A ``garden`` handed in must have just been read: its counters say whether what is remembered still holds.
"""

from __future__ import annotations

from functools import cache

from slipwright.craft.years import WeatherYears
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.bloom_at import BloomAt, weather_of
from slipwright.records.answers.learning import usual_learned
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden
from slipwright.records.selectors.histories import UsualLevels, usual_levels

_PLACES: Remembered[tuple[str, ...]] = Remembered()
_USUAL: Remembered[UsualLevels] = Remembered()
_BLOOM: Remembered[BloomAt] = Remembered()
_WEATHER: Remembered[tuple[WeatherYears | None]] = Remembered()


def places_here(garden: Garden) -> tuple[str, ...]:
    """Return the names of the places, in the order of the walk. One query, or none."""
    rests_on = as_of(0, garden.last_edit)
    places = _PLACES.get(garden.garden, rests_on)
    if places is None:
        places = tuple(selectors.places_named(garden))
        _PLACES.keep(garden.garden, rests_on, places)
    return places


def usual_here(garden: Garden) -> UsualLevels:
    """Return the usual medium and container: what was learned counts by those there were then.

    One query, or none.
    """
    if learned := usual_learned(garden):
        return learned
    rests_on = as_of(garden.last_number, garden.last_edit)
    usual = _USUAL.get(garden.garden, rests_on)
    if usual is None:
        usual = usual_levels(garden)
        _USUAL.keep(garden.garden, rests_on, usual)
    return usual


def bloom_here(garden: Garden, handbook: Handbook) -> BloomAt:
    """Return the bloom of the garden's plants. Where it is asked for a batch, two queries, one, or none."""
    rests_on = (as_of(garden.last_number, garden.last_edit), id(handbook))
    bloom = _BLOOM.get(garden.garden, rests_on)
    if bloom is None:
        bloom = BloomAt(garden, cache(handbook.page_of), weather_of=_weather_here)
        _BLOOM.keep(garden.garden, rests_on, bloom)
    return bloom


def _weather_here(garden: Garden) -> WeatherYears | None:
    rests_on = as_of(0, garden.last_edit)
    known = _WEATHER.get(garden.garden, rests_on)
    if known is None:
        known = (weather_of(garden),)
        _WEATHER.keep(garden.garden, rests_on, known)
    return known[0]
