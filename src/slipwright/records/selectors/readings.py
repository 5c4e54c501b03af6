"""What instruments read: the newest of each place, and how warm the medium of a batch was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from typing import Literal
from zoneinfo import ZoneInfo

from django.db.models import Avg, Count, Max

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
        zone = ZoneInfo(garden.time_zone)
        begins = datetime.combine(sticking.stuck_on, time(), zone).astimezone(UTC)
        rows = (
            Reading.rows.of(garden)
            .standing()
            .filter(
                place=place,
                at__gte=begins,
                at__lt=begins + timedelta(days=FIRST_DAYS),
                medium_c__isnull=False,
            )
        )
        read = rows.aggregate(mean=Avg("medium_c"), n=Count("pk"))
        if read["n"]:
            return Warmth(float(read["mean"]), "readings", read["n"])
    said: Sequence[tuple[Decimal | None, Literal["batch", "place"]]] = (
        (sticking.medium_temp_c, "batch"),
        (place.medium_temp_c if place is not None else None, "place"),
    )
    return next((Warmth(float(c), known_by) for c, known_by in said if c is not None), None)


def tokens_of(garden: Garden) -> list[AccessToken]:
    """Return what lets instruments in, those that were ended last."""
    rows = AccessToken.objects.filter(garden=garden).select_related("made_by")
    return sorted(rows, key=lambda token: (token.ended_at is not None, token.name, token.pk))
