"""What was learned of a garden, as it is kept."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from slipwright.records.model_version import model_version
from slipwright.records.models import FitNode, Garden, GardenFit
from slipwright.records.packed import NodeKept

#: so many nodes are asked for at once
_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class FitNow:
    """What was learned of a garden last: from how much, up to when, and what was found.

    ``is_stale`` where something was written since. ``found`` is what ``answers.findings`` made; nothing of
    it is told of a fit that is not ``is_of_this_model``, for it waits to be learned anew.
    """

    pk: int
    version: str
    data_hash: str
    is_full: bool
    n_batches: int
    n_looks: int
    learned_up_to: datetime
    is_stale: bool
    seconds: float
    converged: bool
    found: Mapping[str, Any]

    @property
    def is_of_this_model(self) -> bool:
        """Whether it was learned by the model and the handbook of now."""
        return self.version == model_version()


#: the columns of a fit that are large
LARGE = ("found", "start", "shared")
_OF_FIT = (
    "pk",
    "version",
    "data_hash",
    "is_full",
    "n_batches",
    "n_looks",
    "up_to",
    "up_to_number",
    "up_to_edit",
    "seconds",
    "converged",
)


def fit_now(garden: Garden, *, with_found: bool = True) -> FitNow | None:
    """Return what was learned last, None where nothing was. One query, or none.

    ``garden`` must have just been read. What was found is left out where it is not asked for; a garden that
    was read with its fit then needs no query.
    """
    if garden.fit_id is None:
        return None
    if not with_found and Garden._meta.get_field("fit").is_cached(garden):
        return _told({name: getattr(garden.fit, name) for name in _OF_FIT}, garden)
    columns = (*_OF_FIT, "found") if with_found else _OF_FIT
    row = GardenFit.rows.of(garden).filter(pk=garden.fit_id).values(*columns).first()
    return _told(row, garden) if row else None


def _told(row: Mapping[str, Any], garden: Garden) -> FitNow:
    counters = (row["up_to_number"], row["up_to_edit"])
    return FitNow(
        row["pk"],
        row["version"],
        row["data_hash"],
        row["is_full"],
        row["n_batches"],
        row["n_looks"],
        row["up_to"],
        counters != (garden.last_number, garden.last_edit),
        row["seconds"],
        row["converged"],
        row.get("found") or {},
    )


def newest_full_fit(garden: Garden) -> FitNow | None:
    """Return what was last learned from nothing, whether it still holds or not. One query."""
    rows = GardenFit.rows.of(garden).filter(is_full=True).order_by("-pk").values(*_OF_FIT)
    return _told(row, garden) if (row := rows.first()) else None


def kept_with_fit(garden: Garden, name: str) -> Any:
    """Return what is kept under a name with the fit that holds; None without. One query.

    ``garden`` must have just been read.
    """
    rows = GardenFit.rows.of(garden).filter(pk=garden.fit_id or 0)
    return rows.values_list(f"found__{name}", flat=True).first()


def newest_kept_with_fit(garden: Garden, name: str) -> Any:
    """Return the same of the newest fit that has any, whether it holds or not. One query."""
    rows = GardenFit.rows.of(garden).filter(found__has_key=name).order_by("-pk")
    return rows.values_list(f"found__{name}", flat=True).first()


def start_of(fit: int) -> bytes | None:
    """Return from where the next fit may go on. One query."""
    return _bytes(GardenFit.rows.filter(pk=fit).values_list("start", flat=True).first())


def shared_draws(fit: int, version: str) -> bytes | None:
    """Return the draws all batches share; None where they are gone or of another model. One query."""
    rows = GardenFit.rows.filter(pk=fit, version=version)
    return _bytes(rows.values_list("shared", flat=True).first())


def nodes_kept(fit: int, marks: Collection[int]) -> dict[int, NodeKept]:
    """Return by mark the nodes of a fit that are kept. One query for 500."""
    asked, found = sorted(marks), {}
    for start in range(0, len(asked), _AT_ONCE):
        rows = FitNode.rows.filter(fit=fit, node__in=asked[start : start + _AT_ONCE])
        for node, draws, told in rows.values_list("node", "draws", "told"):
            found[node] = NodeKept(bytes(draws), told)
    return found


def _bytes(kept: Any) -> bytes | None:
    return None if kept is None else bytes(kept)
