"""One pot and a bag: may I cut this now? Open to anybody, and nothing asked is kept."""

from __future__ import annotations

import re
from datetime import date
from functools import partial
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.dates import MONTHS_3
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.advice.advise import advise
from slipwright.advice.answer import Advice, Plan
from slipwright.advice.asked import SHOOTS, NotKnown, plant_named
from slipwright.advice.one_pot import (
    cautions_beside,
    doings_of_plan,
    one_page_sheet,
    other_number,
    words_of_plan,
)
from slipwright.advice.sheet import stick_sheet
from slipwright.craft.errors import BadArgument
from slipwright.craft.rights import RIGHTS
from slipwright.handbook import load_handbook
from slipwright.outputs.charts.days import days_rule
from slipwright.outputs.drawings.pots import PotFromAbove
from slipwright.outputs.drawings.steps import step_drawing
from slipwright.outputs.one_page import one_page_pdf
from slipwright.records.answers.straight import advice_in
from slipwright.records.errors import BadValue
from slipwright.rooting.dates import pot_up_at
from slipwright.web.asked import Posted
from slipwright.web.membership import GardenRequest, access
from slipwright.web.tongue import tongue

FIELDS = ("plant", "on", "at", "want", "have", "shoot", "price", "rights", "licence")
HAVE = ("tent", "mist", "open")
#: longer words are no plant's name; more plants than this are a nursery's question
LONGEST_NAME, MOST_WANTED = 120, 500
DAYS = (date(1900, 1, 1), date(2199, 12, 31))
_AT = re.compile(
    r"(-?\d{1,2}(?:\.\d+)?)\s*°?\s*([NS]?)(?:\s*[,; ]\s*-?\d{1,3}(?:\.\d+)?\s*°?\s*[EW]?)?", re.I
)


class Asked(Posted):
    """What stands in the address of the page."""

    def __init__(self, request: HttpRequest) -> None:
        super().__init__(request)
        self._fields = request.GET

    def plant(self, name: str) -> str:
        """Return the plant's name."""
        said = self.text(name)
        if not said:
            raise BadValue(name, _("say which plant"))
        if len(said) > LONGEST_NAME:
            raise BadValue(name, _("no plant has so long a name"))
        return said

    def near_day(self, name: str) -> date | None:
        """Return a day near enough to reckon with."""
        said = self.day(name)
        if said is not None and not DAYS[0] <= said <= DAYS[1]:
            raise BadValue(name, _("must lie between 1900 and 2199"), said)
        return said

    def latitude(self, name: str) -> float | None:
        """Return the latitude of "41, -72", "41" or "34 S"."""
        said = self.text(name)
        if not said:
            return None
        found = _AT.fullmatch(said)
        if found is None:
            raise BadValue(name, _("must be a latitude, as 41 or 34 S, or both as 41, -72"), said)
        north = float(found[1])
        if not -90 <= north <= 90:
            raise BadValue(name, _("latitude is from -90 to 90"), said)
        return -abs(north) if found[2].upper() == "S" else north

    def wanted(self, name: str) -> int:
        """Return how many plants are wanted; one if nothing was said."""
        said = self.whole(name)
        if said is not None and not 1 <= said <= MOST_WANTED:
            raise BadValue(name, _("must be from 1 to %(most)d") % {"most": MOST_WANTED}, said)
        return said or 1

    def price(self, name: str) -> float | None:
        """Return the price of one bought plant."""
        said = self.number(name)
        if said is not None and not 0 <= said <= 1_000_000:
            raise BadValue(name, _("must be 0 or more"), said)
        return None if said is None else float(said)


@require_safe
@access("open")
def one_pot(request: GardenRequest) -> HttpResponse:
    """Ask five things and answer them, at an address that can be passed on."""
    typed = _typed(request)
    shown: dict[str, Any] = {"typed": typed, "wrongs": {}, **_choices()}
    if not any(name in request.GET for name in FIELDS):
        return render(request, "web/one_pot.html", shown)
    answer, wrongs = _answered(request)
    if answer is None:
        return render(request, "web/one_pot.html", {**shown, "wrongs": wrongs}, status=422)
    return render(request, "web/one_pot.html", {**shown, **_shown(request, answer, typed)})


