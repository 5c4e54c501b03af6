"""The wants of a programme held against those of today: changed, gone or new since it was made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.craft.said import Said
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.season_wanted import WantedNow

_GONE = Said("nobody wants these any more")


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

    @property
    def is_any(self) -> bool:
        """Whether the programme would be another for its wants alone."""
        return bool(self.changed or self.gone or self.new)

    def why_not(self, want: str) -> str:
        """Return why nothing is stuck for a want; empty where it may be."""
        return _GONE if want in self.gone else self.barred.get(want, "")


def wants_now(content: Mapping[str, Any], now: Iterable[WantedNow], *, on: date) -> WantsNow:
    """Return what became of the wants a programme was made for."""
    told = {one["want"]: one for one in content.get("wants", ())}
    found = {one.want: one for one in now}
    tried = (content.get("change") or {}).get("want")
    return WantsNow(
        {
            name: found[name]
            for name, one in told.items()
            if name in found and name != tried and is_other(one, found[name])
        },
        frozenset(told.keys() - found.keys()),
        tuple(one for one in found.values() if one.want not in told and one.ready_by >= on),
        {name: one.why_not for name, one in found.items() if one.why_not},
    )


def is_other(told: Mapping[str, Any], now: WantedNow | WantNow) -> bool:
    """Return whether a want is another than the one a programme was made for."""
    return (
        told["taxon"],
        told["n_wanted"],
        told["ready_by"],
        told["ready_as"],
        float(told["assurance"]),
    ) != (
        now.taxon,
        now.n_wanted,
        now.ready_by.isoformat(),
        now.ready_as,
        float(now.assurance),
    )
