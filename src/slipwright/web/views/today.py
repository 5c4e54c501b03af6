"""Today: where to go first, what to take, and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs import measures
from slipwright.outputs.charts.small_curve import small_curve
from slipwright.records import roles
from slipwright.records.answers.findings.own_rules import own_rules, rules_for
from slipwright.records.answers.programme.lines_now import CuttingsOfWeek, cuttings_of_week
from slipwright.records.answers.today import to_note_at, told_round
from slipwright.records.answers.today_parts import Card, PlaceToday, TodayRound
from slipwright.records.answers.told import ToldAct
from slipwright.records.errors import BadValue
from slipwright.records.models import WeatherDay
from slipwright.records.selectors.fits import fit_now
from slipwright.records.selectors.own_rules import OwnRule
from slipwright.records.services.rounds import record_nothing_to_note
from slipwright.records.weather_fetch import credit_of
from slipwright.web.asked import Posted, whole_of
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.season_line import plants_of, stick_at

#: batches looked at today that are named at their place, where on the whole round there are no more
LOOKED = 12
#: mist beds whose two keys stand on the page; of more, each has them on its own page
BEDS = 3
#: batches of the programme named above the round; the season page has the rest
CUTTINGS = 4
#: acts beside which the garden's own rules for the plant are told
ADVISED = ("cut", "stick")
#: the sign of each act, and its look where it can wait
SIGNS = {
    "cut": ("cut", "due"),
    "stick": ("stick", "due"),
    "look": ("look", ""),
    "weigh": ("weigh", ""),
    "shade": ("shade", "due"),
    "protect": ("frost", ""),
    "pot_up": ("pot-up", "due"),
    "give_up": ("give-up", ""),
}


def _words() -> dict[str, str]:
    return {
        "cut": _("Cut"),
        "stick": _("Stick"),
        "look": _("Look"),
        "weigh": _("Weigh the pot"),
        "shade": _("Shade"),
        "protect": _("Protect"),
        "pot_up": _("Pot up"),
        "give_up": _("Give up?"),
    }


@require_safe
@access("member")
def today(request: GardenRequest) -> HttpResponse:
    """Show the round of today, or what is to do at one place."""
    place = request.GET.get("place")
    start = request.GET.get("from", "")
    told = told_round(
        request.garden,
        load_handbook(),
        on=request.today,
        place=place,
        start=whole_of(start) or 0,
        now=request.now,
    )
    return render(request, "web/today.html", _shown(request, told, place))


@require_POST
@access(roles.RECORD)
def nothing_to_note(request: GardenRequest) -> HttpResponse:
    """Record a look without counts at each batch of a place that nobody looked at today."""
    posted = Posted(request)
    place = posted.text("place")
    back = redirect(f"{reverse('today')}{'?' + urlencode({'place': place}) if posted.text('alone') else ''}")
    try:
        batches = to_note_at(request.garden, load_handbook(), place, on=request.today)
        looks = record_nothing_to_note(
            garden=request.garden,
            by=request.member,
            now=request.now,
            on=request.today,
            batches=batches,
            entry_id=posted.text("entry_id"),
        )
    except BadValue as error:
        told = told_round(request.garden, load_handbook(), on=request.today, now=request.now)
        shown = _shown(request, told, None) | {"wrong": error}
        return render(request, "web/today.html", shown, status=422)
    if looks:
        words = ngettext(
            "%(n)d batch looked at, nothing to note", "%(n)d batches looked at, nothing to note", len(looks)
        )
        remember(request, words % {"n": len(looks)}, looks)
    return back


def _shown(request: GardenRequest, told: TodayRound, alone: str | None) -> dict[str, Any]:
    words = _words()
    is_advised = any(_is_advised(card) for place in told.places for card in place.cards)
    rules = own_rules(request.garden) if is_advised else ()
    return {
        "round": told,
        "fit": fit_now(request.garden, with_found=False),
        "alone": alone,
        "cuttings": None
        if alone is not None
        else _cuttings(cuttings_of_week(request.garden, on=request.today)),
        "places": [
            _place(one, words, LOOKED if told.n_looked <= LOOKED else 0, rules) for one in told.places
        ],
        "weather": _weather(request, told.weather),
        "tells_of_beds": sum(one.has_mist for one in told.places) <= BEDS,
        "mist_at": request.now.astimezone(ZoneInfo(request.garden.time_zone)).isoformat(timespec="seconds"),
    }


def _cuttings(found: CuttingsOfWeek | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "shown": [
            {
                "line": line,
                "at": stick_at(found.plan, line.n),
                "from": plants_of(line.rest),
                "on": line.stick_on,
            }
            for line in found.lines[:CUTTINGS]
        ],
        "n_more": max(len(found.lines) - CUTTINGS, 0),
    }


def _place(
    place: PlaceToday, words: dict[str, str], n_named: int, rules: Sequence[OwnRule]
) -> dict[str, Any]:
    return {
        "place": place,
        "alone_at": f"{reverse('today')}?{urlencode({'place': place.place})}",
        "next_at": f"{reverse('today')}?{urlencode({'place': place.place, 'from': place.next_start or 0})}",
        "cards": [_card(card, words, rules) for card in place.cards],
        "entry_id": uuid4(),
        "bed_entry_id": uuid4(),
        "looked": place.looked[:n_named],
        "n_looked_shown": n_named,
    }


def _is_advised(card: Card) -> bool:
    return bool(card.taxon) and any(act.act in ADVISED for act in card.acts)


def _card(card: Card, words: dict[str, str], rules: Sequence[OwnRule]) -> dict[str, Any]:
    return {
        "rules": rules_for(rules, card.taxon) if rules and _is_advised(card) else (),
        "card": card,
        "stakes": [_stake(card, act, words) for act in card.acts],
        "curve": _curve(card),
    }


def _stake(card: Card, act: ToldAct, words: dict[str, str]) -> dict[str, str]:
    icon, look = SIGNS[act.act]
    at = ""
    if card.batch is not None:
        page = "pot-up" if act.act == "pot_up" else "look"
        at = reverse(page, args=[card.batch.batch]) + "?round=1"
    elif card.plant:
        at = reverse("plant", args=[card.plant])
    return {
        "icon": icon,
        "look": "urgent" if act.urgent else look if act.is_asked else "",
        "words": words[act.act] if act.is_asked else _("May be cut"),
        "why": act.why,
        "at": at,
    }


def _curve(card: Card) -> str:
    curve, batch = card.curve, card.batch
    if curve is None or batch is None or card.days is None:
        return ""
    if len(curve.ahead) > 1:
        title = _(
            "%(n)d of %(stuck)d rooted as counted; by day %(day)d likely %(low)d to %(high)d, 8 times in 10"
        ) % {
            "n": batch.n_rooted,
            "stuck": batch.n_stuck,
            "day": curve.ahead[-1],
            "low": curve.p10[-1],
            "high": curve.p90[-1],
        }
    else:
        title = _("%(n)d of %(stuck)d rooted as counted") % {"n": batch.n_rooted, "stuck": batch.n_stuck}
    return small_curve(
        curve.seen,
        curve.ahead,
        curve.p10,
        curve.p50,
        curve.p90,
        age_days=card.days,
        n_stuck=batch.n_stuck,
        title=title,
    )


def _weather(request: GardenRequest, weather: WeatherDay | None) -> dict[str, Any] | None:
    if weather is None:
        return None
    first: measures.First = "us" if request.garden.units == "us" else "metric"
    return {
        "range": in_tongue(
            measures.temperature_text(float(weather.tmin_c), float(weather.tmax_c), first=first), _
        ),
        "day": weather,
        "credit": credit_of(weather.source),
    }