@require_safe
@access("open")
def one_pot_pdf(request: GardenRequest) -> HttpResponse:
    """Print the answer on one page."""
    answer, wrongs = _answered(request)
    if answer is None:
        shown = {"typed": _typed(request), "wrongs": wrongs, **_choices()}
        return render(request, "web/one_pot.html", shown, status=422)
    if answer.plan is None or answer.plan.n_to_stick is None:
        shown = {"typed": _typed(request), "wrongs": {}, **_choices()}
        shown |= _shown(request, answer, shown["typed"])
        return render(request, "web/one_pot.html", shown, status=422)
    us = bool(request.garden and request.garden.units == "us")
    sheet = one_page_sheet(answer, made_on=request.today, first="us" if us else "metric")
    letter = request.GET.get("paper", "letter" if us else "a4") == "letter"
    printed = one_page_pdf(sheet, paper="letter" if letter else "a4", translate=_)
    response = HttpResponse(printed.pdf, content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="one-pot.pdf"'
    return response


def _choices() -> dict[str, Any]:
    names = {name for page in load_handbook().pages for name in (*page.common_names_in(tongue()), *page.taxa)}
    return {
        "names": sorted(names, key=str.lower),
        "haves": [
            ("tent", _("a clear bag or a tent")),
            ("mist", _("mist")),
            ("open", _("no cover")),
        ],
        "shoots": [
            ("vegetative", _("no flower and no bud")),
            ("budded", _("in bud")),
            ("flowering", _("in flower")),
            ("spent", _("flower over")),
        ],
        "standings": [
            ("none", _("no right in it")),
            ("protected", _("protected")),
            ("licensed", _("protected, and I hold a licence")),
        ],
    }


def _typed(request: GardenRequest) -> dict[str, str]:
    """Return what the fields show: what was typed, else today and the garden's own place."""
    typed = {name: request.GET.get(name, "").strip() for name in FIELDS}
    if not any(name in request.GET for name in FIELDS):
        typed |= {"want": "5", "have": "tent"}
        if request.garden and request.garden.latitude_deg is not None:
            typed["at"] = f"{float(request.garden.latitude_deg):g}"
    return typed | {"on": typed["on"] or request.today.isoformat()}


def _answered(request: GardenRequest) -> tuple[Advice | None, dict[str, BadValue]]:
    """Return the answer, or what is wrong with each field."""
    asked, wrongs = Asked(request), {}
    readers: dict[str, Any] = {
        "plant": asked.plant,
        "on": asked.near_day,
        "at": asked.latitude,
        "want": asked.wanted,
        "price": asked.price,
        "have": lambda name: asked.word(name, HAVE),
        "shoot": lambda name: asked.word(name, SHOOTS),
        "rights": lambda name: asked.word(name, RIGHTS),
        "licence": asked.text,
    }
    said: dict[str, Any] = {}
    for name, read in readers.items():
        try:
            said[name] = read(name)
        except BadValue as error:
            wrongs[name] = error
    if wrongs:
        return None, wrongs
    try:
        # who is signed in is answered by what their garden learned, anybody else by the handbook alone
        ask = partial(advice_in, request.garden) if request.garden else advise
        answer = ask(
            load_handbook(),
            said["plant"],
            on=said["on"] or request.today,
            latitude_deg=said["at"],
            want=said["want"],
            shoot=said["shoot"] or None,
            have=said["have"] or None,
            rights=said["rights"] or "unknown",
            licence=said["licence"],
            price_each=said["price"],
            first="us" if request.garden and request.garden.units == "us" else "metric",
            tongue=tongue(),
        )
    except BadArgument as error:
        return None, {"plant": BadValue(error.argument, error.rule, error.value)}
    return answer, {}


def _shown(request: GardenRequest, answer: Advice, typed: dict[str, str]) -> dict[str, Any]:
    """Return what the answer shows."""
    shown: dict[str, Any] = {
        "answer": answer,
        "plan": answer.plan,
        "query": _asking(typed, typed["plant"]),
        "refused_shoot": answer.asked.shoot in ("budded", "flowering"),
        "beside": cautions_beside(answer),
    }
    if answer.verdict == "unknown":
        found = plant_named(load_handbook(), answer.taxon, tongue())
        near = found.near if isinstance(found, NotKnown) else ()
        shown["near"] = [(name, _asking(typed, name)) for name in near]
        shown["held"] = [
            (page.taxa[0], page.common_name(page.taxa[0], tongue()), _asking(typed, page.taxa[0]))
            for page in load_handbook().pages
        ]
    if answer.plan is None:
        return shown
    us = bool(request.garden and request.garden.units == "us")
    shown["words"] = words_of_plan(answer.plan, first="us" if us else "metric")
    shown["roots"] = answer.plan.roots_within
    shown["doings"] = [(step_drawing(doing.drawing), doing.steps) for doing in doings_of_plan(answer.plan)]
    shown["after"] = [step for step in answer.plan.steps if step.key in ("look", "winter") and step.text]
    if answer.plan.n_to_stick is not None:
        shown |= _counted(request, answer, answer.plan)
    return shown


def _asking(typed: dict[str, str], plant: str) -> str:
    """Return the same question of another plant, as it stands in an address."""
    return urlencode({name: value for name, value in (typed | {"plant": plant}).items() if value})


def _counted(request: GardenRequest, answer: Advice, plan: Plan) -> dict[str, Any]:
    """Return pots and days, where there is a number to stick."""
    us = bool(request.garden and request.garden.units == "us")
    sheet = stick_sheet(answer, first="us" if us else "metric")
    pot, days = sheet.pot, sheet.days
    assert pot is not None  # every answer with a number has both
    assert days is not None
    per_pot = len(pot.points_mm)
    seen = PotFromAbove(per_pot, width_mm=pot.width_mm)
    return {
        "other": other_number(plan, answer.asked.n_wanted),
        "per_pot": per_pot,
        "per_pot_least": min(per_pot, (plan.n_to_stick or per_pot) // (plan.n_containers or 1)),
        "n_to_pot": pot_up_at(plan.n_to_stick or 1),
        "apart_mm": seen.apart_mm if per_pot > 2 else None,
        "pot_drawing": seen.svg(),
        "facts": sheet.facts,
        "days": days,
        "days_drawing": days_rule(
            days,
            _("Days from sticking: looks, roots and potting up, as the list beneath says."),
            words={"stick": _("stick"), "look": _("look"), "roots": _("roots"), "pot_up": _("pot up")},
            months=[str(MONTHS_3[month]).capitalize() for month in range(1, 13)],
        ),
    }
