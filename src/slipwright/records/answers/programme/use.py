"""What a batch of a programme is expected to take: bench, nursery, hours and money.

Room and hours are expected values by week.  Every default here is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import numpy as np

from slipwright.craft.container import LABELS_A_CONTAINER, round_pot_width_mm
from slipwright.craft.days import monday_of
from slipwright.craft.medium import medium_litres
from slipwright.craft.said import Said, joined
from slipwright.records.answers.programme.given import Given
from slipwright.records.answers.programme.ready import Timing
from slipwright.records.answers.programme.room import bench_row, hours_row, nursery_row
from slipwright.records.answers.programme.standing import StandingBatch
from slipwright.records.selectors.programme import Pot
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.learned import ClockDraws, Kind, Learned
from slipwright.rooting.ranges import Array, normal_cdf
from slipwright.rooting.ready_days import days_curve

#: minutes: to make and stick one cutting, to set up a batch, to look at a batch, and to pot one
MINUTES_EACH, SETUP_MINUTES, LOOK_MINUTES, POTTING_MINUTES = 1.0, 15.0, 3.0, 1.0
#: seconds more for each cutting that stands in a batch looked at: of many one in ten is taken in hand
LOOK_SECONDS_EACH = 1.0
#: side of the square a young pot stands on [mm]
YOUNG_POT_MM = 90.0
#: draws that a mean is made of
_ENOUGH = 250
#: below this share of a batch nobody asks for its room
_LEAST = 0.005

DEFAULTS = Said(
    "Where nobody wrote it down: {each:g} minute to make and stick a cutting, {setup:g} to set up a batch, "
    "{look:g} for a look at one and {seconds:g} s more for each cutting in it, {pot:g} to pot one, and "
    "{side:g} mm for a young pot (common practice, no source).",
    each=MINUTES_EACH,
    setup=SETUP_MINUTES,
    look=LOOK_MINUTES,
    seconds=LOOK_SECONDS_EACH,
    pot=POTTING_MINUTES,
    side=YOUNG_POT_MM,
)


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Mean shares rooted and lost by age, of a kind of batch."""

    ages: Array
    rooted: Array
    lost: Array

    def rooted_by(self, age: Array | float) -> Array:
        """Return the mean share rooted by an age; nought before sticking."""
        return np.asarray(np.interp(age, self.ages, self.rooted, left=0.0))

    def lost_by(self, age: Array | float) -> Array:
        """Return the mean share lost by an age."""
        return np.asarray(np.interp(age, self.ages, self.lost, left=0.0))


