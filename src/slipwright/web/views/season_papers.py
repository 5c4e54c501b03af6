"""Papers of the programme in use: what to collect, what to stick, and all of it as a table."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, Literal

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs.collecting import collecting_pdf
from slipwright.outputs.crew import crew_pdf
from slipwright.outputs.measures import First
from slipwright.outputs.tables import write_csv
from slipwright.records.answers.programme.in_use import lines_in_use, programme_for_papers
from slipwright.records.answers.programme.paper_lines import PaperLine, all_lines, lines_to_print
from slipwright.records.answers.programme.papers import collecting_sheet, crew_sheet
from slipwright.records.answers.programme.table import COLUMNS, TEXTS, rows_of_programme
from slipwright.records.errors import NotFound, Refused
from slipwright.web.membership import GardenRequest, access
from slipwright.web.tongue import tongue

Size = Literal["a4", "letter"]
Made = Callable[[GardenRequest, Mapping[str, Any], Sequence[PaperLine], First, Size], bytes]


@require_safe
@access("member")
def collecting(request: GardenRequest) -> HttpResponse:
    """Give the collecting sheet of the programme in use, or of one week of it, as a PDF to print."""
    return _paper(request, _collecting, "collecting.pdf")


@require_safe
@access("member")
def crew(request: GardenRequest) -> HttpResponse:
    """Give the crew sheet of the programme in use, or of one week of it, as a PDF to print."""
    return _paper(request, _crew, "crew.pdf")


@require_safe
@access("member")
def programme_csv(request: GardenRequest) -> HttpResponse:
    """Give the programme in use as a table with every number of each line."""
    try:
        in_use = programme_for_papers(request.garden)
    except Refused as error:
        return _refused(request, error)
    lines = all_lines(request.garden, load_handbook(), in_use.content)
    table = b"".join(write_csv(COLUMNS, rows_of_programme(lines), TEXTS))
    named = {"Content-Disposition": 'attachment; filename="programme.csv"'}
    return HttpResponse(table, content_type="text/csv; charset=utf-8", headers=named)


def _paper(request: GardenRequest, made: Made, name: str) -> HttpResponse:
    week, units = _week(request), _one_of(request, "units", ("metric", "us")) or request.garden.units
    first: First = "us" if units == "us" else "metric"
    size = _one_of(request, "paper", ("a4", "letter")) or ("letter" if first == "us" else "a4")
    said = _one_of(request, "tongue", dict(settings.LANGUAGES)) or tongue()
    try:
        in_use = programme_for_papers(request.garden)
        found = lines_in_use(
            request.garden, load_handbook(), in_use, on=request.today, week=week, tongue=said
        )
        lines = lines_to_print(found, week=week)
    except Refused as error:
        return _refused(request, error)
    with translation.override(said):
        pdf = made(request, in_use.content, lines, first, "letter" if size == "letter" else "a4")
    shown = {"Content-Disposition": f'inline; filename="{name}"', "Content-Language": said}
    return HttpResponse(pdf, content_type="application/pdf", headers=shown)


def _collecting(
    request: GardenRequest, content: Mapping[str, Any], lines: Sequence[PaperLine], first: First, size: Size
) -> bytes:
    sheet = collecting_sheet(request.garden, content, lines, on=request.today, first=first)
    return collecting_pdf(sheet, paper=size, translate=_).pdf


def _crew(
    request: GardenRequest, content: Mapping[str, Any], lines: Sequence[PaperLine], first: First, size: Size
) -> bytes:
    sheet = crew_sheet(request.garden, content, lines, on=request.today, first=first)
    return crew_pdf(sheet, paper=size, translate=_).pdf


def _refused(request: GardenRequest, error: Refused) -> HttpResponse:
    told = {"title": _("No paper"), "why": in_tongue(error.reason, _)}
    return render(request, "web/refusal.html", told, status=422)


def _week(request: GardenRequest) -> date | None:
    said = request.GET.get("week", "").strip()
    if not said:
        return None
    try:
        return date.fromisoformat(said)
    except ValueError as error:
        raise NotFound(_("a week is named by a day of it, such as 2026-09-14")) from error


def _one_of(request: GardenRequest, name: str, choices: Any) -> str:
    """Return a word of a closed list that the address asks for; any other is as if not asked."""
    said = request.GET.get(name, "")
    return said if said in choices else ""
