"""Findings: what the records say of parts, plants, ways, times and places; and the garden's own rules."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs.measures import First
from slipwright.records import roles
from slipwright.records.answers.findings.page import A_PAGE, FindingsPage, findings_page
from slipwright.records.answers.findings.rule_plant import plant_of_rule
from slipwright.records.answers.findings.rules import VERDICTS, rules_headline
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.services.own_rules import state_rule, take_rule_back
from slipwright.records.words import WOODS
from slipwright.web.asked import Posted, told, whole_of
from slipwright.web.findings_shown import along_shown, factor_shown, rates_shown, weeks_shown
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember

#: letters of a rule brought along in an address
_MOST = 600


@require_safe
@access("member")
def findings(request: GardenRequest) -> HttpResponse:
    """Show what was found, a page of the plants, and the handbook beside the garden."""
    page = max(whole_of(request.GET.get("page", "")) or 1, 1)
    rules = max(whole_of(request.GET.get("rules", "")) or 1, 1)
    found = findings_page(request.garden, of=request.GET.get("of", ""), page=page)
    context: dict[str, Any] = {"found": found, "fit": found.fit, "entry_id": uuid4()}
    if found.shown is not None:
        context |= _shown(request, found, rules)
    return render(request, "web/findings.html", context)


def _shown(request: GardenRequest, found: FindingsPage, rules: int) -> dict[str, Any]:
    shown = found.shown
    assert shown is not None
    first: First = "us" if request.garden.units == "us" else "metric"
    start = (rules - 1) * A_PAGE
    some = found.held[start : start + A_PAGE]
    return {
        "shown": shown,
        "up_to": found.up_to,
        "along": along_shown(found.along) if found.along else None,
        "groups": [
            (one.of, f"?{urlencode({'of': one.of})}#along", one is found.along) for one in shown.along
        ],
        "plants": [rates_shown(found.rates), weeks_shown(found.rates, shown.rates)] if found.rates else [],
        "factors": [factor_shown(one, first) for one in shown.factors],
        "before": f"?page={found.page - 1}" if found.page > 1 else "",
        "after": f"?page={found.page + 1}" if found.has_more else "",
        "held": [(verdict, [one for one in some if one.verdict == verdict]) for verdict in VERDICTS],
        "held_headline": rules_headline(found.held),
        "rules_before": f"?rules={rules - 1}" if rules > 1 else "",
        "rules_after": f"?rules={rules + 1}" if len(found.held) > start + A_PAGE else "",
    }


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.EDIT)
def rule(request: GardenRequest) -> HttpResponse:
    """State a rule of the garden's own with its evidence; a finding brings its words along."""
    if request.method != "POST":
        asked = {name: request.GET.get(name, "")[:_MOST] for name in ("plant", "wood", "rule", "evidence")}
        return _form(request, asked)
    posted = Posted(request)
    try:
        note = state_rule(
            garden=request.garden,
            by=request.member,
            now=request.now,
            plant=plant_of_rule(request.garden, load_handbook(), posted.text("plant")),
            wood=posted.word("wood", WOODS),
            rule=posted.text("rule"),
            evidence=posted.text("evidence"),
            entry_id=posted.text("entry_id"),
        )
    except BadValue as error:
        wrong = told(error, _labels()) | {"rule": in_tongue(error.rule, _)}
        return _form(request, request.POST, status=422, wrong=wrong)
    except Clash:
        refused = Refused(
            _("Something else was already saved from this form."), [_("It is fresh now: say it once more.")]
        )
        return _form(request, request.POST, status=422, refused=refused)
    remember(request, _("Your own rule is kept."), [note])
    return redirect("findings")


def _labels() -> dict[str, str]:
    return {
        "plant": _("Of which plants"),
        "wood": _("Wood"),
        "rule": _("The rule"),
        "evidence": _("Evidence"),
    }


def _form(request: GardenRequest, typed: Any, *, status: int = 200, **more: Any) -> HttpResponse:
    context = {"typed": typed, "woods": WOODS, "labels": _labels(), "entry_id": uuid4(), **more}
    return render(request, "web/finding_rule.html", context, status=status)


@require_POST
@access(roles.EDIT)
def take_back(request: GardenRequest) -> HttpResponse:
    """Take a rule of the garden's own back; it stays in the records, and is told no more."""
    posted = Posted(request)
    take_rule_back(
        garden=request.garden,
        by=request.member,
        now=request.now,
        rule=posted.text("rule"),
        reason=posted.text("reason") or _("The rule no longer holds."),
    )
    return redirect("findings")
