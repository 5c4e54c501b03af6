"""Keeping what was learned of a garden: in small steps, so that whoever records is never kept waiting."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet

from slipwright.records.models import FitNode, Garden, GardenFit
from slipwright.records.numbering import hold
from slipwright.records.packed import NodeKept

#: so many fits leave what they found; of older ones nothing stays
FITS_KEPT = 8
#: nodes written or dropped in one transaction
AT_ONCE = 100
#: a fit not kept whole so long after it was begun never will be
_GIVEN_UP = timedelta(hours=1)


class Overtaken(Exception):
    """Two were learning from a garden at once, and the other was done first."""


@dataclass(frozen=True, slots=True)
class FitFacts:
    """How a fit went and what was found; the counters and the time are those when the records were read."""

    version: str
    data_hash: str
    is_full: bool
    n_batches: int
    n_looks: int
    up_to: datetime
    up_to_number: int
    up_to_edit: int
    seconds: float
    converged: bool
    found: Mapping[str, Any]


def keep_fit(
    garden: Garden, facts: FitFacts, *, shared: bytes, start: bytes, nodes: Iterable[tuple[int, NodeKept]]
) -> GardenFit:
    """Keep a fit and let it hold from now on; the draws of the one before stay until the next.

    It holds only once all of it is written, in a last short transaction. What breaks off before leaves
    the one before in its place, and is dropped later. ``nodes`` come by their marks.
    """
    _drop_draws(garden, facts.up_to)
    fit = GardenFit.rows.create(
        garden=garden,
        version=facts.version,
        data_hash=facts.data_hash,
        is_full=facts.is_full,
        n_batches=facts.n_batches,
        n_looks=facts.n_looks,
        up_to=facts.up_to,
        up_to_number=facts.up_to_number,
        up_to_edit=facts.up_to_edit,
        seconds=facts.seconds,
        converged=facts.converged,
        found=facts.found,
        start=start,
        shared=shared,
    )
    rest = iter(nodes)
    while some := list(islice(rest, AT_ONCE)):
        with transaction.atomic():
            FitNode.rows.bulk_create(
                [FitNode(fit=fit, node=mark, draws=one.draws, told=one.told) for mark, one in some]
            )
    with transaction.atomic():
        _refuse_newer(garden, facts.up_to_number, facts.up_to_edit)
        if not GardenFit.rows.filter(pk=fit.pk, shared__isnull=False).exists():
            raise Overtaken("another fit of this garden was kept meanwhile")
        Garden.objects.filter(pk=garden.pk).update(fit=fit)
        _forget_oldest(garden, fit)
    garden.fit = fit
    return fit


def forget_fit(garden: Garden, up_to_number: int, up_to_edit: int) -> None:
    """Let no fit hold any more: at these counters the garden had nothing to learn from."""
    with transaction.atomic():
        _refuse_newer(garden, up_to_number, up_to_edit)
        Garden.objects.filter(pk=garden.pk).update(fit=None)
    garden.fit = None
    over = GardenFit.rows.of(garden).filter(up_to_number__lte=up_to_number, up_to_edit__lte=up_to_edit)
    _drop_nodes(over)
    over.delete()


def _refuse_newer(garden: Garden, up_to_number: int, up_to_edit: int) -> None:
    """Lock the garden; refuse to go back behind records that the fit that holds knows."""
    holds = hold(garden).fit_id or 0
    newer = Q(up_to_number__gt=up_to_number) | Q(up_to_edit__gt=up_to_edit)
    if GardenFit.rows.filter(newer, pk=holds).exists():
        raise Overtaken("another fit of this garden knows more of its records")


def still_holds(garden: Garden, up_to: datetime, up_to_number: int, up_to_edit: int) -> None:
    """Note that nothing the clocks learn from was written up to a time; the counters are those read then."""
    knows = GardenFit.rows.of(garden).filter(up_to_number__lte=up_to_number, up_to_edit__lte=up_to_edit)
    knows.filter(pk=garden.fit_id or 0).update(up_to=up_to, up_to_number=up_to_number, up_to_edit=up_to_edit)


def _drop_draws(garden: Garden, now: datetime) -> None:
    """Drop the draws of all fits before the one that holds, and whatever of later ones broke off."""
    holds = Garden.objects.values_list("fit_id", flat=True).get(pk=garden.pk) or 0
    rows = GardenFit.rows.of(garden)
    broken_off = rows.filter(pk__gt=holds, up_to__lt=now - _GIVEN_UP)
    over = rows.filter(pk__lt=holds) | broken_off
    _drop_nodes(over)
    rows.filter(pk__lt=holds, shared__isnull=False).update(shared=None, start=None)
    broken_off.delete()


def _drop_nodes(over: QuerySet[GardenFit]) -> None:
    while some := list(FitNode.rows.filter(fit__in=over).values_list("pk", flat=True)[: AT_ONCE * 2]):
        FitNode.rows.filter(pk__in=some).delete()


def _forget_oldest(garden: Garden, holds: GardenFit) -> None:
    """Forget all but the last few fits, and the last that was full."""
    rows = GardenFit.rows.of(garden)
    stay = set(rows.order_by("-pk").values_list("pk", flat=True)[:FITS_KEPT]) | {holds.pk}
    stay |= set(rows.filter(is_full=True).order_by("-pk").values_list("pk", flat=True)[:1])
    rows.exclude(pk__in=sorted(stay)).delete()


@transaction.atomic
def keep_with_fit(fit: int, name: str, what: Mapping[str, Any]) -> bool:
    """Keep something under a name with a fit; return whether the fit is still there."""
    row = GardenFit.rows.select_for_update().filter(pk=fit).only("pk", "found").first()
    if row is None:
        return False
    row.found = {**row.found, name: what}
    row.save(update_fields=["found"])
    return True