def course_of(learned: Learned, cuttings: Cuttings, kind: Kind, patience_days: float) -> Course:
    """Return the mean course of a kind of batch."""
    ages = np.append(np.arange(0.0, patience_days, 7.0), patience_days)
    clocks = learned.clocks(cuttings, kind)
    every = max(clocks.n_draws // _ENOUGH, 1)
    few = ClockDraws(
        clocks.level[:, ::every], clocks.slope[:, ::every], clocks.bend[:, ::every], clocks.cells
    )
    rooted, lost, _ = fates(few, ages).mean(axis=2)
    return Course(ages, rooted, lost)


def potted_by(course: Course, timing: Timing, days: Sequence[date]) -> Array:
    """Return the mean share of the cuttings stuck that is potted by each of some days."""
    return course.rooted_by(timing.last_ages(tuple(days)))


def likely_ready(course: Course, timing: Timing, grows: GrowsOn) -> float:
    """Return about which share of the cuttings stuck is ready by the day due, deaths in the pot left out."""
    last = timing.last_to_count
    rooted = float(course.rooted_by(last))
    if timing.ready_as in ("rooted", "potted"):
        return rooted
    days = grows.days(timing.ready_as, timing.wood)
    if days is None:
        return rooted
    if timing.ready_as == "finished":
        return rooted * _by(days, timing.n_days)
    steps = [(last * k // 4, last * (k + 1) // 4) for k in range(4)]
    return sum(
        float(course.rooted_by(high) - course.rooted_by(low))
        * _by(days, (timing.due - timing.potted_on((low + high) / 2)).days)
        for low, high in steps
    )


def _by(days: tuple[float, float, float], n_days: float) -> float:
    """Return about which share has come so far by a number of days."""
    curve = days_curve(*days)
    return float(normal_cdf(curve.score(np.log(np.array([max(n_days, 0.5)]))))[0])


def standing_on(course: Course, timing: Timing, days: Sequence[date]) -> Array:
    """Return the mean share of the cuttings stuck that stands unpotted on each of some days.

    At the end of patience what waits is given up.
    """
    ages = timing.ages_on(tuple(days))
    potted = potted_by(course, timing, days)
    given_up = course.rooted_by(timing.patience_days) - potted
    standing = 1.0 - course.lost_by(np.maximum(ages, 0)) - potted
    return np.maximum(np.where(ages >= timing.patience_days, given_up, standing), 0.0)


@lru_cache(maxsize=500)
def _weeks(first: date, last: date) -> tuple[date, ...]:
    """Return the Mondays from one on until a day."""
    return tuple(first + timedelta(weeks=n) for n in range((last - first).days // 7 + 1))


@lru_cache(maxsize=500)
def _sundays(mondays: tuple[date, ...]) -> tuple[date, ...]:
    return tuple(monday + timedelta(days=6) for monday in mondays)


@dataclass(frozen=True, slots=True)
class Use:
    """Expected use of rows by one cutting and by the batch as such, and its hours [h]."""

    each: Mapping[str, float]
    once: Mapping[str, float]
    hours_each: float
    hours_once: float


def use_of(
    given: Given,
    course: Course,
    timing: Timing,
    *,
    cover: str,
    area_each_m2: float,
    minutes_each: float | None,
    setup_minutes: float | None,
    rows: frozenset[str],
) -> Use:
    """Return what a batch takes of the rows there are, each cutting on an area."""
    each: dict[str, float] = {}
    once: dict[str, float] = {}
    first = monday_of(timing.stuck_on)
    _add(each, hours_row(first), (MINUTES_EACH if minutes_each is None else minutes_each) / 60)
    _add(once, hours_row(first), (SETUP_MINUTES if setup_minutes is None else setup_minutes) / 60)
    weeks = _weeks(first, given.last_day)
    standing = standing_on(course, timing, [timing.stuck_on, *weeks[1:]]).tolist()
    # what is potted by a later day is no less
    potted_at = np.minimum(timing.last_ages(_sundays(weeks)), float(timing.last_age(timing.due)))
    potted = course.rooted_by(potted_at)
    newly = np.diff(potted, prepend=0.0).tolist()
    potted = potted.tolist()
    looks, looks_each = look_hours(given, 1.0)
    pots = 0.0 if timing.ready_as == "rooted" else (YOUNG_POT_MM / 1000) ** 2
    for n, week in enumerate(weeks):
        if standing[n] >= _LEAST:
            each[bench_row(cover, week)] = standing[n] * area_each_m2
            if n:
                _add(once, hours_row(week), looks)
                _add(each, hours_row(week), standing[n] * looks_each)
        if pots and week <= timing.due:
            each[nursery_row(week)] = (potted[n] - newly[n] / 2) * pots
            _add(each, hours_row(week), newly[n] * POTTING_MINUTES / 60)
    hours = (sum(n for row, n in part.items() if row.startswith("hours ")) for part in (each, once))
    hours_each, hours_once = hours
    return Use(
        {row: n for row, n in each.items() if row in rows and n > 0},
        {row: n for row, n in once.items() if row in rows and n > 0},
        hours_each,
        hours_once,
    )


def look_hours(given: Given, n_standing: float) -> tuple[float, float]:
    """Return the hours a week that looks at a batch take: for the batch, and for the cuttings in it."""
    per_week = 7 / given.round_days
    return LOOK_MINUTES / 60 * per_week, n_standing * LOOK_SECONDS_EACH / 3600 * per_week


def use_of_standing(
    given: Given, batch: StandingBatch, course: Course, rows: frozenset[str]
) -> dict[str, float]:
    """Return what a batch already stuck takes of the rows from now on."""
    found: dict[str, float] = {}
    timing, counts = batch.timing, batch.record.counts
    pot = given.pots.get(batch.now.container)
    n_each = batch.now.n_per_container
    area = area_of_cutting(pot, n_each) if pot is not None and n_each else None
    age = batch.age
    n_open, n_to_pot = (counts.n_waiting, counts.n_to_pot) if batch.is_open else (0, 0)
    n_pots = max(batch.grown.n_standing, 0) if batch.grown else 0
    weeks = list(given.weeks())
    days = [max(week, given.on) for week in weeks]
    ages = np.array([(day - timing.stuck_on).days for day in days], float)
    # of those that wait, so many have rooted and been potted, or been lost, by then
    rooted, lost = float(course.rooted_by(age)), float(course.lost_by(age))
    waiting = max(1.0 - rooted - lost, 1e-6)
    gone = np.clip((course.lost_by(ages) - lost) / waiting, 0.0, 1.0)
    potted = n_open * np.clip((potted_by(course, timing, days) - rooted) / waiting, 0.0, 1.0)
    at_last = np.clip((course.rooted_by(timing.patience_days) - rooted) / waiting, 0.0, 1.0)
    is_over = ages >= timing.patience_days
    if age >= timing.patience_days:
        # given up at the next round
        is_over[0] = False
    stands = np.maximum(n_open * np.where(is_over, at_last, 1.0 - gone) - potted, 0.0)
    pot_now = timing.potted_on(age)
    for n, (week, day) in enumerate(zip(weeks, days, strict=True)):
        here, pots = float(stands[n]), n_pots + float(potted[n])
        here, pots = (here + n_to_pot, pots) if pot_now > day else (here, pots + n_to_pot)
        if area is not None and here > _LEAST:
            _add(found, bench_row(batch.now.cover_now or "open", week), here * area)
        if (timing.ready_as != "rooted" or n_pots) and week <= timing.due:
            _add(found, nursery_row(week), pots * (YOUNG_POT_MM / 1000) ** 2)
        if here > _LEAST:
            _add(found, hours_row(week), math.fsum(look_hours(given, here)))
    return {row: n for row, n in found.items() if row in rows and n > 0}


def _add(uses: dict[str, float], row: str, amount: float) -> None:
    uses[row] = uses.get(row, 0.0) + amount


# --- containers ---------------------------------------------------------------------------------------


def n_in_container(pot: Pot, n_per_container: int) -> int:
    """Return how many cuttings a pot or a tray holds: so many go in each of its cells."""
    return n_per_container * (pot.cells or 1)


def area_of_cutting(pot: Pot, n_per_container: int) -> float:
    """Return the area a cutting takes of a bench [m2]; a pot of unknown width goes by its volume."""
    volume = pot.volume_ml * (pot.cells or 1)
    if pot.width_mm is None and pot.length_mm is None:
        side = round_pot_width_mm(volume) if volume > 0 else YOUNG_POT_MM
        area = side**2
    else:
        one, other = pot.width_mm, pot.length_mm
        area = (one if one is not None else other or 0.0) * (other if other is not None else one or 0.0)
    return area / 1e6 / n_in_container(pot, n_per_container)


#: what every garden buys, by its item in the table of costs
_BOUGHT: Mapping[str, str] = {
    "label": Said("label"),
    "hormone": Said("hormone"),
    "labour": Said("labour"),
}


def items_said(items: Iterable[str]) -> str:
    """Return items of the table of costs as they are said; what a garden called one stands as written."""
    return joined([_BOUGHT.get(item, item) for item in items], ", ")


@dataclass(frozen=True, slots=True)
class Price:
    """What a batch costs: by the cutting and as such, and what nobody wrote a cost of."""

    each: float
    once: float
    unknown: tuple[str, ...]


def price_of(
    given: Given, pot: Pot, n_per_container: int, parts: Mapping[str, float], auxin: str, use: Use
) -> Price:
    """Return the cost of container, medium, labels, hormone and hours; what is unknown counts as nought."""
    unknown: list[str] = []

    def cost(item: str, *units: str) -> float:
        found = given.costs.get(item)
        if found is None or (units and found.unit not in units):
            unknown.append(item)
            return 0.0
        return found.cost

    n = n_in_container(pot, n_per_container)
    each = cost(pot.cost_item or pot.container) / n
    if parts and pot.volume_ml > 0:
        for part, litres in medium_litres(1, pot.volume_ml, parts).parts_l.items():
            each += litres / n_per_container * cost(part, "litre", "l", "L")
    each += LABELS_A_CONTAINER * cost("label") / n
    if auxin not in ("", "none"):
        each += cost("hormone", "each", "cutting")
    hour = cost("labour", "hour", "h")
    return Price(each + hour * use.hours_each, hour * use.hours_once, tuple(unknown))
