"""The weather of the last days and the next, where it comes from, and what of it nobody saw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np

from slipwright.craft.weather import days_from, filled
from slipwright.records import selectors
from slipwright.records.models import Garden

#: days shown before today, and after it where a forecast reaches so far
SHOWN_BEFORE, SHOWN_AFTER = 20, 14


@dataclass(frozen=True, slots=True)
class DayOfWeather:
    """One day; a day ``usual`` was seen by nobody and stands as it usually is [°C, mm]."""

    on: date
    low_c: float
    high_c: float
    known_by: Literal["seen", "forecast", "usual"]
    rain_mm: float | None = None
    source: str = ""
    made_on: date | None = None


@dataclass(frozen=True, slots=True)
class Gap:
    """Days in a row nobody saw."""

    first: date
    last: date

    @property
    def n_days(self) -> int:
        """How many."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True, slots=True)
class WeatherTold:
    """What a page tells of a garden's weather."""

    days: tuple[DayOfWeather, ...]
    gaps: tuple[Gap, ...]
    sources: tuple[selectors.WeatherSource, ...]
    n_seen: int
    n_years: int
    first: date | None
    last: date | None

    @property
    def n_gap_days(self) -> int:
        """Days nobody saw, between the first and the last that are known."""
        return sum(gap.n_days for gap in self.gaps)


def weather_told(garden: Garden, *, on: date) -> WeatherTold:
    """Return the weather of a garden as it is known on a day. Three queries."""
    known = selectors.weather_known(garden, on=on)
    rows = {
        row.on: row
        for row in selectors.weather_of(
            garden, from_on=on - timedelta(SHOWN_BEFORE), to_on=on + timedelta(SHOWN_AFTER)
        )
    }
    seen = known.on[~known.is_forecast].tolist()
    days: list[DayOfWeather] = []
    if len(known):
        first = max(known.on[0].item(), on - timedelta(SHOWN_BEFORE))
        last = min(max(known.on[-1].item(), on), on + timedelta(SHOWN_AFTER))
        if first <= last:
            whole = filled(known, days=days_from(first, last))
            for n in np.flatnonzero(whole.is_known):
                day = whole.on[n].item()
                row = None if whole.is_filled[n] else rows.get(day)
                known_by: Literal["seen", "forecast", "usual"] = "seen"
                if whole.is_filled[n]:
                    known_by = "usual"
                elif whole.is_forecast[n]:
                    known_by = "forecast"
                days.append(
                    DayOfWeather(
                        on=day,
                        low_c=float(whole.tmin_c[n]),
                        high_c=float(whole.tmax_c[n]),
                        known_by=known_by,
                        rain_mm=None if row is None or row.rain_mm is None else float(row.rain_mm),
                        source=row.source if row else "",
                        made_on=row.made_on if row else None,
                    )
                )
    return WeatherTold(
        days=tuple(days),
        gaps=_runs(known.gaps().tolist()),
        sources=tuple(selectors.weather_sources(garden)),
        n_seen=len(seen),
        n_years=len({day.year for day in seen}),
        first=seen[0] if seen else None,
        last=seen[-1] if seen else None,
    )


def _runs(days: Sequence[date]) -> tuple[Gap, ...]:
    """Return days as runs, the newest first."""
    runs: list[Gap] = []
    for day in days:
        if runs and day - runs[-1].last == timedelta(1):
            runs[-1] = Gap(runs[-1].first, day)
        else:
            runs.append(Gap(day, day))
    return tuple(reversed(runs))
