"""What was learned of a garden, as forecasts ask for it: the draws that bear on some batches."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from threading import Lock
from typing import TypeVar

from slipwright.records.answers.remembered import which_database
from slipwright.records.models import Garden
from slipwright.records.packed import (
    NodeKept,
    Shared,
    mark_of_looks,
    mark_of_node,
    unpacked_shared,
    with_nodes,
)
from slipwright.records.selectors.fits import nodes_kept, shared_draws
from slipwright.rooting.cells import CELLS
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.cuttings import LEVEL_SD, TERMS
from slipwright.rooting.learned import Kind, Learned, Node, before_records
from slipwright.rooting.spreads import SPREADS, TOGETHER_SCALE, WOOD_SD

#: raise it where the model, the engine or what is kept of a fit is another
FORM = 1
N_DRAWS = 1000
#: fits whose shared draws a process remembers, and nodes: 4 kB each
_FITS, _NODES = 4, 4_000

K = TypeVar("K")
V = TypeVar("V")


@lru_cache(maxsize=1)
def model_version() -> str:
    """Return a mark of the model and of all that is believed before any record."""
    believed = (
        FORM,
        TERMS,
        sorted(LEVEL_SD.items()),
        sorted(SPREADS.items()),
        WOOD_SD,
        TOGETHER_SCALE,
        CELLS,
    )
    return f"{FORM}-{hashlib.sha256(repr(believed).encode()).hexdigest()[:12]}"


def learned_of(
    garden: Garden, kinds: Iterable[Kind], *, counts: Mapping[str, BatchCounts] | None = None
) -> Learned | None:
    """Return what was learned as far as it bears on batches of some kinds; None where nothing was yet.

    ``garden`` must have just been read. ``counts`` by batch are those that stand now: where the looks a
    batch was learned from are others, it is left to what is known of its season. At most two queries.
    """
    if garden.fit_id is None:
        return None
    fit = (*which_database(), garden.fit_id)
    shared = _SHARED.get(fit)
    if shared is None:
        kept = shared_draws(garden.fit_id, model_version())
        if kept is None:
            return None
        shared = unpacked_shared(kept)
        _SHARED.keep(fit, shared)
    asked = {node: mark_of_node(node) for kind in kinds for node in ((), *kind.path)}
    kept_nodes = _nodes(fit, garden.fit_id, asked)
    nodes: dict[Node, NodeKept] = {}
    for node, mark in asked.items():
        one = kept_nodes.get(mark)
        if one is not None and not _is_another(one, (counts or {}).get("".join(node[-1:]))):
            nodes[node] = one
    return with_nodes(shared, nodes, asked)


def _is_another(kept: NodeKept, now: BatchCounts | None) -> bool:
    """Return whether a batch was learned from by looks that are no longer its first ones."""
    return kept.n_looks is not None and now is not None and mark_of_looks(now, kept.n_looks) != kept.seen


def learned_or_prior(
    garden: Garden, kinds: Iterable[Kind], *, counts: Mapping[str, BatchCounts] | None = None
) -> Learned:
    """Return what was learned, or what is believed beforehand where nothing was yet."""
    return learned_of(garden, kinds, counts=counts) or before_records()


def _nodes(fit: tuple[object, ...], key: int, asked: Mapping[Node, int]) -> dict[int, NodeKept | None]:
    """Return nodes by mark, None for one that is not kept; those not remembered are read."""
    found: dict[int, NodeKept | None] = {}
    missing = set()
    for mark in asked.values():
        known = _OF_NODES.get((*fit, mark))
        if known is None:
            missing.add(mark)
        else:
            found[mark] = known[0]
    if missing:
        read = nodes_kept(key, missing)
        for mark in missing:
            found[mark] = read.get(mark)
            _OF_NODES.keep((*fit, mark), (found[mark],))
    return found


class _Newest(dict[K, V]):
    """Remembers what was kept last, up to a number. Threads may share it."""

    def __init__(self, most: int) -> None:
        super().__init__()
        self._most, self._lock = most, Lock()

    def keep(self, key: K, value: V) -> None:
        """Keep a value; where there are many, the oldest goes."""
        with self._lock:
            while len(self) >= self._most:
                self.pop(next(iter(self)))
            self[key] = value


_SHARED: _Newest[tuple[object, ...], Shared] = _Newest(_FITS)
_OF_NODES: _Newest[tuple[object, ...], tuple[NodeKept | None]] = _Newest(_NODES)
