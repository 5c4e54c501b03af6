"""Whether a copy is of the garden whose place it is to take."""

from __future__ import annotations

from django.db import DatabaseError

from slipwright.records.errors import Refused
from slipwright.records.models import Garden


def gardens_in(using: str) -> dict[str, str]:
    """Return the gardens of a database, their names by their ids; none where it cannot be read."""
    try:
        rows = Garden.objects.using(using).values_list("garden", "name")
        return {str(one): name for one, name in rows}
    except DatabaseError:
        return {}


def refuse_another(at: str, *, there: dict[str, str], new: dict[str, str], doors: list[str]) -> None:
    """Refuse to put one garden over another; one that cannot be read any more is no hindrance."""
    if there and not there.keys() & new.keys():
        raise Refused(
            f"{at} holds {', '.join(there.values())}, and the copy holds {', '.join(new.values())}",
            [*doors, "To put it over the other one all the same, give --replace-other; that one is kept."],
        )
