"""The pots of a trial: all stuck in one go, and counted in one form."""

from __future__ import annotations

from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from slipwright.craft.cautions import Caution, cautions_for
from slipwright.handbook import load_handbook
from slipwright.records import codes, roles, services, words
from slipwright.records.answers import season_cut, stick_choices, sticking
from slipwright.records.answers.trials.count import count_page, pots_to_count
from slipwright.records.answers.trials.now import TrialNow, trial_now
from slipwright.records.answers.trials.plan import layout_of
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.services.entry import id_beside, new_id
from slipwright.web import trials_form, trials_words, ways
from slipwright.web.asked import Posted, whole_of
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.stick_form import server_id
from slipwright.web.views.trials import bench_of, planned_bench


@require_http_methods(["GET", "POST"])
@access(roles.RECORD)
def stick(request: GardenRequest, key: str) -> HttpResponse:
    """Show all pots of a trial to be stuck in one go, and keep them: a batch a pot."""
    now = trial_now(request.garden, key, on=request.today)
    if not now.row.plan or (now.pots and request.method == "GET"):
        return redirect("trial", key=key)
    plant = now.plan.plant
    known = sticking.to_stick(
        request.garden, load_handbook(), on=request.today, plant=plant, taxon="" if plant else now.plan.taxon
    )
    if request.method == "GET":
        return _stick_form(request, now, known, {"entry_id": new_id()})
    posted = Posted(cast(HttpRequest, request))
    try:
        entry_id = server_id(posted)
        lots = trials_form.lots_of(
            posted, now, stick_choices.choices(request.garden), request.today, entry_id
        )
        if not lots:
            raise BadValue("n_1", _("say how many went into each pot"))
        is_kept = season_cut.is_kept(request.garden, lots[0]["id"])
        if known.share_cut and not (is_kept or posted.text("anyway")):
            raise BadValue("anyway", _("choose “All the same” to cut it in spite of that"))
        kept = services.stick_trial(
            garden=request.garden, by=request.member, now=request.now, trial=key, lots=lots
        )
    except BadValue as error:
        wrong = trials_form.in_words(error)
        return _stick_form(request, now, known, request.POST, 422, wrong=wrong)
    except Refused as error:
        return _stick_form(request, now, known, request.POST, 422, refused=error)
    except Clash:
        again = request.POST.copy()
        again["entry_id"] = new_id()
        return _stick_form(request, now, known, again, 422, clash=True)
    n = sum(batch.n_stuck for batch in kept)
    remember(request, _("Stuck %(n)s in %(pots)s pots.") % {"n": n, "pots": len(kept)}, kept)
    return redirect("trial", key=key)


def _stick_form(
    request: GardenRequest,
    now: TrialNow,
    known: sticking.ToStick,
    typed: Any,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    plan = now.plan
    units = layout_of(plan, units_per_arm=now.n_units, n_per_unit=now.n_per_unit)
    context = {
        "now": trials_words.in_tongue_of_page(now),
        "known": known,
        "typed": typed,
        "choices": stick_choices.choices(request.garden),
        "covers": ways.COVERS,
        "way_words": ways.way_in_words(plan.way_of_all),
        "bench": bench_of(now) or planned_bench(plan, now.n_units, now.n_per_unit),
        "pots": [(at, unit, typed.get(f"n_{at}", unit.n_stuck)) for at, unit in enumerate(units, 1)],
        "n_each": now.n_units * now.n_per_unit,
        "n_all": len(units) * now.n_per_unit,
        "shoots": words.SHOOTS,
        "cautions_cut": known.cautions_at("cutting"),
        "cautions_dip": _cautions_of_dips(now),
        **more,
    }
    return render(request, "web/trial_stick.html", context, status=status)


def _cautions_of_dips(now: TrialNow) -> list[Caution]:
    """Return what to mind with the hormones of all ways, each once."""
    lots = [now.plan.lot_of(arm) for arm in now.arms]
    found = [
        caution
        for lot in lots
        for caution in cautions_for(wood=str(lot.get("wood", "")), auxin_form=str(lot.get("auxin_form", "")))
        if caution.where in ("mixing", "dipping")
    ]
    return list({caution.key: caution for caution in found}.values())


@require_http_methods(["GET", "POST"])
@access(roles.RECORD)
def count(request: GardenRequest, key: str) -> HttpResponse:
    """Show the pots something waits in, and keep a look at each that was counted.

    Of many pots so many as are counted in one go, and then the next.
    """
    now = trial_now(request.garden, key, on=request.today)
    after = count_page(now, _start(request)).after
    if request.method == "GET":
        return _count_form(request, now, {"entry_id": new_id()})
    posted = Posted(cast(HttpRequest, request))
    try:
        entry_id, on = server_id(posted), posted.day("on") or request.today
        if on > request.today:
            raise BadValue("on", _("must not be a day to come"), on)
        counts = _counts(posted, now, entry_id)
        if not counts:
            raise BadValue("counts", _("nothing is counted yet"))
        kept = services.count_trial(
            garden=request.garden, by=request.member, now=request.now, on=on, counts=counts
        )
    except BadValue as error:
        return _count_form(request, now, request.POST, 422, wrong=_count_wrong(error))
    except Refused as error:
        return _count_form(request, now, request.POST, 422, refused=error)
    except Clash:
        return _count_form(request, now, {"entry_id": new_id()}, 422, clash=True)
    told = ngettext("Counted %(n)s pot.", "Counted %(n)s pots.", len(kept)) % {"n": len(kept)}
    remember(request, told, kept)
    if after is not None:
        return redirect(f"{reverse('trial-count', kwargs={'key': key})}?from={after}")
    return redirect("trial", key=key)


def _start(request: GardenRequest) -> int:
    return whole_of(request.GET.get("from", "")) or 1


def _counts(posted: Posted, now: TrialNow, entry_id: str) -> list[services.PotCount]:
    """Return what was counted in each pot; where the rest holds nothing new, a count of none."""
    found = []
    rest = bool(posted.text("rest_none"))
    for pot in now.pots:
        batch = pot.pot.batch
        rooted, lost = posted.whole(f"rooted {batch}"), posted.whole(f"lost {batch}")
        waited = posted.whole(f"waiting {batch}")
        if waited is None or (rooted is None and lost is None and not rest):
            continue
        rooted, lost = rooted or 0, lost or 0
        if rooted + lost > waited:
            rule = _("%(n)s are more than the %(m)s that waited") % {"n": rooted + lost, "m": waited}
            raise BadValue(f"rooted {batch}", rule)
        found.append(
            services.PotCount(
                batch=batch,
                n_rooted=rooted,
                n_lost=lost,
                after=posted.text(f"after {batch}"),
                id=id_beside(entry_id, batch),
            )
        )
    return found


def _count_wrong(error: BadValue) -> dict[str, Any]:
    first, _space, batch = error.column.partition(" ")
    label = codes.shown(batch) if first in ("rooted", "lost", "waiting") and batch else _("The count")
    return {"column": error.column, "label": label, "rule": error.rule}


def _count_form(
    request: GardenRequest, now: TrialNow, typed: Any, status: int = 200, **more: Any
) -> HttpResponse:
    page = count_page(now, _start(request))
    pots = [
        (one, typed.get(f"rooted {one.pot.pot.batch}", ""), typed.get(f"lost {one.pot.pot.batch}", ""))
        for one in pots_to_count(request.garden, page.pots)
    ]
    context = {"now": now, "typed": typed, "page": page, "pots": pots, **more}
    return render(request, "web/trial_count.html", context, status=status)
