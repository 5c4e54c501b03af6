"""Stick: plant, number, place, the usual way; everything else in folds."""

from __future__ import annotations

from typing import Any, cast
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from slipwright.craft.figures import plain
from slipwright.handbook import load_handbook
from slipwright.records import codes, roles, selectors, services, words
from slipwright.records.answers import season_cut, stick_choices, sticking
from slipwright.records.errors import BadValue, Clash, NotFound, Refused
from slipwright.records.models import Sticking
from slipwright.records.services.entry import new_id
from slipwright.web import stick_form, way_shown, ways
from slipwright.web.asked import Posted
from slipwright.web.membership import GardenRequest, access
from slipwright.web.planned_shown import planned_of_want
from slipwright.web.saved import remember
from slipwright.web.stick_line import FromLine, line_asked, places_of, typed_of
from slipwright.web.stick_page import pictures, pots, said
from slipwright.web.stick_phone import facts_of_sticking

#: after one save so many batches are shown
MOST_SHOWN = 12


@require_http_methods(["GET", "POST"])
@access(roles.RECORD)
def stick(request: GardenRequest) -> HttpResponse:
    """Show the form for a plant, or keep what was stuck of it."""
    asked = request.POST if request.method == "POST" else request.GET
    plant, named = asked.get("plant", "").strip(), asked.get("taxon", "").strip()
    line = line_asked(request, request.GET)
    if line and not plant and not named:
        plant, named = line.plant, line.taxon
    want = asked.get("want", "").strip()
    if want and not plant and not named:
        return _which_plant(request, want=want)
    if not plant and not named:
        return _which_plant(request)
    if not plant:
        found = stick_choices.taxon_called(request.garden, named)
        if found is None:
            return _which_plant(request, unknown=named)
        named = found.taxon
    known = _known(request, line, plant, named, want)
    if request.method == "POST":
        return _keep(request, known)
    if not known.rights.allowed and "done" not in request.GET:
        return render(request, "web/stick_refused.html", {"known": known})
    typed: dict[str, Any] = {"entry_id": new_id()}
    if line is None:
        return _form(request, known, typed)
    choices = stick_choices.choices(request.garden)
    filled = typed | typed_of(line, known, choices)
    there = places_of(line, choices)
    return _form(request, known, filled, from_line=line, from_plan=request.GET["plan"], line_places=there)


def _known(
    request: GardenRequest, line: FromLine | None, plant: str, taxon: str, want: str
) -> sticking.ToStick:
    garden, handbook, on = request.garden, load_handbook(), request.today
    if line is None:
        return sticking.to_stick(garden, handbook, on=on, plant=plant, taxon=taxon, want=want)
    want = line.told["want"]
    try:
        return sticking.to_stick(garden, handbook, on=on, plant=plant, taxon=taxon, want=want)
    except NotFound:  # the programme names a plant that is no stock plant any more
        return sticking.to_stick(garden, handbook, on=on, taxon=line.taxon, want=want)


@require_http_methods(["GET"])
@access(roles.RECORD)
def done(request: GardenRequest) -> HttpResponse:
    """Show what was stuck: the codes for pencil and label, and what comes next."""
    asked = request.GET.getlist("b")[:MOST_SHOWN]
    batches = [selectors.batch_by_code(request.garden, code) for code in asked]
    if not batches:
        return redirect("stick")
    first = batches[0]
    known = sticking.to_stick(
        request.garden, load_handbook(), on=request.today, plant=_plant_of(first), taxon=first.taxon.taxon
    )
    context = {
        "batches": batches,
        "known": known,
        "labels": urlencode([("b", batch.batch) for batch in batches]),
        "again": urlencode({"plant": known.plant} if known.plant else {"taxon": known.taxon}),
        "look_on": sticking.first_look_on(request.garden, first.stuck_on),
        "stock": request.session.get("stock", "stake"),
    }
    return render(request, "web/stuck.html", context)


def _plant_of(batch: Sticking) -> str:
    return batch.plant.plant if batch.plant else ""


