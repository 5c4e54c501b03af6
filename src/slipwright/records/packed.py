"""Draws as bytes to keep, and back: only as fine as they need be."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np

from slipwright.rooting.counts import GIVEN_UP, BatchCounts, LookCounts
from slipwright.rooting.learned import Learned, Node, Seen
from slipwright.rooting.ranges import Array

if TYPE_CHECKING:
    from slipwright.rooting.fitting import Start


@dataclass(frozen=True, slots=True)
class NodeKept:
    """The draws of a node as bytes; of a batch what they were told of it, as ``packed_seen`` made it."""

    draws: bytes
    told: Mapping[str, Any] | None = None


#: what genera, taxa, woods, seasons and batches add, to a thousandth part: far finer than it is known
_OF_NODES = "<f2"
_SHARED = "<f4"


def packed_arrays(arrays: Mapping[str, Any]) -> bytes:
    """Return arrays by name as bytes."""
    into = BytesIO()
    np.savez_compressed(into, **arrays)
    return into.getvalue()


def unpacked_arrays(kept: bytes) -> dict[str, Array]:
    """Return what ``packed_arrays`` made bytes of; nothing but numbers and plain text is read."""
    with np.load(BytesIO(kept), allow_pickle=False) as arrays:
        return {name: arrays[name] for name in arrays.files}


def packed_shared(
    draws: Learned, behind: Mapping[Node, tuple[int, int]], usual: tuple[str, str] = ("", "")
) -> bytes:
    """Return what all batches share as bytes: coefficients, spreads, scores, what was learned from.

    ``usual`` are the medium and the container that all others are counted from.
    """
    return packed_arrays(
        {
            "terms": np.array(list(draws.coefficients), dtype=np.str_),
            "coefficients": _stacked(draws.coefficients.values()),
            "levels": np.array(list(draws.spreads), dtype=np.str_),
            "spreads": _stacked(draws.spreads.values()),
            "together": draws.batch_together.astype(_SHARED),
            "noise": draws.noise.astype(_SHARED),
            "marks": np.array([mark_of_node(node) for node in behind], dtype="<i8"),
            "behind": np.array(list(behind.values()), dtype="<i4").reshape(-1, 2),
            "usual": _as_text(usual),
        }
    )


@dataclass(frozen=True, slots=True)
class Shared:
    """What all batches share: draws without any node, and what was learned from, by mark of a node.

    ``usual`` are the medium and the container that all others are counted from.
    """

    draws: Learned
    behind: Mapping[int, tuple[int, int]]
    usual: tuple[str, str]


def unpacked_shared(kept: bytes) -> Shared:
    """Return what ``packed_shared`` made bytes of."""
    arrays = unpacked_arrays(kept)
    coefficients, spreads = (arrays[name].astype(np.float64) for name in ("coefficients", "spreads"))
    draws = Learned(
        {str(term): coefficients[k] for k, term in enumerate(arrays["terms"])},
        {str(level): spreads[k] for k, level in enumerate(arrays["levels"])},
        arrays["together"].astype(np.float64),
        arrays["noise"].astype(np.float64),
    )
    pairs = zip(arrays["marks"].tolist(), arrays["behind"].tolist(), strict=True)
    medium, container = _from_text(arrays["usual"])
    behind = {mark: (n_batches, n_looks) for mark, (n_batches, n_looks) in pairs}
    return Shared(draws, behind, (medium, container))


def _stacked(arrays: Iterable[Array]) -> Array:
    return np.stack(list(arrays)).astype(_SHARED)


def packed_start(start: Start) -> bytes:
    """Return where the next fit may go on as bytes."""
    return packed_arrays(
        {
            "psi": start.psi,
            "terms": _as_text(list(start.coefficients)),
            "coefficients": np.array(list(start.coefficients.values())).reshape(-1, 2),
            "names": _as_text([list(node) for node in start.nodes]),
            "nodes": np.array(list(start.nodes.values())).reshape(-1, 2),
        }
    )


def unpacked_start(kept: bytes) -> Start:
    """Return what ``packed_start`` made bytes of."""
    from slipwright.rooting.fitting import Start

    arrays = unpacked_arrays(kept)
    nodes = [tuple(node) for node in _from_text(arrays["names"])]
    return Start(
        arrays["psi"],
        dict(zip(_from_text(arrays["terms"]), _pairs(arrays["coefficients"]), strict=True)),
        dict(zip(nodes, _pairs(arrays["nodes"]), strict=True)),
    )


def _as_text(names: Sequence[Any]) -> Any:
    return np.frombuffer(json.dumps(names, ensure_ascii=False).encode(), dtype=np.uint8)


def _from_text(kept: Array) -> Any:
    return json.loads(kept.tobytes())


def _pairs(values: Array) -> list[tuple[float, float]]:
    return [(rooting, loss) for rooting, loss in values.tolist()]


def packed_node(draws: Array) -> bytes:
    """Return the draws of a node, of shape (2, n_draws), as bytes."""
    return draws.astype(_OF_NODES).tobytes()


def unpacked_node(kept: bytes) -> Array:
    """Return what ``packed_node`` made bytes of."""
    return np.frombuffer(kept, dtype=_OF_NODES).reshape(2, -1).astype(np.float64)


def with_nodes(shared: Shared, nodes: Mapping[Node, NodeKept], asked: Mapping[Node, int]) -> Learned:
    """Return draws with the nodes that are there of those that were asked for, each with its mark."""
    return replace(
        shared.draws,
        nodes={node: unpacked_node(kept.draws) for node, kept in nodes.items()},
        seen={node: unpacked_seen(kept.told) for node, kept in nodes.items() if kept.told is not None},
        behind={node: shared.behind[mark] for node, mark in asked.items() if mark in shared.behind},
    )


def mark_of_node(node: Node) -> int:
    """Return a whole number of 63 bits that stands for a node."""
    told = hashlib.sha256(json.dumps(node, ensure_ascii=False).encode()).digest()
    return int.from_bytes(told[:8], "big") >> 1


#: what a look counted, in the order it is kept in
_COUNTED = ("n_rooted", "n_lost", "n_waiting", "n_removed", "n_tried", "n_tried_rooted")


def packed_seen(seen: Seen) -> dict[str, Any]:
    """Return what draws were told of a batch as plain data."""
    counts = seen.counts
    return {
        "stuck_on": counts.stuck_on.isoformat(),
        "n_stuck": counts.n_stuck,
        "looks": [
            [look.on.isoformat(), look.cause == GIVEN_UP, *(getattr(look, name) for name in _COUNTED)]
            for look in counts.looks
        ],
        "terms": dict(seen.terms),
        "offset": list(seen.offset),
    }


def unpacked_seen(kept: Mapping[str, Any]) -> Seen:
    """Return what ``packed_seen`` made plain data of."""
    looks = [
        LookCounts(
            date.fromisoformat(on),
            cause=GIVEN_UP if is_given_up else "",
            **dict(zip(_COUNTED, counted, strict=True)),
        )
        for on, is_given_up, *counted in kept["looks"]
    ]
    rooting, loss = kept["offset"]
    counts = BatchCounts(date.fromisoformat(kept["stuck_on"]), kept["n_stuck"], tuple(looks))
    return Seen(counts, kept["terms"], (rooting, loss))
