"""What is left of a line of the programme once a part of it is stuck: all its numbers for the rest."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from slipwright.craft.container import dip_ml
from slipwright.craft.hormone import powder_g

#: shoots are tied up in bundles of so many: common practice, no source
BUNDLE = 25
#: what goes by the containers
_BY_CONTAINER = ("litres", "water_l")


def rest_of(told: Mapping[str, Any], n_left: int) -> Mapping[str, Any]:
    """Return a line as it is told, for ``n_left`` of its cuttings; the same where that is all or none."""
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
        "shoots": [_shoots(one, share) for one in told.get("shoots") or ()],
    }
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


def _shoots(told: Mapping[str, Any], share: float) -> dict[str, Any]:
    if not told.get("n_shoots"):
        return dict(told)
    n = math.ceil(told["n_shoots"] * share - 1e-9)
    return {**told, "n_shoots": n, "n_bundles": n // BUNDLE, "n_over": n % BUNDLE}
