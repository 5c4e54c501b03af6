"""Which garden is meant."""

from __future__ import annotations

import os
import uuid
from datetime import date, datetime
from zoneinfo import ZoneInfo

from slipwright.records.errors import MAKES_ONE, Ambiguous, NotFound, SeveralGardens
from slipwright.records.models import Garden
from slipwright.records.selectors import fits, plans


def the_garden(named: str | None = None) -> Garden:
    """Return the garden with this name or UUID; without one, the only garden there is."""
    if named:
        return _named(named)
    gardens = list(Garden.objects.order_by("name", "pk")[:51])
    if not gardens:
        raise NotFound(f"there is no garden yet; {MAKES_ONE}")
    if len(gardens) > 1:
        raise SeveralGardens(_shown(gardens))
    return gardens[0]


def garden_names() -> list[str]:
    """Return the names of all gardens there are, by UUID where two share one."""
    return _shown(list(Garden.objects.order_by("name", "pk")))


def demonstration_stands() -> bool:
    """Return whether there is a demonstration garden, whose day stands still."""
    return Garden.objects.filter(stands_on__isnull=False).exists()


def beside(garden: str) -> tuple[str, str]:
    """Return what a page reads with a garden, by the name a query reaches it by: its fit, its programme."""
    return (f"{garden}__fit", f"{garden}__plan")


def large_beside(garden: str) -> tuple[str, ...]:
    """Return the columns of these that are large."""
    fit, plan = beside(garden)
    return (*(f"{fit}__{column}" for column in fits.LARGE), *(f"{plan}__{column}" for column in plans.LARGE))


def _named(named: str) -> Garden:
    try:
        found = list(Garden.objects.filter(garden=uuid.UUID(named)))
    except ValueError:
        found = list(Garden.objects.filter(name__iexact=named.strip()).order_by("pk")[:51])
    if not found:
        names = ", ".join(_shown(list(Garden.objects.order_by("name", "pk")[:50])))
        raise NotFound(f"there is no garden called {named!r}; there is {names or 'none yet'}")
    if len(found) > 1:
        raise Ambiguous(repr(named), [str(garden.garden) for garden in found])
    return found[0]


def _shown(gardens: list[Garden]) -> list[str]:
    """Return the names of gardens, by UUID where two share one."""
    names = [garden.name for garden in gardens]
    return [
        name if names.count(name) == 1 else f"{name} ({garden.garden})"
        for name, garden in zip(names, gardens, strict=True)
    ]


def garden_day(garden: Garden, now: datetime) -> date:
    """Return the garden's today: of a demonstration garden the day its clock stands at.

    ``SLIPWRIGHT_TODAY`` comes first, as for commands.
    """
    said = os.environ.get("SLIPWRIGHT_TODAY")
    if said:
        return date.fromisoformat(said)
    return garden.stands_on or now.astimezone(ZoneInfo(garden.time_zone)).date()
