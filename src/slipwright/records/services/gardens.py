"""Making a garden."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from slipwright.craft.said import Said
from slipwright.records.columns import table_named
from slipwright.records.errors import BadValue, Refused
from slipwright.records.models import Garden, Member, User
from slipwright.records.roles import RECORD, require
from slipwright.records.rows import Row, checked, kept_as


@transaction.atomic
def make_garden(
    *,
    name: str,
    latitude_deg: Decimal,
    longitude_deg: Decimal,
    time_zone: str,
    owner: str,
    owner_shown_as: str = "",
    user: User | None = None,
    altitude_m: Decimal | None = None,
    round_days: int | None = None,
    units: str = "",
    currency: str = "",
    garden: uuid.UUID | None = None,
) -> Garden:
    """Make a garden and its first member, who owns it."""
    row: Row = {
        "garden": str(garden or uuid.uuid4()),
        "name": name,
        "latitude_deg": latitude_deg,
        "longitude_deg": longitude_deg,
        "altitude_m": altitude_m,
        "time_zone": time_zone,
        "round_days": round_days,
        "units": units,
        "currency": currency,
    }
    table = table_named("garden")
    record = Garden()
    record = Garden(**kept_as(record, table, checked(table, row)))
    members = table_named("members")
    first: Row = {"member": owner, "role": "owner", "shown_as": owner_shown_as}
    member = Member(**kept_as(record, members, checked(members, first)), user=user)
    try:
        record.full_clean()
        record.save()
        member.garden = record
        member.full_clean()
    except ValidationError as error:
        column, rules = next(iter(error.message_dict.items()))
        raise BadValue(column, " ".join(rules)) from error
    member.save()
    return record


#: steps by which the clock of a demonstration may be set on [days]
DEMO_STEPS = (7, 28)


@transaction.atomic
def set_on(*, garden: Garden, by: Member, days: int, until: date) -> date:
    """Set the clock of a demonstration garden on by one of ``DEMO_STEPS``, not beyond a day.

    A real garden has no such clock. Returns the day it then stands at.
    """
    require(by, RECORD, garden)
    if days not in DEMO_STEPS:
        steps = ", ".join(map(str, DEMO_STEPS))
        raise BadValue(
            "days", Said("The clock is set on by one of these numbers of days: {steps}.", steps=steps)
        )
    held = Garden.objects.select_for_update().get(pk=garden.pk)
    if held.stands_on is None:
        raise Refused(Said("Only the clock of a demonstration can be set on."))
    stands_on = held.stands_on + timedelta(days=days)
    if stands_on > until:
        raise Refused(
            Said(
                "The clock of this demonstration ends in {year}. Begin anew with a file of its own.",
                year=until.year,
            )
        )
    held.stands_on = stands_on
    held.save(update_fields=["stands_on"])
    garden.stands_on = stands_on
    return stands_on
