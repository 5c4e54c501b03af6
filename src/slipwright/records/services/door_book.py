"""The door's book: who came in, was let in or out, or did what only an owner may."""

from __future__ import annotations

from datetime import datetime

from slipwright.records.errors import BadValue
from slipwright.records.models import Device, DoorEvent, Garden, Member, User, fields
from slipwright.records.words import DOOR_EVENTS


def keep_door_event(
    *,
    what: str,
    now: datetime,
    member: Member | None = None,
    garden: Garden | None = None,
    device: Device | None = None,
    told: str = "",
) -> DoorEvent:
    """Write a line of the door's book: ``member`` did it, in their garden if no other is given."""
    if what not in DOOR_EVENTS:
        raise BadValue("what", f"must be one of {', '.join(DOOR_EVENTS)}", what)
    return DoorEvent.objects.create(
        garden=garden or (member.garden if member else None),
        member=member,
        device=device,
        what=what,
        told=told[: fields.TEXT],
        at=now,
    )


def keep_came_in(*, user: User, what: str, now: datetime, told: str = "") -> None:
    """Write down, in each of their gardens, that a person came in, or that somebody failed to as them."""
    for member in Member.objects.filter(user=user).select_related("garden"):
        keep_door_event(what=what, now=now, member=member, told=told)


def keep_wrong_password(*, username: str, now: datetime, told: str = "") -> None:
    """Write down that a password was wrong; the name that was typed is kept only where somebody has it."""
    user = User.objects.filter(username=username).first()
    if user is None:
        keep_door_event(what="wrong-password", now=now, told=told)
    else:
        keep_came_in(user=user, what="wrong-password", now=now, told=told)
