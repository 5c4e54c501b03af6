"""Programmes asked for, made and in use. Their large parts are read only where they are asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from slipwright.records.errors import NotFound
from slipwright.records.model_version import model_version
from slipwright.records.models import Garden, GardenFit, PlanState, SeasonPlan
from slipwright.records.packed_plan import content_now
from slipwright.records.scope import GardenQuerySet

#: the columns of a programme that are large
LARGE = ("content", "programme")
_OPEN = (PlanState.ASKED, PlanState.RUNNING)


def plan_in_use(garden: Garden) -> SeasonPlan | None:
    """Return the garden's programme: the one used last. One query, or none.

    ``garden`` must have just been read; one that was read with its programme needs no query.
    """
    if garden.plan_id is None:
        return None
    if Garden._meta.get_field("plan").is_cached(garden):
        return garden.plan
    return _rows(garden).filter(pk=garden.plan_id).first()


def plan_of(garden: Garden, pk: int) -> SeasonPlan:
    """Return one programme; raise ``NotFound`` where it is none of this garden's, or was dropped."""
    plan = _rows(garden).filter(pk=pk).first()
    if plan is None:
        raise NotFound(_("This programme is not there; it may have been dropped."))
    return plan


def plans_of(garden: Garden, n: int = 12) -> Sequence[SeasonPlan]:
    """Return the programmes asked for last, made or not, the newest first. One query."""
    return list(_rows(garden).order_by("-pk")[:n])


def plans_asked(garden: Garden) -> Sequence[SeasonPlan]:
    """Return the programmes that are asked for or being made, in the order they were asked. One query."""
    return list(_rows(garden).filter(state__in=_OPEN).order_by("asked_at", "pk"))


def was_plan_asked(garden: Garden) -> bool:
    """Return whether any programme of the garden is there, in whatever state. One query."""
    return SeasonPlan.rows.of(garden).exists()


def plans_running() -> Sequence[SeasonPlan]:
    """Return the programmes of all gardens that are being made. One query."""
    rows = SeasonPlan.rows.filter(state=PlanState.RUNNING).defer(*LARGE)
    return list(rows.select_related("garden").order_by("pk"))


def plan_content(plan: SeasonPlan) -> dict[str, Any]:
    """Return all that is told of a programme; nothing of one that is not made. One query.

    Nothing either of one that another version of the program made: it must be made again. Sentences are
    put away in it, as ``answers.sayings`` does.
    """
    return content_now(SeasonPlan.rows.filter(pk=plan.pk).values_list("content", flat=True).first())


@dataclass(frozen=True, slots=True)
class Since:
    """What came after a programme was begun: entries, edits of what the garden has, something learned."""

    n_entries: int
    n_edits: int
    is_learned_anew: bool

    @property
    def is_any(self) -> bool:
        """Whether the programme might be another, were it made now."""
        return bool(self.n_entries or self.n_edits or self.is_learned_anew)


def mark_of_plan(garden: Garden) -> str:
    """Return a mark of all that a programme made now rests on. ``garden`` must have just been read.

    One query, or none where it was read with its fit.
    """
    return f"{garden.last_number} {garden.last_edit} {_learned_from(garden)}"


def since_plan(garden: Garden, plan: SeasonPlan) -> Since:
    """Return what came since a plan was begun; ``garden`` must have just been read. At most one query."""
    if not plan.mark:
        return Since(0, 0, False)
    number, edit, learned_from = plan.mark.split(" ", 2)
    return Since(
        max(garden.last_number - int(number), 0),
        max(garden.last_edit - int(edit), 0),
        learned_from != _learned_from(garden),
    )


def _learned_from(garden: Garden) -> str:
    """Return what was learned and by which model, short enough for a mark."""
    if garden.fit_id is None:
        return f"{model_version()} prior"
    if Garden._meta.get_field("fit").is_cached(garden) and garden.fit is not None:
        version, data_hash = garden.fit.version, garden.fit.data_hash
    else:
        fits = GardenFit.rows.of(garden).filter(pk=garden.fit_id)
        version, data_hash = fits.values_list("version", "data_hash").first() or ("", "")
    return f"{version} {data_hash[:12]}"


def _rows(garden: Garden) -> GardenQuerySet[SeasonPlan]:
    return SeasonPlan.rows.of(garden).defer(*LARGE)
