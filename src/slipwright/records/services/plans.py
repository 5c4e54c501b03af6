"""Programmes asked for, taken to be made, made, used and dropped: short writes, each of its own.

Whoever makes one says how far they are. A programme that was dropped meanwhile, or taken by another, is not
written to any more: each of these then returns False.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from slipwright.records.errors import BadValue, Busy, Refused, UsedMeanwhile
from slipwright.records.models import Garden, Member, PlanState, SeasonPlan, fields
from slipwright.records.numbering import hold
from slipwright.records.roles import EDIT, RECORD, require
from slipwright.records.selectors.plans import LARGE, mark_of_plan

#: so many programmes of a garden wait at most, and so long is a person told to wait who asks for one more
MOST_WAITING, WAIT_S = 8, 10
#: of programmes made and never used so many stay; of those used, all of so long
MADE_KEPT, USED_KEPT = 10, timedelta(days=731)

#: what can be tried in a programme, and what each is told by
CHANGES: Mapping[str, tuple[Mapping[str, type | tuple[type, ...]], ...]] = {
    "room": ({"place": str, "factor": (int, float)}, {"place": str, "more_m2": (int, float)}),
    "hours": ({"more_h": (int, float)},),
    "shoots": ({"plant": str, "more": (int, float)},),
    "want_n": ({"want": str, "n": int},),
    "want_by": ({"want": str, "on": str},),
    "want_assurance": ({"want": str, "p": (int, float)},),
    "cover": ({"taxon": str, "cover": str},),
    "no_method": ({"method": str},),
}


@dataclass(frozen=True, slots=True)
class Made:
    """What came of making a programme; ``mark`` stands for what it was made from."""

    content: bytes
    programme: bytes
    mark: str
    seconds: float


def ask_plan(
    garden: Garden,
    *,
    on: date,
    now: datetime,
    by: Member | None,
    change: Mapping[str, Any] | None = None,
    seed: int = 1,
) -> SeasonPlan:
    """Ask for a programme from a day on, with one change or with none; ``by`` is nobody for the helper.

    One that is asked for already, for the same day, with the same change and beside the same programme, is
    not asked for again: it is returned. So is one that is being made, unless something was written since.
    """
    if by is not None:
        require(by, RECORD, garden)
    asked = _checked(change or {})
    with transaction.atomic():
        held = hold(garden)
        waiting = SeasonPlan.rows.of(held).filter(state__in=(PlanState.ASKED, PlanState.RUNNING))
        same = waiting.filter(on=on, seed=seed, before_id=held.plan_id).defer(*LARGE)
        for plan in same:
            if plan.change == asked and (plan.state == PlanState.ASKED or plan.mark == mark_of_plan(held)):
                return plan
        if len(waiting) >= MOST_WAITING:
            raise Busy(WAIT_S)
        return SeasonPlan.rows.create(
            garden=held,
            on=on,
            seed=seed,
            change=asked,
            before_id=held.plan_id,
            asked_at=now,
            asked_by=by,
        )


def use_plan(plan: SeasonPlan, *, now: datetime, by: Member, instead_of: int | None = None) -> SeasonPlan:
    """Use a programme that was made: from now on it is the garden's. Used twice, it is used once.

    With ``instead_of``, the key of the one it was seen beside, it is refused if another is in use by now.
    ``plan.garden`` then is as it was written.
    """
    require(by, EDIT, plan.garden)
    with transaction.atomic():
        garden = hold(plan.garden)
        row = SeasonPlan.rows.of(garden).filter(pk=plan.pk).first()
        if row is None or row.state != PlanState.MADE:
            raise Refused(_("Only a programme that was made, and not dropped, can be used."))
        if garden.plan_id != row.pk:
            if instead_of is not None and garden.plan_id not in (None, instead_of):
                raise UsedMeanwhile(_("Another programme was used meanwhile."))
            row.used_at, row.used_by = now, by
            row.save(update_fields=["used_at", "used_by"])
            Garden.objects.filter(pk=garden.pk).update(plan=row)
    plan.garden.plan = row
    return row


def drop_plan(plan: SeasonPlan, *, by: Member | None = None) -> None:
    """Drop a programme that was never used, made or not; one that is dropped already is left so."""
    if by is not None and by.pk != plan.asked_by_id:
        require(by, EDIT, plan.garden)
    elif by is not None:
        require(by, RECORD, plan.garden)
    with transaction.atomic():
        garden = hold(plan.garden)
        rows = SeasonPlan.rows.of(garden).filter(pk=plan.pk)
        if rows.filter(used_at__isnull=False).exists():
            raise Refused(_("A programme that was used stays: use another in its place."))
        rows.delete()


def _checked(change: Mapping[str, Any]) -> dict[str, Any]:
    """Return a change that can be kept, with nothing in it but what it is told by."""
    if not change:
        return {}
    kind = str(change.get("kind", ""))
    if kind not in CHANGES:
        raise BadValue("change", f"must be one of {', '.join(CHANGES)}", kind)
    told = {name: value for name, value in change.items() if name != "kind"}
    for form in CHANGES[kind]:
        if set(form) == set(told):
            break
    else:
        forms = " or ".join(" and ".join(form) for form in CHANGES[kind])
        raise BadValue("change", f"of {kind} must say {forms}", ", ".join(map(str, told)) or "nothing")
    for name, value in told.items():
        if not isinstance(value, form[name]) or isinstance(value, bool) or value != value:
            raise BadValue(name, "must be a number" if form[name] is not str else "must be text", value)
    if kind == "want_by":
        try:
            date.fromisoformat(told["on"])
        except ValueError:
            raise BadValue("on", "must be a day", told["on"]) from None
    return {"kind": kind, **told}


# --- for those who make them --------------------------------------------------------------------------


def take_plan() -> SeasonPlan | None:
    """Take the programme asked for first, of whatever garden, so that nobody else does; None if none is."""
    while True:
        rows = SeasonPlan.rows.filter(state=PlanState.ASKED).order_by("asked_at", "pk").defer(*LARGE)
        plan = rows.select_related("garden").first()
        if plan is None:
            return None
        taken: dict[str, Any] = {
            "state": PlanState.RUNNING,
            "taken": plan.taken + 1,
            "told_at": datetime.now(UTC),
            "mark": mark_of_plan(plan.garden),
        }
        if _running(plan, was=PlanState.ASKED, done=0.0, doing="", **taken):
            for name, value in taken.items():
                setattr(plan, name, value)
            return plan


def tell_progress(plan: SeasonPlan, done: float, doing: str) -> bool:
    """Write down how far the making of a programme has come, from 0 to 1, and at what it is."""
    done = min(max(done, 0.0), 1.0)
    return _running(plan, done=done, doing=str(doing)[: fields.TEXT], told_at=datetime.now(UTC))


def tell_alive(plan: SeasonPlan) -> bool:
    """Write down that a programme is still being made, however long a step takes."""
    return _running(plan, told_at=datetime.now(UTC))


def finish_plan(plan: SeasonPlan, made: Made, *, now: datetime) -> bool:
    """Keep a programme that was made.

    One with nothing changed takes the place of those before it that were not used.
    """
    with transaction.atomic():
        held = hold(plan.garden)
        is_kept = _running(
            plan,
            state=PlanState.MADE,
            done=1.0,
            doing="",
            wrong="",
            made_at=now,
            seconds=round(made.seconds, 3),
            mark=made.mark,
            content=made.content,
            programme=made.programme,
        )
        if is_kept:
            if not plan.change:
                before = SeasonPlan.rows.of(held).filter(pk__lt=plan.pk, state=PlanState.MADE, change={})
                before.filter(used_at__isnull=True).delete()
            _drop_old(held, now)
    return is_kept


def fail_plan(plan: SeasonPlan, wrong: str, *, now: datetime) -> bool:
    """Write down why a programme could not be made."""
    with transaction.atomic():
        held = hold(plan.garden)
        is_kept = _running(
            plan, state=PlanState.FAILED, doing="", made_at=now, wrong=str(wrong)[: fields.TEXT]
        )
        _drop_old(held, now)
    return is_kept


def put_plan_back(plan: SeasonPlan, why: str = "") -> bool:
    """Let a programme be taken again whose making broke off; ``why`` tells that it did, where it matters.

    One that is told to have broken off before is better failed.
    """
    return _running(plan, state=PlanState.ASKED, done=0.0, doing="", wrong=str(why)[: fields.TEXT])


def _running(plan: SeasonPlan, *, was: str = PlanState.RUNNING, **values: Any) -> bool:
    """Write to a programme that nobody has taken since ``plan`` was read."""
    return bool(SeasonPlan.rows.filter(pk=plan.pk, state=was, taken=plan.taken).update(**values))


def _drop_old(held: Garden, now: datetime) -> None:
    """Drop what was never used, but for the newest, and what was used long ago, but for what is in use."""
    rows = SeasonPlan.rows.of(held)
    over = rows.filter(state__in=(PlanState.MADE, PlanState.FAILED))
    unused = over.filter(used_at__isnull=True).order_by("-pk").values_list("pk", flat=True)
    gone = set(unused[MADE_KEPT:])
    long_ago = over.filter(used_at__lt=now - USED_KEPT).exclude(pk=held.plan_id or 0)
    gone |= set(long_ago.values_list("pk", flat=True))
    if gone:
        rows.filter(pk__in=sorted(gone)).delete()
