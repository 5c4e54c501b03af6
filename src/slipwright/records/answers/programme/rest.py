"""What is left of a line of the programme once a part of it is stuck: all its numbers for the rest."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from slipwright.craft.cane import BUNDLE
from slipwright.craft.container import dip_ml
from slipwright.craft.hormone import powder_g

#: what goes by the containers
_BY_CONTAINER = ("litres", "water_l")


def rest_of(
    told: Mapping[str, Any], n_left: int, of_plants: Mapping[str, int] | None = None
) -> Mapping[str, Any]:
    """Return a line as it is told, for ``n_left`` of its cuttings; the same where that is all or none.

    ``of_plants`` says how many of them come from each plant: those that none comes from are left out.
    Without it each gives the same share of its shoots.
    """
    n = int(told["n_to_stick"])
    if not 0 < n_left < n:
        return told
    share, whole = n_left / n, int(told["n_containers"])
    each = told.get("n_per_container")
    n_containers = min(math.ceil(n_left / each) if each else math.ceil(whole * share), whole)
    filled = n_containers / max(whole, 1)
    setup = min(told.get("setup_h") or 0.0, told.get("hours") or 0.0)
    rest = dict(told) | {
        "n_to_stick": n_left,
        "n_containers": n_containers,
        "parts": [{**part, "litres": part["litres"] * filled} for part in told.get("parts") or ()],
        "shoots": _shoots(told, share, of_plants or {}),
    }
    if len(rest["shoots"]) < len(told.get("shoots") or ()):
        rest["plant"] = "; ".join(one["plant"] for one in rest["shoots"])
    rest |= {name: told[name] * filled for name in _BY_CONTAINER if told.get(name)}
    if told.get("labels"):
        rest["labels"] = math.ceil(told["labels"] * filled)
    if told.get("hours"):
        rest["hours"] = setup + (told["hours"] - setup) * share
    if told.get("cost"):
        rest["cost"] = told["cost"] * filled
    if told.get("dip_ml"):
        rest["dip_ml"] = dip_ml(n_left).mid_ml
    if told.get("powder_g"):
        rest["powder_g"] = list(powder_g(n_left))
    return rest


def shared_out(n: int, parts: Mapping[str, int]) -> dict[str, int]:
    """Return so many shared out in proportion to parts, in whole ones; the largest rests round up."""
    whole = sum(parts.values())
    if not whole:
        return dict.fromkeys(parts, 0)
    found = {name: n * part // whole for name, part in parts.items()}
    by_rest = sorted(parts, key=lambda name: -(n * parts[name] % whole))
    for name in by_rest[: n - sum(found.values())]:
        found[name] += 1
    return found


def _shoots(told: Mapping[str, Any], share: float, of_plants: Mapping[str, int]) -> list[dict[str, Any]]:
    shoots = told.get("shoots") or ()
    if not of_plants:
        return [_part(one, share) for one in shoots]
    each = sum(one["n_shoots"] for one in shoots) / int(told["n_to_stick"])
    return [
        {**_part(one, min(n * each / one["n_shoots"], 1.0)), "n_cuttings": n}
        for one in shoots
        if (n := of_plants.get(one["plant"], 0))
    ]


def _part(told: Mapping[str, Any], share: float) -> dict[str, Any]:
    if not told.get("n_shoots"):
        return dict(told)
    n = math.ceil(told["n_shoots"] * share - 1e-9)
    return {**told, "n_shoots": n, "n_bundles": n // BUNDLE, "n_over": n % BUNDLE}
