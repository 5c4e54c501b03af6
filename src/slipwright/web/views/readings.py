"""What instruments read: the newest of each place, bringing in a table of them, and who may send."""

from __future__ import annotations

import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from slipwright.outputs.charts.course import course_chart
from slipwright.records import roles, selectors, services
from slipwright.records.answers.air import AirAt, air_of_places
from slipwright.records.columns import table_named
from slipwright.records.errors import BadValue, Refused
from slipwright.records.keeping import standing
from slipwright.records.tables.loading import LoadFailed, load
from slipwright.records.tables.report import LoadReport
from slipwright.web.asked import Posted, told
from slipwright.web.days import in_form
from slipwright.web.membership import GardenRequest, access

#: bad lines told on the page; the rest are counted
SHOWN = 50
LABELS = {"name": gettext_lazy("Name"), "file": gettext_lazy("The table")}


@require_http_methods(["GET", "HEAD", "POST"])
@access("member")
def readings(request: GardenRequest) -> HttpResponse:
    """Show the newest readings of each place; take in a table of them."""
    if request.method != "POST":
        return _page(request)
    roles.require(request.member, roles.EDIT, request.garden)
    table = request.FILES.get("file")
    if table is None:
        wrong = told(BadValue("file", _("is missing: choose a file")), LABELS)
        return _page(request, status=422, wrong=wrong)
    try:
        report = _loaded(request, table.read())
    except LoadFailed as error:
        return _page(request, status=503, refused=Refused(str(error)))
    return _page(request, status=422 if report.n_rejected else 200, report=report, shown=SHOWN)


def _loaded(request: GardenRequest, table: bytes) -> LoadReport:
    """Load one table of readings as ``slipwright load`` does: all of it, or nothing."""
    with tempfile.TemporaryDirectory(prefix="slipwright-readings-") as folder:
        Path(folder, "readings.csv").write_bytes(table)
        report = load(Path(folder), now=request.now, within=str(request.garden.garden))
    if report.accepted and not report.n_rejected:
        with suppress(OSError):  # the readings are kept; the helper makes its copies all the same
            standing.ask_for_copy()
    return report


def _page(request: GardenRequest, *, status: int = 200, **more: Any) -> HttpResponse:
    context = {
        "places": [shown_air(request, air) for air in air_of_places(request.garden)],
        "columns": table_named("readings").names,
        "may_edit": roles.may(request.member, roles.EDIT),
        "may_govern": roles.may(request.member, roles.GOVERN),
    }
    return render(request, "web/readings.html", context | more, status=status)


def shown_air(request: GardenRequest, air: AirAt) -> dict[str, Any]:
    """Return the air of a place as pages show it, with its chart."""
    chart = ""
    if len(air.course) > 1:
        title = _("Vapour pressure deficit at %(place)s over two days, in kPa; the table says the same.")
        chart = course_chart(
            air.course,
            title % {"place": air.place},
            unit="kPa",
            day_words=lambda at: in_form(at, "j M"),
        )
    return {"air": air, "chart": chart, "rows": air.reads[::-1][:48]}


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.GOVERN, sure=True)
def instruments(request: GardenRequest) -> HttpResponse:
    """Show who may send readings; make a token, whose secret is shown this once, or end one."""
    posted = Posted(request)
    trouble: dict[str, Any] = {}
    if request.method == "POST":
        who: dict[str, Any] = {"garden": request.garden, "by": request.member, "now": request.now}
        if (ends := posted.whole("ends")) is not None:
            services.end_token(**who, token=ends)
            return redirect("instruments")
        try:
            token, secret = services.make_token(**who, name=posted.text("name"))
            trouble = {"made": token, "secret": secret}
        except BadValue as error:
            trouble = {"wrong": told(error, LABELS)}
    context = {
        "tokens": selectors.tokens_of(request.garden),
        "address": request.build_absolute_uri("/api/readings"),
        "is_here_only": not settings.PAGES_AT and not request.is_overheard and not request.is_secure(),
    }
    answer = render(
        request, "web/instruments.html", context | trouble, status=422 if "wrong" in trouble else 200
    )
    answer["Cache-Control"] = "no-store"
    return answer
