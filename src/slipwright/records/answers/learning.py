"""What was learned of a garden, as forecasts ask for it: the draws that bear on some batches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from threading import Lock
from typing import TypeVar

from slipwright.records.answers.remembered import which_database
from slipwright.records.model_version import model_version
from slipwright.records.models import Garden
from slipwright.records.packed import (
    NodeKept,
    Shared,
    mark_of_node,
    unpacked_shared,
    with_nodes,
)
from slipwright.records.selectors.fits import nodes_kept, shared_draws
from slipwright.records.selectors.histories import UsualLevels
from slipwright.rooting.learned import Kind, Learned, Node, before_records

N_DRAWS = 1000
#: fits whose shared draws a process remembers, and nodes: 4 kB each
_FITS, _NODES = 4, 4_000

K = TypeVar("K")
V = TypeVar("V")


def learned_of(garden: Garden, kinds: Iterable[Kind]) -> Learned | None:
    """Return what was learned as far as it bears on batches of some kinds; None where nothing was yet.

    ``garden`` must have just been read. At most two queries.
    """
    shared = _shared(garden)
    if shared is None:
        return None
    asked = {node: mark_of_node(node) for kind in kinds for node in ((), *kind.path)}
    kept = _nodes((*which_database(), garden.fit_id), garden.fit_id or 0, asked)
    nodes = {node: one for node, mark in asked.items() if (one := kept.get(mark)) is not None}
    return with_nodes(shared, nodes, asked)


def usual_learned(garden: Garden) -> UsualLevels | None:
    """Return the medium and container that what was learned counts all others from; None where nothing was.

    ``garden`` must have just been read. One query, or none.
    """
    shared = _shared(garden)
    return None if shared is None else UsualLevels(*shared.usual)


def _shared(garden: Garden) -> Shared | None:
    if garden.fit_id is None:
        return None
    fit = (*which_database(), garden.fit_id)
    shared = _SHARED.get(fit)
    if shared is None and (kept := shared_draws(garden.fit_id, model_version())) is not None:
        shared = unpacked_shared(kept)
        _SHARED.keep(fit, shared)
    return shared


def learned_or_prior(garden: Garden, kinds: Iterable[Kind]) -> Learned:
    """Return what was learned, or what is believed beforehand where nothing was yet."""
    return learned_of(garden, kinds) or before_records()


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
