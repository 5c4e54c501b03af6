"""Stock plants: the list in walking order, one plant and its year, and what was seen of it."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.dates import MONTHS_3
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_POST

from slipwright.handbook import WOODS, load_handbook
from slipwright.outputs.charts.year import WoodRun, YearOfPlant, year_ribbon
from slipwright.outputs.drawings.shrub import shrub_drawing
from slipwright.records import roles, selectors
from slipwright.records.answers.findings.own_rules import own_rules, rules_for
from slipwright.records.answers.papers_offered import woods_with_how_to
from slipwright.records.answers.plant_year import NEW_WOOD_WEEKS, PlantYear, new_wood_after
from slipwright.records.answers.season_cut import batches_cut, free_on
from slipwright.records.answers.stock import StockPlant, WoodToTake, plants_by_place, stock_plant
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.models import Entry, Garden
from slipwright.records.selectors import SeenOfPlant
from slipwright.records.services import record_act, record_firmness, record_stage
from slipwright.web.asked import Posted
from slipwright.web.days import in_form
from slipwright.web.membership import GardenRequest, access
from slipwright.web.named import named
from slipwright.web.row_labels import label_of
from slipwright.web.saved import remember
from slipwright.web.shares import in_words
from slipwright.web.stages import FIRMNESS, STAGES, firmness_words, stage_words

_PARTS = ("firmness_tip", "firmness_mid", "firmness_base")


@require_GET
@access("member")
def plants(request: GardenRequest) -> HttpResponse:
    """Show every stock plant by place, with the wood that is right now or next."""
    places = plants_by_place(request.garden, load_handbook(), on=request.today)
    to_cut = [line.stock for place in places for line in place.lines if line.verdict == "cut"]
    return render(request, "web/plants.html", {"places": places, "to_cut": to_cut})


@require_GET
@access("member")
def plant(request: GardenRequest, key: str) -> HttpResponse:
    """Show one stock plant: whether to cut today, its year, how much wood may go."""
    return _page(request, key)


@require_POST
@access(roles.RECORD)
def seen(request: GardenRequest, key: str) -> HttpResponse:
    """Keep what was seen of a stock plant: a stage, a bent shoot, or that it was cut back."""
    posted = Posted(request)
    try:
        entry, words = _recorded(request, key, posted)
    except BadValue as error:
        return _page(request, key, status=422, wrong=error, typed=request.POST)
    except Clash:
        refused = Refused(
            _("Something else was already saved from this form."), [_("It is fresh now: say it once more.")]
        )
        return _page(request, key, status=422, refused=refused)
    except Refused as error:
        return _page(request, key, status=422, refused=error, typed=request.POST)
    remember(request, words, [entry])
    return redirect("plant", key)


def _recorded(request: GardenRequest, key: str, posted: Posted) -> tuple[Entry, str]:
    kind = posted.word("kind", ("stage", "firmness", "act"))
    said: dict[str, Any] = {
        "garden": request.garden,
        "by": request.member,
        "now": request.now,
        "plant": key,
        "on": posted.day("on") or request.today,
        "note": posted.text("note"),
    }
    if kind == "stage":
        bbch = posted.whole("bbch")
        if bbch is None:
            raise BadValue("bbch", _("must be one of the stages"))
        entry: Entry = record_stage(**said, bbch=bbch, entry_id=_entry_id(posted, kind, bbch))
        return entry, f"{key}: {stage_words(bbch)}"
    if kind == "firmness":
        felt: dict[str, Any] = {part: posted.whole(part) for part in _PARTS}
        if not any(felt.values()):
            raise BadValue("firmness_tip", _("say how firm at least one part of the shoot is"))
        entry = record_firmness(**said, **felt, entry_id=_entry_id(posted, kind))
        return entry, f"{key}: {firmness_words(*felt.values())}"
    if kind == "act":
        entry = record_act(**said, act="cut-back", entry_id=_entry_id(posted, kind))
        return entry, _("%(plant)s: cut back") % {"plant": key}
    raise BadValue("kind", _("must be a stage, a bent shoot or an act"))


def _entry_id(posted: Posted, *what: object) -> str:
    """Return the id of an entry: one form's, and of its buttons each another."""
    try:
        form = uuid.UUID(posted.text("entry_id"))
    except ValueError:
        raise BadValue("entry_id", _("must be the one this form was given out with")) from None
    return str(uuid.uuid5(form, " ".join(map(str, what))))


