"""Twelve months of a stock plant: its woods, its bloom, and when new wood comes after cutting back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from slipwright.advice.blooming import BloomDays, bloom_of_plant
from slipwright.advice.plant_season import windows_since
from slipwright.advice.seen import NOTHING_SEEN, SeenPlant
from slipwright.advice.timing import Flowers, bloom_days
from slipwright.craft.bloom import p_in_bloom
from slipwright.craft.wood import EDGE_SD_DAYS, Window
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


def year_of(
    page: Page,
    on: date,
    *,
    south: bool,
    flowers: Flowers | None = None,
    seen: SeenPlant = NOTHING_SEEN,
    months: tuple[date, date] | None = None,
) -> PlantYear:
    """Return twelve months of a plant, from two months back, by all that is known on a day.

    ``months`` asks for others, by their first and last day.

    Too near bloom is what the plant's own gaps say: the days before first and after last flower. In
    bloom itself the shoot decides.
    """
    starts_on, ends_on = months or months_about(on)
    windows = windows_since(page, seen, on, starts_on, south=south)
    days = [
        starts_on + timedelta(days=step)
        for step in range(0, (ends_on - starts_on).days + 1, _BLOOM_STEP_DAYS)
    ]
    blooms = _blooms(page, on, (starts_on, ends_on), south, flowers, seen)
    chances = [_chances(bloom, days) for bloom in blooms]
    outline = tuple(
        (day, max((of_bloom[place] for of_bloom in chances), default=0.0)) for place, day in enumerate(days)
    )
    before, after = page.bloom.gap_before_days.value, page.bloom.gap_after_days.value
    near = []
    for bloom in blooms:
        if before > 0:
            near.append((bloom.first_on - timedelta(days=round(before)), bloom.first_on))
        if after > 0:
            near.append((bloom.last_on, bloom.last_on + timedelta(days=round(after))))
    return PlantYear(
        starts_on,
        ends_on,
        tuple(run for run in windows if run.opens_on <= ends_on and run.closes_on >= starts_on),
        tuple(
            (one.first_on, one.last_on)
            for one in blooms
            if one.first_on <= ends_on and one.last_on >= starts_on
        ),
        outline,
        tuple((first, last) for first, last in near if first <= ends_on and last >= starts_on),
    )


def _blooms(
    page: Page,
    on: date,
    months: tuple[date, date],
    south: bool,
    flowers: Flowers | None,
    seen: SeenPlant,
) -> list[BloomDays]:
    """Return the blooms that touch the months, each as it is known today."""
    starts_on, ends_on = months
    asked = [starts_on + timedelta(days=days) for days in range(0, (ends_on - starts_on).days + 1, 60)]
    by_book = sorted({bloom_days(page, day, south=south, flowers=flowers) for day in asked})
    if not seen.tells_of_bloom:
        return [
            BloomDays(first, last, EDGE_SD_DAYS, EDGE_SD_DAYS, 0, was_seen=False, rests_on="")
            for first, last in by_book
        ]
    repeats = (flowers or page.bloom.flowers) == "repeat"
    return [bloom_of_plant(seen, first, last, on, repeats=repeats, south=south) for first, last in by_book]


def _chances(bloom: BloomDays, days: Sequence[date]) -> list[float]:
    chances: list[float] = p_in_bloom(
        [day.toordinal() for day in days],
        bloom.first_on.toordinal(),
        bloom.last_on.toordinal(),
        first_sd_days=bloom.first_sd_days,
        last_sd_days=bloom.last_sd_days,
    ).tolist()
    return chances


def months_about(on: date) -> tuple[date, date]:
    """Return the first and last day of the twelve months that a plant's year shows."""
    month = on.year * 12 + on.month - 1 - _MONTHS_BACK
    end = month + _MONTHS
    return date(month // 12, month % 12 + 1, 1), date(end // 12, end % 12 + 1, 1) - timedelta(days=1)


def new_wood_after(on: date) -> tuple[date, date]:
    """Return when the new shoots of a plant cut back on a day are usually right, while it grows."""
    return on + timedelta(weeks=NEW_WOOD_WEEKS[0]), on + timedelta(weeks=NEW_WOOD_WEEKS[1])
