"""Who belongs to a garden."""

from __future__ import annotations

from slipwright.records.errors import NotFound
from slipwright.records.models import Garden, Member, User
from slipwright.records.selectors.gardens import beside, large_beside


def member_named(garden: Garden, member: str | None) -> Member:
    """Return the member with this short id; without one, the only member there is."""
    members = members_of(garden)
    found = [one for one in members if member in (None, one.member)]
    if len(found) == 1:
        return found[0]
    known = (
        ", ".join(one.member for one in members)
        or "nobody yet: load a members.csv with the line member,role and below it me,owner"
    )
    if member is None:
        raise NotFound(f"say who recorded it; the members of this garden are {known}")
    raise NotFound(f"there is no member {member!r} in this garden; there is {known}")


def members_of(garden: Garden) -> list[Member]:
    """Return the members of a garden, by their short id."""
    return list(Member.objects.filter(garden=garden).order_by("member"))


def memberships_of(user_id: int) -> list[Member]:
    """Return what a person who can sign in belongs to, each with garden and person. One query.

    What was learned of the garden and its programme in use come with it, without their large columns.
    """
    rows = Member.objects.filter(user_id=user_id).select_related(*beside("garden"), "user")
    return list(rows.defer(*large_beside("garden")).order_by("garden__name", "pk"))


def nobody_yet() -> bool:
    """Return whether nobody can sign in yet."""
    return not User.objects.exists()