def _page(request: GardenRequest, key: str, *, status: int = 200, **more: Any) -> HttpResponse:
    garden = request.garden
    told = stock_plant(garden, load_handbook(), key, on=request.today)
    stock = told.line.stock
    row = selectors.reference_row(garden, "plants", [key])
    n_may_go = told.take.n_may_go
    cut_by = batches_cut(garden, key, on=request.today) if n_may_go is not None else []
    context = {
        "told": told,
        "stock": stock,
        "verdict": told.line.verdict,
        "opening": told.line.opening,
        "row": row,
        "taxon_row": selectors.reference_row(garden, "taxa", [stock.taxon]),
        "own_rules": rules_for(own_rules(garden), stock.taxon),
        "how_tos": woods_with_how_to(load_handbook(), stock.taxon) if stock.rights.allowed else (),
        "ribbon": _ribbon(request, told) if told.year else "",
        "windows": _windows(told.year) if told.year else [],
        "stages": STAGES,
        "firmness": FIRMNESS.items(),
        "parts": [
            ("firmness_tip", _("Tip")),
            ("firmness_mid", _("Middle")),
            ("firmness_base", _("Base")),
        ],
        "seen": _in_words(selectors.seen_of_plant(garden, key)),
        "last_stage": stage_words(stock.bbch) if stock.bbch is not None else "",
        "last_firmness": firmness_words(stock.firmness_tip, stock.firmness_mid, stock.firmness_base),
        "cut_by": cut_by,
        "free_on": free_on(cut_by, n_may_go) if n_may_go is not None else None,
        "weather_sources": _weather_from(garden) if told.trust else "",
        "bloom_reason": _bloom_reason(told),
        "shoot_decides_said": "the shoot decides" in (str(told.bloom.reason).lower() if told.bloom else ""),
        "batches": selectors.batches_from_plant(garden, key),
        "entry_id": str(uuid.uuid4()),
        "new_wood": new_wood_after(request.today),
        "new_wood_weeks": NEW_WOOD_WEEKS,
        "photos": selectors.photos_about(garden, [key]),
        "photo_about": key,
        "photo_id": str(uuid.uuid4()),
        "photo_at": request.now.replace(microsecond=0).isoformat(),
        "may_withdraw": roles.may(request.member, roles.WITHDRAW),
        "typed": {},
        **_take(told.take),
        **more,
    }
    return render(request, "web/plant.html", context, status=status)


def _weather_from(garden: Garden) -> str:
    named = (one.source for one in selectors.weather_sources(garden) if one.source)
    return ", ".join(dict.fromkeys(named))


def _bloom_reason(told: StockPlant) -> str:
    """Return why bloom matters, unless the answer at the top says it already."""
    if told.bloom is None:
        return ""
    reason = told.bloom.reason
    delay = told.line.opening.delay if told.line.opening else ""
    return "" if reason.rstrip(".").lower() in f"{told.line.why} {delay}".lower() else reason


def _ribbon(request: GardenRequest, told: StockPlant) -> str:
    year = told.year
    assert year is not None
    title = _("The year of %(plant)s from %(first)s to %(last)s; the table below says the same.") % {
        "plant": told.line.stock.plant,
        "first": in_form(year.starts_on, "M Y"),
        "last": in_form(year.ends_on, "M Y"),
    }
    words = {wood: capfirst(named(wood)) for wood in WOODS} | {
        "bloom": _("In bloom"),
        "taller": _("taller = likelier"),
        "too_near": _("too near bloom"),
    }
    runs = tuple(
        WoodRun(run.wood, run.opens_on, run.closes_on, run.sure_from, run.sure_to) for run in year.windows
    )
    drawn = YearOfPlant(year.starts_on, year.ends_on, request.today, runs, year.bloom, year.too_near)
    months = [str(MONTHS_3[month]).capitalize() for month in range(1, 13)]
    return year_ribbon(drawn, title, words=words, months=months)


def _take(take: WoodToTake) -> dict[str, Any]:
    """Return how much wood may go, in words and as a drawing."""
    more: dict[str, Any] = {
        "unsaid": ", ".join(label_of("plants", name).lower() for name in take.unsaid),
        "share_words": in_words(take.share) if take.share is not None else "",
    }
    if take.n_left is not None and take.n_shoots is not None:
        more["shoots_left"] = _shoots(take, take.n_left)
        more["shoots_made"] = _shoots(take, take.n_shoots)
        if take.n_shoots:
            words = {
                "go": _("may go"),
                "cut": _("were cut"),
                "stay": _("stay"),
                "each": _("one drawn stands for {n}"),
            }
            title = _("A shrub: what may go, what was cut, what stays, as the numbers below say.")
            more["shrub"] = shrub_drawing(take.n_left, take.n_cut, take.n_stay or 0, title, words=words)
    return more


def _shoots(take: WoodToTake, n: int) -> str:
    if take.shoot_word == "cane":
        return ngettext("%(n)s cane", "%(n)s canes", n) % {"n": n}
    return ngettext("%(n)s shoot", "%(n)s shoots", n) % {"n": n}


def _windows(year: PlantYear) -> list[dict[str, Any]]:
    return [
        {
            "wood": run.wood,
            "opens_on": run.opens_on,
            "sure_from": run.sure_from,
            "sure_to": run.sure_to,
            "closes_on": run.closes_on,
        }
        for run in year.windows
    ]


def _in_words(rows: Iterable[SeenOfPlant]) -> list[dict[str, Any]]:
    told = []
    for row in rows:
        if row.kind == "stage":
            words = stage_words(row.bbch or 0)
        elif row.kind == "firmness":
            words = _("Bent a shoot: %(felt)s") % {
                "felt": firmness_words(row.firmness_tip, row.firmness_mid, row.firmness_base)
            }
        else:
            words = capfirst(named(row.act))
        told.append({"on": row.on, "words": words, "note": row.note, "by": row.by})
    return told
