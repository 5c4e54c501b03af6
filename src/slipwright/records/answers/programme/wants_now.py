"""The wants of a programme held against those of today: changed, gone or new since it was made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Protocol

from slipwright.craft.said import Said
from slipwright.records.selectors.season_wanted import WantedNow

_GONE = Said("nobody wants these any more")
#: what each change of a want changes
_CHANGED = {"want_n": "n_wanted", "want_by": "ready_by", "want_assurance": "assurance"}


class IsWanted(Protocol):
    """A want as far as a programme is made for it."""

    @property
    def want(self) -> str:
        """Its name."""

    @property
    def taxon(self) -> str:
        """The plant wanted."""

    @property
    def n_wanted(self) -> int:
        """How many."""

    @property
    def ready_by(self) -> date:
        """The day they are wanted for."""

    @property
    def ready_as(self) -> str:
        """How far grown."""

    @property
    def assurance(self) -> Decimal:
        """How sure it is to be."""


@dataclass(frozen=True, slots=True)
class WantsNow:
    """What became of the wants of a programme."""

    #: by name, where another number, day, stage or assurance is wanted now
    changed: Mapping[str, WantedNow]
    gone: frozenset[str]
    #: that came after it
    new: tuple[WantedNow, ...]
    #: why the plant of a want may not be multiplied, by its name
    barred: Mapping[str, str]

    def why_not(self, want: str) -> str:
        """Return why nothing is stuck for a want; empty where it may be."""
        return _GONE if want in self.gone else self.barred.get(want, "")


def wants_now(content: Mapping[str, Any], now: Iterable[WantedNow], *, on: date) -> WantsNow:
    """Return what became of the wants a programme was made for."""
    told = {one["want"]: one for one in content.get("wants", ())}
    found = {one.want: one for one in now}
    change = content.get("change") or {}
    return WantsNow(
        {
            name: found[name]
            for name, one in told.items()
            if name in found and is_other(one, found[name], change)
        },
        frozenset(told.keys() - found.keys()),
        tuple(one for one in found.values() if one.want not in told and one.ready_by >= on),
        {name: one.why_not for name, one in found.items() if one.why_not},
    )


def is_other(told: Mapping[str, Any], now: IsWanted, change: Mapping[str, Any]) -> bool:
    """Return whether a want is another than the one a programme was made for.

    ``change`` is the one thing that was changed in the programme: what it changed of the want is no other.
    """
    is_so = {
        "taxon": told["taxon"] == now.taxon,
        "n_wanted": told["n_wanted"] == now.n_wanted,
        "ready_by": told["ready_by"] == now.ready_by.isoformat(),
        "ready_as": told["ready_as"] == now.ready_as,
        "assurance": float(told["assurance"]) == float(now.assurance),
    }
    if change.get("want") == told["want"]:
        is_so.pop(_CHANGED.get(str(change.get("kind")), ""), None)
    return not all(is_so.values())
