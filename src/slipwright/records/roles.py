"""What a member of a garden may do."""

from __future__ import annotations

from typing import Final

from slipwright.records.errors import NotAllowed, OnAPhone, Overheard
from slipwright.records.models import Garden, Member

#: Add entries: what was seen or done.
RECORD: Final = "record"
#: Take back an entry of one's own.
WITHDRAW_OWN: Final = "take back an entry of their own"
#: Take back anybody's entry.
WITHDRAW: Final = "take back an entry somebody else made"
#: Change reference rows: plants, places, wants and so on.
EDIT: Final = "change what the garden has and wants"
#: Decide about entries that were kept aside.
SETTLE: Final = "settle what was kept aside"
#: Say who belongs to the garden and as what; change the garden itself.
GOVERN: Final = "say who belongs to the garden, or change the garden itself"

ACTS = (RECORD, WITHDRAW_OWN, WITHDRAW, EDIT, SETTLE, GOVERN)

#: What nobody does over a line that others can read along: a session overheard there could do it too.
NOT_OVERHEARD: Final = frozenset({EDIT, SETTLE, GOVERN})

#: All that is done from a phone that was let in by a code, whatever the role: it adds to the records.
FROM_A_PHONE: Final = frozenset({RECORD, WITHDRAW_OWN})

_MAY: dict[str, frozenset[str]] = {
    "owner": frozenset(ACTS),
    "grower": frozenset({RECORD, WITHDRAW_OWN, WITHDRAW, EDIT, SETTLE}),
    "volunteer": frozenset({RECORD, WITHDRAW_OWN}),
    "reader": frozenset(),
}


def reaches(role: str, act: str) -> bool:
    """Return whether a role reaches to ``act``."""
    return act in _MAY.get(role, ())


def may(member: Member, act: str) -> bool:
    """Return whether ``member`` may do ``act``, by role, by line and by how they came in."""
    if act not in ACTS:
        raise ValueError(f"act must be one of {', '.join(ACTS)}, not {act!r}")
    if act not in _MAY[member.role] or (member.is_overheard and act in NOT_OVERHEARD):
        return False
    return act in FROM_A_PHONE or not member.is_on_phone


def require(member: Member, act: str, garden: Garden) -> None:
    """Raise ``NotAllowed`` unless ``member`` belongs to ``garden`` and may do ``act``."""
    if member.garden_id != garden.pk:
        raise NotAllowed(member.member, "stranger", f"{act} in {garden.name}")
    if not may(member, act):
        why = NotAllowed
        if act in _MAY[member.role]:
            why = OnAPhone if member.is_on_phone and act not in FROM_A_PHONE else Overheard
        raise why(member.member, member.role, act)
