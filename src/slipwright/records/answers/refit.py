"""Learning from a garden's records, and keeping what was learned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from importlib import import_module
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.findings.found import found_in
from slipwright.records.answers.findings.kept import KEPT_AS
from slipwright.records.answers.findings.made import carried, shown_anew
from slipwright.records.answers.histories import History, whole_history
from slipwright.records.answers.history_mark import HistoryMark, mark_of
from slipwright.records.answers.learning import N_DRAWS
from slipwright.records.model_version import model_version
from slipwright.records.models import Garden
from slipwright.records.packed import (
    NodeKept,
    mark_of_node,
    packed_node,
    packed_seen,
    packed_shared,
    packed_start,
    unpacked_start,
)
from slipwright.records.selectors.fits import fit_now, start_of
from slipwright.records.services.fits import FitFacts, forget_fit, keep_fit, still_holds
from slipwright.records.tables.progress import Progress, quiet
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned, Node

if TYPE_CHECKING:
    from slipwright.rooting.fit import Fit

#: looks that are new, as a share of those known, from which on spreads are learned anew too
MUCH_NEW = 0.1
#: how long what was learned of a batch is kept after its end: a slip in it is found by then
KEPT_AFTER_END = timedelta(days=90)
_PARTS = 1000


def learn(
    garden: Garden,
    handbook: Handbook,
    *,
    now: datetime,
    full: bool = True,
    anew: bool = False,
    progress: Progress = quiet,
) -> bool:
    """Learn from all records of a garden and keep it; return whether what was learned is another now.

    ``garden`` must have just been read. A ``full`` fit begins from nothing, so that the same records
    give the same numbers; else it goes on from the one before with the spreads as they were, unless
    much is new. Where nothing counts any more, no fit holds any more. Nothing is done where the records
    are those of the fit that holds, and that is full or a full one is not asked for; ``anew`` does it all
    the same.
    """
    as_read = (now, garden.last_number, garden.last_edit)
    progress(0, _PARTS, "reading the records")
    whole = whole_history(garden, handbook)
    history, usual = whole.records, whole.usual
    mark = mark_of(history)
    if not mark.n_batches:
        return _nothing_left(garden, *as_read[1:])
    before = fit_now(garden, with_found=False)
    if before is not None and not before.is_of_this_model:
        before = None
    if before and before.data_hash == mark.data_hash and (before.is_full or not full) and not anew:
        still_holds(garden, *as_read)
        return False
    start = None
    if before and not full and mark.n_looks <= before.n_looks * (1 + MUCH_NEW):
        start = start_of(before.pk)
    keep = _keeper(garden, history, now)
    fit, learned = _fitted(history, start, keep, progress)
    facts = FitFacts(
        version=model_version(),
        data_hash=mark.data_hash,
        is_full=start is None,
        n_batches=mark.n_batches,
        n_looks=mark.n_looks,
        up_to=as_read[0],
        up_to_number=as_read[1],
        up_to_edit=as_read[2],
        seconds=round(fit.seconds, 3),
        converged=fit.converged,
        found=found_in(fit, learned, history).as_kept()
        | {KEPT_AS: _shown(garden, handbook, whole, learned, mark, now, go_on=start is not None)},
    )
    progress(_PARTS, _PARTS, "keeping what was learned")
    keep_fit(
        garden,
        facts,
        shared=packed_shared(learned, _behind(history, mark), (usual.medium, usual.container)),
        start=packed_start(fit.start()),
        nodes=_packed_nodes(learned, keep),
    )
    return True


def _shown(
    garden: Garden,
    handbook: Handbook,
    history: History,
    learned: Learned,
    mark: HistoryMark,
    now: datetime,
    *,
    go_on: bool,
) -> Mapping[str, Any]:
    """Return what the records show: as it was where it takes long and the fit only goes on from the last."""
    before = fit_now(garden) if go_on else None
    as_it_was = carried(before.found) if before else None
    return as_it_was or shown_anew(garden, handbook, history, learned, up_to=now, data_hash=mark.data_hash)


def _nothing_left(garden: Garden, number: int, edit: int) -> bool:
    """Let no fit hold any more where nothing is counted; return whether one did."""
    if garden.fit_id is None:
        return False
    forget_fit(garden, number, edit)
    return True


def _fitted(
    history: Sequence[BatchRecord], start: bytes | None, keep: Callable[[Node], bool], progress: Progress
) -> tuple[Fit, Learned]:
    # what it takes of the linear algebra is loaded only where something is learned
    fitting = import_module("slipwright.rooting.fitting")
    fit: Fit = fitting.fit(
        history,
        start=unpacked_start(start) if start else None,
        hold_spreads=start is not None,
        said=lambda share, label: progress(max(int(share * _PARTS) - 1, 0), _PARTS, label),
    )
    return fit, fit.learned(keep=keep, n_draws=N_DRAWS)


def _keeper(garden: Garden, history: Sequence[BatchRecord], now: datetime) -> Callable[[Node], bool]:
    """Return which nodes are kept: of seasons and batches only those that may still be asked for."""
    since = now.astimezone(ZoneInfo(garden.time_zone)).date() - KEPT_AFTER_END
    asked = selectors.batches_under_way(garden, since=since)
    newest = max((record.kind.season for record in history), default="")
    under_way = {record.kind.path[3] for record in history if record.kind.batch in asked}

    def keep(node: Node) -> bool:
        if node[0] == "batch":
            return node[-1] in asked
        return node[0] != "season" or node[-1] == newest or node in under_way

    return keep


def _packed_nodes(learned: Learned, keep: Callable[[Node], bool]) -> Iterator[tuple[int, NodeKept]]:
    for node, draws in learned.nodes.items():
        if keep(node):
            seen = learned.seen.get(node)
            yield (
                mark_of_node(node),
                NodeKept(packed_node(draws), None if seen is None else packed_seen(seen)),
            )


def _behind(history: Sequence[BatchRecord], mark: HistoryMark) -> Mapping[Node, tuple[int, int]]:
    """Return by genus, taxon and wood how many batches, and looks at them, were learned from."""
    batches: Counter[Node] = Counter()
    looks: Counter[Node] = Counter()
    for record in history:
        if n := record.counts.n_looks:
            for node in record.kind.path[:3]:
                batches[node] += 1
                looks[node] += n
    return {(): (mark.n_batches, mark.n_looks)} | {node: (batches[node], looks[node]) for node in batches}
