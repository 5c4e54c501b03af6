"""Setting up a trial: its size and bench are worked out, and its plan is fixed before it begins."""

from __future__ import annotations

import math
import secrets
from dataclasses import replace
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from slipwright.craft.errors import BadArgument
from slipwright.handbook import load_handbook
from slipwright.records import roles, selectors, services
from slipwright.records.answers import stick_choices, sticking
from slipwright.records.answers.trials.plan import LETTERS, MOST_UNITS, arms_in_row, size_of, written
from slipwright.records.errors import BadValue, Clash
from slipwright.records.services.entry import new_id
from slipwright.web import trials_form, trials_words, ways
from slipwright.web.asked import Posted
from slipwright.web.days import in_form
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.stick_form import server_id
from slipwright.web.views.trials import planned_bench


@require_http_methods(["GET", "POST"])
@access(roles.EDIT)
def new(request: GardenRequest) -> HttpResponse:
    """Ask which plant and what differs; then show the plan with its size and bench, and fix it."""
    asked = request.POST if request.method == "POST" else request.GET
    plant, named = asked.get("plant", "").strip(), asked.get("taxon", "").strip()
    differs = asked.get("differs", "")
    if differs not in trials_words.THINGS or not (plant or named):
        return _choose(request, plant)
    if not plant:
        found = stick_choices.taxon_called(request.garden, named)
        if found is None:
            return _choose(request, unknown=named)
        named = found.taxon
    known = sticking.to_stick(request.garden, load_handbook(), on=request.today, plant=plant, taxon=named)
    choices = stick_choices.choices(request.garden)
    ways_there = _ways(known, choices)
    if request.method == "GET":
        return _form(request, known, differs, choices, _first(request, known, differs, ways_there))
    posted = Posted(cast(HttpRequest, request))
    try:
        draft = trials_form.draft_of(posted, known, differs, ways_there, choices)
        if posted.text("do") != "fix":
            return _form(request, known, differs, choices, request.POST, draft=draft)
        return _fix(request, posted, draft)
    except BadValue as error:
        wrong = trials_form.in_words(error)
        return _form(request, known, differs, choices, request.POST, 422, wrong=wrong)
    except BadArgument:
        rule = _("is too small for this bench: even 1,000 pots of each would not tell it")
        wrong = {"label": trials_form.LABELS["matters"], "rule": rule}
        return _form(request, known, differs, choices, request.POST, 422, wrong=wrong)
    except Clash:
        again = request.POST.copy()
        again["entry_id"] = new_id()
        return _form(request, known, differs, choices, again, 422, clash=True)


def _choose(request: GardenRequest, plant: str = "", unknown: str = "") -> HttpResponse:
    context = {
        "stock": selectors.stock_plants(request.garden, on=request.today),
        "taxa": stick_choices.taxa_of(request.garden),
        "things": trials_form.things(),
        "plant": plant,
        "unknown": unknown,
    }
    is_wrong = unknown or request.method == "POST"
    return render(request, "web/trial_choose.html", context, status=422 if is_wrong else 200)


def _ways(known: sticking.ToStick, choices: stick_choices.Choices) -> dict[str, Any]:
    """Return the ways all pots may have, the one to offer first first."""
    found: dict[str, Any] = {f"method {name}": lot for name, lot in choices.methods}
    if known.by_handbook:
        found = {"handbook": known.by_handbook} | found
    if known.usual and known.way_first is known.usual.lot:
        usual = f"method {known.usual.method}"
        found = {usual: found.get(usual, known.usual.lot)} | found
    return found


def _first(
    request: GardenRequest, known: sticking.ToStick, differs: str, ways_there: dict[str, Any]
) -> dict[str, str]:
    """Return what the form says before anybody typed anything: what is known, and no way but the usual."""
    way = next(iter(ways_there), "")
    lot = ways_there.get(way, {})
    odds = known.plan.odds if known.plan else None
    first = {
        "entry_id": new_id(),
        "seed": str(secrets.randbelow(1_000_000)),
        "trial": _("%(plant)s, %(thing)s, %(month)s")
        % {
            "plant": known.plant or known.common_name or known.taxon,
            "thing": trials_words.THINGS[differs],
            "month": in_form(request.today, "M Y"),
        },
        "way": way,
        "usual": str(round(100 * trials_form.usual_range(known)[1])),
        "matters": "20",
        "n_per_unit": str(lot.get("n_per_container") or trials_form.USUAL_PER_POT),
        "weeks": str(math.ceil(odds.patience_days / 7) if odds else 12),
    }
    if differs == "auxin" and lot.get("auxin"):
        first |= {"arm_A": str(lot["auxin"]), "form_A": str(lot.get("auxin_form") or "")}
        strength = lot.get("auxin_mg_per_kg") or lot.get("auxin_mg_per_l")
        first["strength_A"] = f"{float(strength):g}" if strength else ""
    elif lot.get(differs):
        value = lot[differs]
        first["arm_A"] = f"{float(value):g}" if differs in trials_form.NUMBERS else str(value)
    return first


