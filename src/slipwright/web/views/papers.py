"""Papers to take to the bench."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs.sheet import stick_sheet_pdf
from slipwright.records.answers.papers import sheet_for
from slipwright.records.errors import NotFound, Refused
from slipwright.web.membership import GardenRequest, access


@require_safe
@access("member")
def sheet_pdf(request: GardenRequest) -> HttpResponse:
    """Give the stick sheet of a want, or of a batch by its code, as a PDF to print."""
    named = request.GET.get("for", "").strip()
    if not named:
        raise NotFound(_("say which want or batch the sheet is for"))
    try:
        filled = sheet_for(request.garden, load_handbook(), named, on=request.today)
    except Refused as error:
        told = {"title": _("No sheet"), "why": in_tongue(error.reason, _)}
        return render(request, "web/refusal.html", told, status=422)
    paper = "letter" if request.garden.units == "us" else "a4"
    printed = stick_sheet_pdf(filled, paper=paper, base=settings.LABEL_BASE, translate=_)  # type: ignore[arg-type]
    shown = {"Content-Disposition": 'inline; filename="sheet.pdf"'}
    return HttpResponse(printed.pdf, content_type="application/pdf", headers=shown)
