"""Twelve months of a stock plant: its woods, its bloom, and when new wood comes after cutting back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from slipwright.advice.timing import Flowers, bloom_days, windows_of_page
from slipwright.craft.wood import EDGE_SD_DAYS, Window, p_open
from slipwright.handbook.pages import Page

#: weeks from cutting back until the new shoots are usually right to cut: common practice, no source
NEW_WOOD_WEEKS = (6, 10)
#: the year ribbon begins with the month so many months back, so that what comes is seen
_MONTHS_BACK = 2
_MONTHS = 12
#: days between two points of the bloom's outline
_BLOOM_STEP_DAYS = 4


@dataclass(frozen=True, slots=True)
class PlantYear:
    """Twelve months of a plant: its windows, its bloom, and what lies too near it."""

    starts_on: date
    ends_on: date
    windows: tuple[Window, ...]
    blooms: tuple[tuple[date, date], ...]
    bloom: tuple[tuple[date, float], ...]
    too_near: tuple[tuple[date, date], ...]


def year_of(page: Page, on: date, *, south: bool, flowers: Flowers | None = None) -> PlantYear:
    """Return twelve months of a plant, from two months back.

    Too near bloom is what the plant's own gaps say: the days before first and after last flower. In
    bloom itself the shoot decides.
    """
    starts_on, ends_on = months_about(on)
    windows = windows_of_page(page, starts_on, south=south)
    asked = {starts_on + timedelta(days=days) for days in range(0, (ends_on - starts_on).days + 1, 60)}
    blooms = sorted({bloom_days(page, day, south=south, flowers=flowers) for day in asked})
    days = [
        starts_on + timedelta(days=step)
        for step in range(0, (ends_on - starts_on).days + 1, _BLOOM_STEP_DAYS)
    ]
    outline = tuple(
        (day, max((p_open(day, first, last, EDGE_SD_DAYS) for first, last in blooms), default=0.0))
        for day in days
    )
    before, after = page.bloom.gap_before_days.value, page.bloom.gap_after_days.value
    near = []
    for first, last in blooms:
        if before > 0:
            near.append((first - timedelta(days=round(before)), first))
        if after > 0:
            near.append((last, last + timedelta(days=round(after))))
    return PlantYear(
        starts_on,
        ends_on,
        tuple(run for run in windows if run.opens_on <= ends_on and run.closes_on >= starts_on),
        tuple((first, last) for first, last in blooms if first <= ends_on and last >= starts_on),
        outline,
        tuple((first, last) for first, last in near if first <= ends_on and last >= starts_on),
    )


def months_about(on: date) -> tuple[date, date]:
    """Return the first and last day of the twelve months that a plant's year shows."""
    month = on.year * 12 + on.month - 1 - _MONTHS_BACK
    end = month + _MONTHS
    return date(month // 12, month % 12 + 1, 1), date(end // 12, end % 12 + 1, 1) - timedelta(days=1)


def new_wood_after(on: date) -> tuple[date, date]:
    """Return when the new shoots of a plant cut back on a day are usually right, while it grows."""
    return on + timedelta(weeks=NEW_WOOD_WEEKS[0]), on + timedelta(weeks=NEW_WOOD_WEEKS[1])