def _which_plant(request: GardenRequest, unknown: str = "", want: str = "") -> HttpResponse:
    """Ask for the stock plant; for a want only its own are offered, and a single one is taken at once."""
    handbook = load_handbook()
    stock = selectors.stock_plants(request.garden, on=request.today)
    taxon = stick_choices.taxon_of_want(request.garden, want) if want else ""
    own = [one for one in stock if one.taxon == taxon]
    if len(own) == 1:
        return redirect(f"{reverse('stick')}?{urlencode({'plant': own[0].plant, 'want': want})}")
    context = {
        "stock": own or stock,
        "want": want if own else "",
        "taxa": stick_choices.taxa_of(request.garden),
        "unknown": unknown,
        "botanical": stick_choices.botanical_name(handbook, unknown) if unknown else "",
    }
    return render(request, "web/stick_plant.html", context, status=422 if unknown else 200)


def _form(
    request: GardenRequest, known: sticking.ToStick, typed: Any, status: int = 200, **more: object
) -> HttpResponse:
    choices = stick_choices.choices(request.garden)
    line = more.get("from_line")
    there = {"usual": known.usual.lot if known.usual else {}, "handbook": known.by_handbook}
    open_ways = [*(way for way, lot in there.items() if lot), "other"]
    first = "usual" if known.usual and known.way_first is known.usual.lot else "handbook"
    open_ways.sort(key=lambda way: way != first)
    context: dict[str, Any] = {
        "known": known,
        "choices": choices,
        "methods": [(name, ways.way_in_words(lot)) for name, lot in choices.methods],
        "usual_words": ways.way_in_words(known.usual.lot) if known.usual else "",
        "handbook_words": ways.way_in_words(known.by_handbook),
        "typed": typed,
        "ways_shown": way_shown.fields(there),
        "way": typed["way"] if typed.get("way") in open_ways else open_ways[0],
        "already": typed.get("already_done") or "done" in request.GET,
        "grounds": ways.GROUNDS,
        "woods": ways.WOODS,
        "leaves": ways.LEAVES,
        "auxins": ways.AUXINS,
        "auxin_forms": ways.AUXIN_FORMS,
        "covers": ways.COVERS,
        "for_phone": facts_of_sticking(request.garden, known, choices),
        "planned": planned_of_want(request, known.number, line.now.n if isinstance(line, FromLine) else None),
        "is_planned": request.garden.plan_id is not None,
        **said(known, request.garden.units),
        **pictures(known),
        **pots(known, choices, typed),
        **more,
    }
    return render(request, "web/stick.html", context, status=status)


def _keep(request: GardenRequest, known: sticking.ToStick) -> HttpResponse:
    posted = Posted(cast(HttpRequest, request))
    already = bool(posted.text("already_done"))
    choices = stick_choices.choices(request.garden)
    try:
        is_kept = season_cut.is_kept(request.garden, stick_form.server_id(posted))
        lots = stick_form.lots_of(posted, known, choices, request.today, is_kept=is_kept)
        if known.share_cut and not (already or is_kept or posted.text("anyway")):
            raise BadValue("anyway", _("choose “All the same” to cut it in spite of that"))
        felt = posted.word("firmness", tuple(sticking.FELT))
        ground = posted.word("ground", words.GROUNDS)
        kept, firmness = services.record_sticking_as_felt(
            garden=request.garden,
            by=request.member,
            now=request.now,
            lots=lots,
            firmness_mid=sticking.FELT[felt][0] if felt else None,
            already_done=already,
            ground=ground,
        )
    except BadValue as error:
        more = [one for one in stick_form.missing(posted, choices) if one.column != error.column]
        words_of = stick_form.in_words
        return _form(
            request,
            known,
            request.POST,
            422,
            wrong=words_of(error),
            more_wrong=[words_of(one) for one in more],
        )
    except Refused as error:
        return _form(request, known, request.POST, 422, refused=error, already=True)
    except Clash:
        again = request.POST.copy()
        again["entry_id"] = new_id()
        return _form(request, known, again, 422, clash=True)
    entries: list[Any] = [*kept, *sticking.kept_beside(request.garden, kept)]
    if firmness is not None:
        entries.append(firmness)
    remember(request, _told(kept), entries)
    return redirect(f"{reverse('stuck')}?{urlencode([('b', batch.batch) for batch in kept])}")


def _told(kept: list[Sticking]) -> str:
    n = sum(batch.n_stuck for batch in kept)
    if len(kept) > 1:
        return _("Stuck %(n)s in %(lots)s lots.") % {"n": plain(n, 0), "lots": len(kept)}
    return ngettext("Stuck %(n)s: %(code)s.", "Stuck %(n)s: %(code)s.", n) % {
        "n": plain(n, 0),
        "code": codes.shown(kept[0].batch),
    }
