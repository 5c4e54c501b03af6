"""The people of a garden as its owner sees them, and the phones that were let in."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q, QuerySet

from slipwright.records.errors import NotFound
from slipwright.records.models import Device, Garden, Member, User
from slipwright.records.selectors.gardens import beside, large_beside


@dataclass(slots=True)
class Person:
    """A member: how they come in, when they were last seen, the phones let in for them."""

    member: Member
    #: ``password``, ``link`` (let in without a password of their own), ``shut-out`` or empty: not at all
    comes_by: str
    phones: list[Device] = field(default_factory=list)

    @property
    def last_seen_at(self) -> datetime | None:
        """When they signed in last, or one of their phones sent something."""
        seen = [phone.last_seen_at for phone in self.phones]
        seen.append(self.member.user.last_login if self.member.user else None)
        return max((at for at in seen if at), default=None)


def people_of(garden: Garden, now: datetime) -> list[Person]:
    """Return the members of a garden, each with their phones that are in. Two queries."""
    members = Member.objects.filter(garden=garden).select_related("user").order_by("member")
    people = {member.pk: Person(member, _comes_by(member)) for member in members}
    for phone in _phones(now).filter(garden=garden):
        people[phone.member_id].phones.append(phone)
    return list(people.values())


def person_of(garden: Garden, pk: int) -> Member:
    """Return a member of the garden; raise ``NotFound`` where there is none."""
    found = Member.objects.filter(garden=garden, pk=pk).select_related("garden", "user").first()
    if found is None:
        raise NotFound("nobody of this garden is at this address")
    return found


def phones_of(member: Member, now: datetime) -> list[Device]:
    """Return the phones that are let in for a member. One query."""
    return list(_phones(now).filter(member=member))


def phone_let_in(pk: int, user: User, now: datetime) -> Device | None:
    """Return a phone that is let in, with its member and garden; None once it is out. One query."""
    with_garden = _phones(now).select_related(*beside("member__garden"))
    phones = with_garden.defer(*large_beside("member__garden"))
    return phones.filter(pk=pk, member__user=user).first()


def _phones(now: datetime) -> QuerySet[Device]:
    still = Q(ended_at=None) | Q(ended_at__gt=now)
    return Device.objects.filter(still, ends_at__gt=now).order_by("made_at", "pk")


def _comes_by(member: Member) -> str:
    if member.user is None:
        return ""
    if not member.user.is_active:
        return "shut-out"
    return "password" if member.user.has_usable_password() else "link"
