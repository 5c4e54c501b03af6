"""The weather of the last days and the next, where it comes from, and bringing in a file of it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from slipwright.craft.errors import BadArgument
from slipwright.craft.weather_files import MOST_BYTES
from slipwright.outputs.charts.weather import DayBar, weather_chart
from slipwright.records import roles, weather_fetch
from slipwright.records.answers.weather import WeatherTold, weather_told
from slipwright.records.columns import table_named
from slipwright.records.errors import BadValue, Refused
from slipwright.records.keeping.weather import fetched_last
from slipwright.records.services.weather import WeatherKept, keep_weather_file
from slipwright.records.tables.loading import LoadFailed
from slipwright.web.asked import Posted, told
from slipwright.web.days import in_form
from slipwright.web.membership import GardenRequest, access

LABELS = {"file": gettext_lazy("The file"), "from_on": gettext_lazy("First day")}


@require_http_methods(["GET", "HEAD", "POST"])
@access("member")
def weather(request: GardenRequest) -> HttpResponse:
    """Show the garden's weather; take in a file of it."""
    if request.method != "POST":
        return _page(request)
    roles.require(request.member, roles.EDIT, request.garden)
    file = request.FILES.get("file")
    try:
        if file is None:
            raise BadValue("file", _("is missing: choose a file"))
        only_from = Posted(request).day("from_on")
        kept = keep_weather_file(
            garden=request.garden,
            by=request.member,
            now=request.now,
            content=file.read(MOST_BYTES + 1),
            only_from=only_from,
        )
    except BadValue as error:
        return _page(request, status=422, wrong=told(error, LABELS))
    except BadArgument as error:
        wrong = told(BadValue("file", _("cannot be read as weather: %(why)s") % {"why": error}), LABELS)
        return _page(request, status=422, wrong=wrong)
    except LoadFailed as error:
        return _page(request, status=503, refused=Refused(str(error)))
    return _page(request, status=422 if kept.report.n_rejected else 200, kept=kept)


def _page(
    request: GardenRequest, *, status: int = 200, kept: WeatherKept | None = None, **more: Any
) -> HttpResponse:
    found = weather_told(request.garden, on=request.today)
    sources = {one.source for one in found.sources}
    context = {
        "told": found,
        "rows": found.days[::-1],
        "chart": _chart(request, found),
        "has_usual": any(day.known_by == "usual" for day in found.days),
        "has_forecast": any(day.known_by == "forecast" for day in found.days),
        "gaps_shown": found.gaps[:12],
        "n_gaps_more": len(found.gaps[12:]),
        "credit": weather_fetch.CREDIT if weather_fetch.SOURCE in sources else None,
        "service": weather_fetch.SOURCE,
        "is_on": weather_fetch.is_on() and request.garden.stands_on is None,
        "is_set": bool(str(settings.WEATHER).strip()),
        "fetched": fetched_last(request.garden),
        "columns": table_named("weather").names,
        "may_edit": roles.may(request.member, roles.EDIT),
        "may_govern": roles.may(request.member, roles.GOVERN),
        "kept": kept,
    }
    return render(request, "web/weather.html", context | more, status=status)


def _chart(request: GardenRequest, found: WeatherTold) -> str:
    if len(found.days) < 2:
        return ""
    return weather_chart(
        [DayBar(day.on, day.low_c, day.high_c, day.known_by) for day in found.days],
        _("The coldest and warmest of each day; the table says the same."),
        first="us" if request.garden.units == "us" else "metric",
        day_words=lambda on: in_form(on, "j M"),
    )
