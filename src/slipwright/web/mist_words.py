"""Mist times in words: minutes as they are set on a timer, hours of the clock, how a bed stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from slipwright.craft.mist_times import Between, MistHour
from slipwright.records.answers.mist import MistOn

#: how a bed stands: word, name, what it means
BEDS = (
    ("closed", _("Closed tunnel"), _("film all round, little air through it")),
    ("sheltered", _("Sheltered"), _("under glass, or curtains round it")),
    ("open", _("Open to wind"), _("no curtain, doors and vents open")),
)
#: longer times are said to five minutes
_FINE_MIN = 20
_HOUR_MIN = 60


@dataclass(frozen=True, slots=True)
class HourShown:
    """A line of the table: an hour, and how often there is a burst in it; off where nothing is said."""

    at: str
    every: str = ""
    between: str = ""
    n_bursts: int = 0


@dataclass(frozen=True, slots=True)
class DayShown:
    """A day's mist times as pages show them."""

    hours: list[HourShown]
    bars: list[tuple[int, float, float, float]]
    #: how often there is a burst: at the driest hour, its range, when that is, and at the calmest
    every: str
    between: str
    at: str
    longest: str
    last: str
    most: int


def about_min(minutes: float) -> str:
    """Return minutes as they are set: whole, and from 20 on to five."""
    rounded = round(minutes) if minutes < _FINE_MIN else 5 * round(minutes / 5)
    return str(max(rounded, 1))


def clock(hour: float) -> str:
    """Return an hour of the day as a clock shows it, to five minutes."""
    fives = round(hour * 12)
    return f"{fives // 12:02d}:{fives % 12 * 5:02d}"


def range_min(between: Between) -> str:
    """Return the range of a time between bursts."""
    return f"{about_min(between.low)}–{about_min(between.high)}"


def told_day(day: MistOn) -> DayShown:
    """Return a day's mist times as pages show them."""
    on = [hour for hour in day.times.hours if hour.between]
    spans = [hour.between for hour in on if hour.between]
    shortest = min(spans, key=lambda one: one.mid, default=None)
    busiest = next((hour for hour in on if hour.between is shortest), None)
    return DayShown(
        hours=[_hour(hour) for hour in day.times.hours[on[0].hour : on[-1].hour + 1]] if on else [],
        bars=[_bar(hour.hour, hour.between) for hour in on if hour.between],
        every=about_min(shortest.mid) if shortest else "",
        between=range_min(shortest) if shortest else "",
        at=clock(busiest.hour) if busiest else "",
        longest=about_min(max(one.mid for one in spans)) if spans else "",
        last=clock(day.times.last_at_h) if on and day.times.last_at_h is not None else "",
        most=round(_HOUR_MIN / shortest.mid) if shortest else 0,
    )


def matrix(days: Sequence[MistOn]) -> list[tuple[str, list[str]]]:
    """Return hours down and days across, for paper: how often, and its range."""
    every = [hour.hour for day in days for hour in day.times.hours if hour.between]
    if not every:
        return []
    lines = []
    for hour in range(min(every), max(every) + 1):
        spans = [day.times.hours[hour].between for day in days]
        lines.append((clock(hour), [f"{about_min(s.mid)} ({range_min(s)})" if s else "–" for s in spans]))
    return lines


def _hour(hour: MistHour) -> HourShown:
    if hour.between is None:
        return HourShown(clock(hour.hour))
    return HourShown(clock(hour.hour), about_min(hour.between.mid), range_min(hour.between), hour.n_bursts)


def _bar(hour: int, between: Between) -> tuple[int, float, float, float]:
    return hour, _HOUR_MIN / between.mid, _HOUR_MIN / between.high, _HOUR_MIN / between.low
