"""Who may come in first, and the gardens there are."""

from __future__ import annotations

from slipwright.records.models import Garden, Member


def nobody_in_charge() -> bool:
    """Return whether no owner of any garden can sign in, so that the first run stands open."""
    return not Member.objects.filter(role="owner", user__isnull=False).exists()


def owners_without_sign_in() -> list[Member]:
    """Return the owners, each with its garden, whom nobody signs in as yet: their tables were loaded."""
    found = Member.objects.filter(role="owner", user=None).select_related("garden")
    return list(found.order_by("garden__name", "member")[:50])


def all_gardens() -> list[Garden]:
    """Return every garden there is."""
    return list(Garden.objects.order_by("pk"))
