"""What instruments read: the newest of each place, and how warm the medium of a batch was."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from itertools import accumulate
from typing import Any, Literal

from django.db.models import (
    BigIntegerField,
    Count,
    DateField,
    ExpressionWrapper,
    F,
    FloatField,
    Func,
    Max,
    Sum,
)
from django.db.models.functions import Cast, Round

from slipwright.records.models import AccessToken, Garden, Reading, Sticking

#: A place's readings are shown back from its newest one.
SHOWN = timedelta(days=2)
#: What the air is *now* rests on a reading no older than this.
IS_NOW = timedelta(hours=3)
#: and it was among the last entries the garden received, so that no page reads years of them.
_LATELY = 5000
#: The first days of a batch, whose warmth tells most of when it roots.
FIRST_DAYS = 28


@dataclass(frozen=True, slots=True)
class Warmth:
    """How warm the medium of a batch is, and how that is known; ``n`` readings were taken the mean of."""

    c: float
    known_by: Literal["readings", "batch", "place"]
    n: int = 0


def newest_readings(garden: Garden, place: str = "") -> dict[str, list[Reading]]:
    """Return the readings of each place, or of one, from two days before its newest one; oldest first."""
    rows = Reading.rows.of(garden).standing()
    if place:
        rows = rows.filter(place__place=place)
    last = rows.values_list("place_id", "place__walk_order", "place__place").annotate(at_last=Max("at"))
    found: dict[str, list[Reading]] = {}
    for pk, _, name, at in sorted(last, key=lambda one: (one[1] is None, one[1], one[2])):
        found[name] = list(rows.filter(place_id=pk, at__gt=at - SHOWN).order_by("at", "number"))
    return found


def air_now(garden: Garden, now: datetime) -> dict[str, float]:
    """Return the newest air temperature of each place whose reading is of the last three hours."""
    lately = Reading.rows.of(garden).standing().filter(number__gt=garden.last_number - _LATELY)
    rows = lately.filter(at__gt=now - IS_NOW, at__lte=now, air_c__isnull=False)
    return {place: float(air_c) for place, air_c in rows.order_by("at").values_list("place__place", "air_c")}


def medium_warmth(garden: Garden, sticking: Sticking) -> Warmth | None:
    """Return how warm the medium of a batch was in its first days.

    The mean of what was read where it was stuck goes before what its own row says, and that before what
    is said of the place; None where nobody knows.
    """
    place = sticking.place
    if place is not None:
        asked = (place.pk, sticking.stuck_on)
        if (read := mean_medium(garden, [asked]).get(asked)) is not None:
            return Warmth(read[0], "readings", read[1])
    said: Sequence[tuple[Decimal | None, Literal["batch", "place"]]] = (
        (sticking.medium_temp_c, "batch"),
        (place.medium_temp_c if place is not None else None, "place"),
    )
    return next((Warmth(float(c), known_by) for c, known_by in said if c is not None), None)


def mean_medium(
    garden: Garden, asked: Iterable[tuple[int, date]]
) -> dict[tuple[int, date], tuple[float, int]]:
    """Return by place and day the mean of the medium's warmth over the first days from then on.

    With it comes how many readings it is the mean of; where there is none, there is no mean. A reading
    belongs to the calendar day where it was written down. One query.
    """
    wanted = set(asked)
    if not wanted:
        return {}
    days = [day for _, day in wanted]
    rows = Reading.rows.of(garden).standing().filter(medium_c__isnull=False)
    # a day either way, as the calendar day is not that of the world's clock
    rows = rows.filter(
        place__in={place for place, _ in wanted},
        at__gte=datetime.combine(min(days), time(), UTC) - timedelta(days=1),
        at__lt=datetime.combine(max(days), time(), UTC) + timedelta(days=FIRST_DAYS + 1),
    )
    # whole numbers add up alike in any order
    millionths = Round(ExpressionWrapper(F("medium_c") * 1_000_000, FloatField()))
    by_day = (
        rows.order_by()
        .annotate(day=_LocalDay("at", "at_offset_min"))
        .values_list("place_id", "day")
        .annotate(total=Sum(Cast(millionths, BigIntegerField())), n=Count("pk"))
    )
    read: dict[int, list[tuple[date, int, int]]] = {}
    for place, day, total, n in by_day:
        read.setdefault(place, []).append((day, int(total), n))
    found: dict[tuple[int, date], tuple[float, int]] = {}
    runs = {place: _Running(sorted(of_place)) for place, of_place in read.items()}
    for place, day in wanted:
        total, n = runs[place].between(day, day + timedelta(days=FIRST_DAYS)) if place in runs else (0, 0)
        if n:
            found[place, day] = (total / n / 1_000_000, n)
    return found


class _LocalDay(Func):
    """The calendar day of a moment, by the offset from UTC it was written down with."""

    arity = 2
    output_field = DateField()

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        template = "date(%(expressions)s || ' minutes')"
        return self.as_sql(compiler, connection, template=template, **context)

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        template = "date((%(expressions)s * interval '1 minute') AT TIME ZONE 'UTC')"
        return self.as_sql(compiler, connection, template=template, arg_joiner=" + ", **context)


class _Running:
    """Sums of one place's days, from the first on."""

    def __init__(self, days: Sequence[tuple[date, int, int]]) -> None:
        self._days = [day for day, _, _ in days]
        self._totals = [0, *accumulate(total for _, total, _ in days)]
        self._counts = [0, *accumulate(n for _, _, n in days)]

    def between(self, first: date, end: date) -> tuple[int, int]:
        """Return total and number from ``first`` to the day before ``end``."""
        start, stop = bisect_left(self._days, first), bisect_left(self._days, end)
        return self._totals[stop] - self._totals[start], self._counts[stop] - self._counts[start]


def tokens_of(garden: Garden) -> list[AccessToken]:
    """Return what lets instruments in, those that were ended last."""
    rows = AccessToken.objects.filter(garden=garden).select_related("made_by")
    return sorted(rows, key=lambda token: (token.ended_at is not None, token.name, token.pk))
