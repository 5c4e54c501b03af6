"""When one plant will flower, from the handbook's days, its own records and the weather before."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from slipwright.advice.seen import SeenPlant
from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined

if TYPE_CHECKING:
    from numpy import datetime64
    from numpy.typing import NDArray

    from slipwright.craft.bloom import Slope
    from slipwright.craft.years import WeatherYears

    Days = NDArray[datetime64]

#: growth stages of first flowers, and of flowers over, on the BBCH scale
FIRST_FLOWERS: Final = range(60, 65)
OVER: Final = range(67, 70)
#: how exactly a record of first flowers dates them [d]
SEEN_SD_DAYS: Final = 2.0
_P90 = 1.2815515655446004
#: a record of first flowers belongs to the season whose usual day lies so near [d]
_BEFORE_DAYS, _AFTER_DAYS = 90, 120
#: a repeat bloomer's record further from its usual day is that of another flush [d]
_FIRST_FLUSH_DAYS = 45
#: flushes of one plant lie at least so far apart, and no further than [d]
_FLUSH_LEAST_DAYS, _FLUSH_MOST_DAYS = 20, 120


@dataclass(frozen=True, slots=True)
class BloomDays:
    """First and last flower of one season, with how well they are known."""

    first_on: date
    last_on: date
    first_sd_days: float
    last_sd_days: float
    n_own: int
    #: first flowers of this season were seen
    was_seen: bool
    rests_on: str

    @property
    def p10(self) -> date:
        """First flower comes no sooner, nine times in ten."""
        return self.first_on - timedelta(days=round(_P90 * self.first_sd_days))

    @property
    def p90(self) -> date:
        """First flower comes no later, nine times in ten."""
        return self.first_on + timedelta(days=round(_P90 * self.first_sd_days))


@dataclass(frozen=True, slots=True)
class Flush:
    """From one flush of a repeat bloomer to its next, from own records alone."""

    days: float
    sd_days: float
    degree_days_c: float | None
    n_own: int
    next_on: date | None

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "days": round(self.days, 1),
            "sd_days": round(self.sd_days, 1),
            "degree_days_c": None if self.degree_days_c is None else round(self.degree_days_c),
            "n_own": self.n_own,
            "next_on": self.next_on.isoformat() if self.next_on else None,
        }


def first_flowers(seen: SeenPlant, usual_on: date, to: date, *, repeats: bool = False) -> tuple[date, ...]:
    """Return the first flowers of each season that a garden has seen on a plant.

    Parameters
    ----------
    seen : SeenPlant
        What was seen of it.
    usual_on : date
        The usual day, in any season.
    to : date
        Later records are left out.
    repeats : bool
        Whether the plant flowers again and again.

    Returns
    -------
    tuple of date
        One a season, in the order of the calendar.

    Notes
    -----
    A season's first record counts if it lies 90 days or less before the usual day or 120 or less after it.
    Of a repeat bloomer such a record may be that of a later flush, where the first was not written down:
    only records within 45 days of the usual day count, then of those alone the first of each season within
    45 days of their mean.

    References
    ----------
    BBCH 60 to 64 are the stages from first flowers on; 45 days, about the time from one flush of a rose to
    its next: common practice, no source.

    Examples
    --------
    >>> from slipwright.advice.seen import StageSeen
    >>> seen = SeenPlant((StageSeen(date(2025, 5, 20), 60), StageSeen(date(2025, 7, 12), 60)))
    >>> first_flowers(seen, date(2026, 5, 25), date(2026, 3, 1))
    (datetime.date(2025, 5, 20),)
    """
    records = sorted({one.on for one in seen.stages if one.bbch in FIRST_FLOWERS and one.on <= to})
    if not repeats:
        return _first_of_each_season(records, usual_on, -_BEFORE_DAYS, _AFTER_DAYS)
    give = _FIRST_FLUSH_DAYS
    near = _first_of_each_season(records, usual_on, -give, give)
    mean = sum(_season_of(day, usual_on)[1] for day in near) / len(near) if near else 0.0
    return _first_of_each_season(records, usual_on, mean - give, mean + give)


def _first_of_each_season(
    records: Iterable[date], usual_on: date, least: float, most: float
) -> tuple[date, ...]:
    """Return of each season the first record so many days from the usual day."""
    by_season: dict[int, date] = {}
    for day in records:
        season, off = _season_of(day, usual_on)
        if least <= off <= most:
            by_season.setdefault(season, day)
    return tuple(by_season.values())


def slope_of_garden(
    plants: Iterable[tuple[SeenPlant, date, bool]], on: date, *, south: bool = False
) -> Slope:
    """Return how bloom follows warmth in a garden, as all its plants tell it together.

    Parameters
    ----------
    plants : iterable of tuple
        What was seen of each plant, the handbook's first day of bloom in any season, and whether the plant
        flowers again and again.
    on : date
        The day asked about; later records are left out.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    Slope
        That of spring bloom; plants of late winter tell nothing of it and keep what is known beforehand.

    References
    ----------
    As `slipwright.craft.bloom.shared_slope`.

    Examples
    --------
    >>> slope_of_garden([], date(2026, 5, 1)).days_per_c
    -3.8
    """
    from slipwright.craft.bloom import LATE_WINTER, SPRING, shared_slope, slope_prior

    own: list[tuple[date, ...]] = []
    above: list[list[float]] = []
    books: list[date] = []
    for seen, book_on, repeats in plants:
        days = first_flowers(seen, book_on, on, repeats=repeats)
        if (
            len(days) < 2
            or seen.weather is None
            or slope_prior(_usual(days, book_on), south=south) is LATE_WINTER
        ):
            continue
        own.append(days)
        above.append(_anomalies(seen.weather, days, book_on)[0])
        books.append(book_on)
    if not own:
        return SPRING
    n = max(len(days) for days in own)
    filled = [[*one, *[math.nan] * (n - len(one))] for one in above]
    return shared_slope(_rows(own), filled, book_on=_days(books))


def bloom_of_plant(
    seen: SeenPlant, book_first_on: date, book_last_on: date, on: date, *, repeats: bool, south: bool = False
) -> BloomDays:
    """Return first and last flower of the season whose days in the handbook are given.

    Parameters
    ----------
    seen : SeenPlant
        What was seen of the plant.
    book_first_on, book_last_on : date
        First and last day of that bloom in the handbook's months.
    on : date
        The day asked about; later records and later weather that is not a forecast are left out.
    repeats : bool
        Whether the plant flowers again and again: it then ends as the handbook says.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    BloomDays
        Days, spreads and what they rest on.

    Notes
    -----
    First flowers seen this season stand. Else `slipwright.craft.bloom.forecast`. Last flower is as long
    after the first as in the handbook, within 10 days, unless it was seen.

    References
    ----------
    As `slipwright.craft.bloom`; 10 days: common practice, no source.

    Examples
    --------
    >>> from slipwright.advice.seen import StageSeen
    >>> seen = SeenPlant(tuple(StageSeen(date(year, 5, 18), 60) for year in (2023, 2024, 2025)))
    >>> days = bloom_of_plant(seen, date(2026, 5, 25), date(2026, 6, 30), date(2026, 3, 1), repeats=False)
    >>> days.first_on, days.n_own
    (datetime.date(2026, 5, 18), 3)
    """
    from slipwright.craft.bloom import LENGTH_SD_DAYS

    days = first_flowers(seen, book_first_on, on, repeats=repeats)
    this = [day for day in days if _season_of(day, book_first_on)[0] == 0]
    own = [day for day in days if _season_of(day, book_first_on)[0] < 0]
    if this:
        first, sd = this[0], SEEN_SD_DAYS
        rests: str = Said("first flowers seen on {day}", day=day_in_words(first, beside=on))
    else:
        first, sd, rests = _forecast(seen, own, book_first_on, on, south)
    over = [stage.on for stage in seen.stages if stage.bbch in OVER and first < stage.on <= on]
    over = [day for day in over if (day - first).days <= _AFTER_DAYS]
    if repeats:
        last, last_sd = max(book_last_on, first), 14.0
    elif over:
        last, last_sd = max(over), SEEN_SD_DAYS
    else:
        last = first + (book_last_on - book_first_on)
        last_sd = math.hypot(sd, LENGTH_SD_DAYS)
    return BloomDays(first, last, sd, last_sd, len(own), bool(this), rests)


def flush_of_plant(seen: SeenPlant, on: date) -> Flush | None:
    """Return how long a repeat bloomer takes from one flush to its next, from own records alone.

    Parameters
    ----------
    seen : SeenPlant
        What was seen of the plant.
    on : date
        The day asked about; later records are left out.

    Returns
    -------
    Flush or None
        None without two flushes of one season on record. The next is counted from the last first flower,
        only while it lies ahead.

    Notes
    -----
    From first flower to next first flower, 20 to 120 days apart. The spread is that of the records, with a
    quarter of the mean counted as one more record of it.

    References
    ----------
    Our own; that the next flush cannot be told from general figures is measured on none.

    Examples
    --------
    >>> from slipwright.advice.seen import StageSeen
    >>> stages = (StageSeen(date(2026, 5, 20), 60), StageSeen(date(2026, 7, 9), 60))
    >>> flush = flush_of_plant(SeenPlant(stages), date(2026, 7, 20))
    >>> flush.days, flush.next_on
    (50.0, datetime.date(2026, 8, 28))
    """
    starts = sorted({one.on for one in seen.stages if one.bbch in FIRST_FLOWERS and one.on <= on})
    flushes = [
        day for i, day in enumerate(starts) if i == 0 or (day - starts[i - 1]).days >= _FLUSH_LEAST_DAYS
    ]
    pairs = [
        (one, two)
        for one, two in pairwise(flushes)
        if _FLUSH_LEAST_DAYS <= (two - one).days <= _FLUSH_MOST_DAYS
    ]
    if not pairs:
        return None
    lengths = [(two - one).days for one, two in pairs]
    mean = sum(lengths) / len(lengths)
    squares = sum((length - mean) ** 2 for length in lengths) + (mean / 4) ** 2
    sd = math.sqrt(squares / len(lengths)) * math.sqrt(1 + 1 / len(lengths))
    heat = _heat_between(seen.weather, pairs)
    next_on = flushes[-1] + timedelta(days=round(mean))
    return Flush(mean, sd, heat, len(pairs), next_on if next_on >= on else None)


def _heat_between(weather: WeatherYears | None, pairs: Sequence[tuple[date, date]]) -> float | None:
    if weather is None:
        return None
    sums = [weather.heat_since(one, (two - one).days) for one, two in pairs if two <= weather.known_to]
    known = [float(heat[0, -1]) for heat in sums if len(heat) == 1]
    return sum(known) / len(known) if known else None


def _forecast(
    seen: SeenPlant, own: list[date], book_on: date, on: date, south: bool
) -> tuple[date, float, str]:
    from slipwright.craft.bloom import SHARP_DAYS, SPAN_SD_C, SPRING, forecast, shared_slope, slope_prior

    usual = _usual(own, book_on)
    prior = slope_prior(usual, south=south)
    weather = seen.weather
    above, anomaly, spread, n_seen = [math.nan] * len(own), 0.0, SPAN_SD_C, 0
    if weather is not None:
        above, anomaly, spread, n_seen = _anomalies(weather, own, book_on)
    if seen.slope is not None and prior is SPRING:
        slope = seen.slope
    else:
        slope = prior
        if len(own) > 1:
            slope = shared_slope(_rows([own]), [above], book_on=_days([book_on]), slope=prior)
    told = forecast(
        _rows([own]),
        [above or [math.nan]],
        book_on=_days([book_on]),
        anomaly_c=[anomaly],
        anomaly_sd_c=[spread],
        slope=slope,
    )
    first = book_on + timedelta(days=round(float(told.after_book_days[0])))
    rests = _rests_on(own, weather, n_seen, on)
    if weather is not None and (first - on).days > SHARP_DAYS:
        sharp_on = day_in_words(first - timedelta(days=SHARP_DAYS), beside=on)
        rests = joined([rests, Said("sharper from about {day} on", day=sharp_on)], "; ")
    return first, float(told.sd_days[0]), rests


def _rests_on(own: list[date], weather: WeatherYears | None, n_seen: int, on: date) -> str:
    records: str = Said("the handbook's months")
    if own:
        records = (
            Said("{n} first flowers of its own", n=len(own))
            if len(own) > 1
            else Said("one first flower of its own, {day}", day=day_in_words(own[0], beside=on))
        )
    if weather is None:
        return joined([records, Said("no weather: every spring counts as usual")], "; ")
    if not n_seen:
        return joined([records, Said("the warmth before it is not yet known and counts as usual")], "; ")
    warm = Said("{n} of the 60 days before it seen or forecast, the others as usual", n=n_seen)
    return joined([records, warm], "; ")


def _anomalies(
    weather: WeatherYears, own: Sequence[date], book_on: date
) -> tuple[list[float], float, float, int]:
    """How warm the 60 days were in the years on record and are this season; its spread, and days seen."""
    from slipwright.craft.bloom import own_anomalies, usual_day, warmth

    usual = usual_day(_rows([own]), _days([book_on]))
    here = warmth(weather, usual)
    above = own_anomalies(weather, _rows([own]), usual, here.usual_c)[0].tolist() if own else []
    return above, float(here.anomaly_c[0]), float(here.sd_c[0]), int(here.n_days_seen[0])


def _days(days: Sequence[date]) -> Days:
    import numpy as np

    return np.array(days, dtype="datetime64[D]")


def _rows(days: Sequence[Sequence[date]]) -> Days:
    """One row a plant, as long as the longest, with NaT where there is no record."""
    import numpy as np

    n = max([len(row) for row in days] + [1])
    rows = np.full((len(days), n), np.datetime64("NaT", "D"))
    for i, row in enumerate(days):
        rows[i, : len(row)] = _days(row)
    return rows


def _usual(own: Sequence[date], book_on: date) -> date:
    off = [_season_of(day, book_on)[1] for day in own]
    return book_on + timedelta(days=round(sum(off) / len(off))) if off else book_on


def _season_of(day: date, usual_on: date) -> tuple[int, float]:
    """How many seasons after the usual day a day lies, and how many days from it in its season."""
    apart = (day - usual_on).days
    season = math.floor((apart + _BEFORE_DAYS) / 365.2425)
    return season, apart - season * 365.2425