def _form(
    request: GardenRequest,
    known: sticking.ToStick,
    differs: str,
    choices: stick_choices.Choices,
    typed: Any,
    status: int = 200,
    *,
    draft: trials_form.Draft | None = None,
    **more: Any,
) -> HttpResponse:
    size = _size(request, known, typed, draft)
    context: dict[str, Any] = {
        "known": known,
        "differs": differs,
        "thing": trials_words.THINGS[differs],
        "typed": typed,
        "ways": [
            (name, _way_name(name), ways.way_in_words(lot)) for name, lot in _ways(known, choices).items()
        ],
        "arms": [
            {
                "letter": letter,
                "value": typed.get(f"arm_{letter}", ""),
                "form": typed.get(f"form_{letter}", ""),
                "strength": typed.get(f"strength_{letter}", ""),
            }
            for letter in LETTERS
        ],
        "values": trials_form.values_of(differs, choices),
        "is_number": differs in trials_form.NUMBERS,
        "auxins": ways.AUXINS,
        "auxin_forms": ways.AUXIN_FORMS,
        "size": size,
        "n_arms": len(draft.plan.arms) if draft else 2,
        "draft": draft,
        "rests_on": known.advice.rests_on.text if known.plan else "",
        "usual_now": [round(100 * share) for share in trials_form.usual_range(known)],
        **more,
    }
    if draft and size:
        context["bench"] = planned_bench(draft.plan, size.n_units, draft.n_per_unit)
        context["n_pots"] = size.n_units * len(draft.plan.arms)
        context["n_cuttings"] = context["n_pots"] * draft.n_per_unit
    elif size:
        context["n_pots"] = size.n_units * 2
        context["n_cuttings"] = context["n_pots"] * int(typed["n_per_unit"])
    return render(request, "web/trial_new.html", context, status=status)


def _size(
    request: GardenRequest, known: sticking.ToStick, typed: Any, draft: trials_form.Draft | None
) -> Any:
    """Return how large the trial must be; None where what was typed does not say enough."""
    try:
        if draft:
            plan = draft.plan
            return size_of(
                draft.usual, plan.matters or 0.2, len(plan.arms), draft.n_per_unit, draft.units_per_arm
            )
        if request.method == "POST":
            return None
        return size_of(trials_form.usual_range(known), 0.2, 2, int(typed["n_per_unit"]))
    except BadArgument:
        if draft:
            raise
        return None


def _way_name(name: str) -> str:
    return _("As the handbook says") if name == "handbook" else name.removeprefix("method ")


def _fix(request: GardenRequest, posted: Posted, draft: trials_form.Draft) -> HttpResponse:
    if not draft.trial:
        raise BadValue("trial", _("give it a name"))
    if not draft.question:
        raise BadValue("question", _("say what you want to know"))
    plan = draft.plan
    size = size_of(draft.usual, plan.matters or 0.2, len(plan.arms), draft.n_per_unit, draft.units_per_arm)
    if size.n_units > MOST_UNITS:
        raise BadValue("units_per_arm", _("are too many to stick: give your own number of pots"))
    plan = replace(plan, n_units=size.n_units, n_per_unit=draft.n_per_unit)
    services.fix_trial(
        garden=request.garden,
        by=request.member,
        now=request.now,
        trial=draft.trial,
        question=draft.question,
        arms=arms_in_row(plan.arms),
        units_per_arm=size.n_units,
        n_per_unit=draft.n_per_unit,
        stop_rule=plan.stop_rule,
        plan=written(plan),
        entry_id=server_id(posted),
    )
    remember(request, _("The plan of %(trial)s is fixed.") % {"trial": draft.trial}, [])
    return redirect("trial", key=draft.trial)
