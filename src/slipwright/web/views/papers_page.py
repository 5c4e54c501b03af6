"""All papers on one page, and those for the wall and for learners: year sheet, how-tos, season report."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.craft.said import all_in_tongue, in_tongue
from slipwright.handbook import load_handbook
from slipwright.handbook.pages import WOODS
from slipwright.outputs.how_to import how_to_pdf
from slipwright.outputs.measures import First
from slipwright.outputs.season_report import season_report_pdf
from slipwright.outputs.season_told import SeasonReport, came_to_chart, losses_chart, wants_chart
from slipwright.outputs.year_sheet import Printed, year_sheet_pdf
from slipwright.records.answers.papers_offered import how_to_asked, papers_offered
from slipwright.records.answers.report.season_report import season_report_of, seasons_of_garden
from slipwright.records.answers.year_sheet import YEARS, year_sheet_of
from slipwright.records.errors import NotFound
from slipwright.web.asked import whole_of
from slipwright.web.membership import GardenRequest, access
from slipwright.web.tongue import tongue

#: longer words name no plant
_LONGEST = 400


@require_safe
@access("member")
def papers(request: GardenRequest) -> HttpResponse:
    """Show every paper there is, what it is for, and how to have it printed."""
    offered = papers_offered(request.garden, load_handbook(), on=request.today)
    told = {
        "offered": offered,
        "paper": _paper(request),
        "years": (offered.year, offered.year + 1),
        "woods": WOODS,
    }
    return render(request, "web/papers.html", told)


@require_safe
@access("member")
def year_sheet(request: GardenRequest) -> HttpResponse:
    """Give the year for the wall as a PDF to print."""
    asked = whole_of(request.GET.get("year", "")) or request.today.year
    year = min(max(asked, YEARS[0]), YEARS[1])
    named = [part for part in request.GET.get("plants", "")[:_LONGEST].split(",") if part.strip()]
    try:
        sheet = year_sheet_of(
            request.garden,
            load_handbook(),
            year=year,
            on=request.today,
            named=named,
            each_plant="each" in request.GET,
            tongue=tongue(),
        )
    except NotFound as error:
        return _refused(request, _("No year sheet"), error)
    return _shown(year_sheet_pdf(sheet, paper=_paper(request), translate=_), f"year-{year}.pdf")


@require_safe
@access("open")
def how_to(request: GardenRequest) -> HttpResponse:
    """Give the how-to of a plant's wood, or of a kind of wood, as a PDF of two pages; open to anybody."""
    named, _bar, wood = request.GET.get("of", "")[:_LONGEST].rpartition("|")
    garden = request.garden
    latitude_deg = float(garden.latitude_deg) if garden is not None else _said_latitude(request)
    first: First = "us" if _units(request) == "us" else "metric"
    try:
        told = how_to_asked(
            load_handbook(),
            named,
            wood,
            on=request.today,
            latitude_deg=latitude_deg,
            first=first,
            tongue=tongue(),
        )
    except NotFound as error:
        return _refused(request, _("No how-to"), error)
    return _shown(how_to_pdf(told, paper=_paper(request), translate=_), "how-to.pdf")


@require_safe
@access("member")
def season_report(request: GardenRequest) -> HttpResponse:
    """Show how a season went: wants, losses, costs and what the records taught."""
    report = _report(request)
    if isinstance(report, HttpResponse):
        return report
    told = all_in_tongue(report, _)
    charts = {"came_to": came_to_chart(told), "losses": losses_chart(told), "wants": wants_chart(told)}
    shown = {"report": told, "charts": charts, "seasons": seasons_of_garden(request.garden)}
    return render(request, "web/season_report.html", shown)


@require_safe
@access("member")
def season_report_print(request: GardenRequest) -> HttpResponse:
    """Give the report of a season as a PDF to print."""
    report = _report(request)
    if isinstance(report, HttpResponse):
        return report
    printed = season_report_pdf(report, paper=_paper(request), translate=_)
    return _shown(printed, f"season-{report.season}.pdf")


def _report(request: GardenRequest) -> SeasonReport | HttpResponse:
    """Return the report of the season asked for, the newest with anything in it unless one is named."""
    season = request.GET.get("season", "").strip()
    if not season:
        there = seasons_of_garden(request.garden)
        season = there[0] if there else str(request.today.year)
    try:
        return season_report_of(request.garden, season=season, on=request.today)
    except NotFound as error:
        return _refused(request, _("No report"), error)


def _units(request: GardenRequest) -> str:
    asked = request.GET.get("units", "")
    if asked in ("metric", "us"):
        return asked
    return request.garden.units if request.garden is not None else "metric"


def _paper(request: GardenRequest) -> Literal["a4", "letter"]:
    """Return the paper asked for, else that of the measures."""
    asked = request.GET.get("paper", "")
    if asked in ("a4", "letter"):
        return "letter" if asked == "letter" else "a4"
    return "letter" if _units(request) == "us" else "a4"


def _said_latitude(request: HttpRequest) -> float | None:
    """Return which half of the earth a visitor lives on, by a latitude of it."""
    return -40.0 if request.GET.get("half") == "south" else None


def _refused(request: HttpRequest, title: str, error: NotFound) -> HttpResponse:
    told: Mapping[str, Any] = {"title": title, "why": in_tongue(error.args[0], _)}
    return render(request, "web/refusal.html", told, status=422)


def _shown(printed: Printed, name: str) -> HttpResponse:
    shown = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(printed.pdf, content_type="application/pdf", headers=shown)
