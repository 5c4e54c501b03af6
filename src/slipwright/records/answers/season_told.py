"""The season of a plant as plain data to keep, and read again on the same day or the next."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any

from slipwright.advice.plant_season import PlantSeason
from slipwright.advice.timing import Opening
from slipwright.craft.bloom import Slope
from slipwright.craft.wood import Window
from slipwright.records.answers.sayings import put_away, said_again


@dataclass(frozen=True, slots=True)
class SeasonTold:
    """The season of a plant, and how bloom followed warmth in its garden when it was worked out."""

    season: PlantSeason
    slope: Slope

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep; sentences keep how they were put together."""
        season, slope = self.season, self.slope
        return {
            "windows": [_window(one) for one in season.windows],
            "openings": [_opening(one) for one in season.openings],
            "best": _opening(season.best) if season.best else None,
            "rests_on": put_away(season.rests_on),
            "slope": [slope.days_per_c, slope.sd_days_per_c, slope.residual_days, slope.n_years],
        }


@lru_cache(maxsize=4_000)
def season_told(kept: str) -> SeasonTold:
    """Return what ``SeasonTold.as_kept`` put away as JSON; most was read before, for a page before."""
    known = json.loads(kept)
    season = PlantSeason(
        tuple(_window_again(one) for one in known["windows"]),
        tuple(_opening_again(one) for one in known["openings"]),
        _opening_again(known["best"]) if known["best"] else None,
        said_again(known["rests_on"]),
    )
    return SeasonTold(season, Slope(*known["slope"]))


def season_later(season: PlantSeason, on: date) -> PlantSeason:
    """Return a season worked out on an earlier day as it stands now: what is over is left out."""
    openings = tuple(
        replace(one, from_on=max(one.from_on, on)) for one in season.openings if one.window.closes_on >= on
    )
    best = season.best
    if best is not None and best.window.closes_on < on:
        best = next(iter(openings), None)
    elif best is not None:
        best = replace(best, from_on=max(best.from_on, on))
    windows = tuple(one for one in season.windows if one.closes_on >= on)
    return PlantSeason(windows, openings, best, season.rests_on)


def _window(one: Window) -> list[Any]:
    days = (one.opens_on, one.closes_on, one.sure_from, one.sure_to)
    return [one.wood, *(day.isoformat() if day else None for day in days), one.p_open]


def _window_again(kept: Sequence[Any]) -> Window:
    wood, opens, closes, sure_from, sure_to, p_open = kept
    return Window(wood, _day(opens), _day(closes), _sure(sure_from), _sure(sure_to), p_open)


def _day(kept: str) -> date:
    return date.fromisoformat(kept)


def _sure(kept: str | None) -> date | None:
    return _day(kept) if kept else None


def _opening(one: Opening) -> list[Any]:
    return [one.wood, _window(one.window), one.from_on.isoformat(), put_away(one.delay), one.near_bloom]


def _opening_again(kept: Sequence[Any]) -> Opening:
    wood, window, from_on, delay, near_bloom = kept
    return Opening(wood, _window_again(window), _day(from_on), said_again(delay), near_bloom=near_bloom)
