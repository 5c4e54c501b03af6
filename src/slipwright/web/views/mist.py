"""Mist times: how often and how long by the hour, what was seen of the bed, a test of the nozzles."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import dateformat
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from slipwright.craft.errors import BadArgument
from slipwright.outputs.charts.mist_bars import mist_bars
from slipwright.records import roles, selectors, services
from slipwright.records.answers.mist import MistOn, mist_bed, rate_by_cans, weather_by_hand
from slipwright.records.errors import BadValue, NotFound, Refused
from slipwright.records.models import Place, WeatherDay
from slipwright.records.services.entry import id_beside
from slipwright.records.words import BEDS_SEEN
from slipwright.web.asked import Posted, told
from slipwright.web.membership import GardenRequest, access
from slipwright.web.mist_words import BEDS, about_min, matrix, told_day
from slipwright.web.saved import remember

#: how beds stand, kept for each place in the session of whoever said it
_KEPT = "mist_beds"
LABELS = {
    "caught_ml": gettext_lazy("Water in a can, ml"),
    "can_diameter_mm": gettext_lazy("Width of its mouth, mm"),
    "minutes": gettext_lazy("Minutes the mist ran"),
    "tmin": gettext_lazy("Lowest, °C"),
    "tmax": gettext_lazy("Highest, °C"),
    "rh": gettext_lazy("Mean humidity, %"),
    "at": gettext_lazy("When"),
    "seen": gettext_lazy("What was seen"),
    "mist_mm_per_min": gettext_lazy("Rate of the nozzles"),
}


@require_safe
@access("member")
def mist(request: GardenRequest) -> HttpResponse:
    """Show the mist times of a bed for today and the days there is weather for."""
    return _page(request, request.GET.get("place", ""))


@require_POST
@access(roles.RECORD)
def seen(request: GardenRequest) -> HttpResponse:
    """Record what was seen of a mist bed: its times are shorter or longer from then on."""
    posted = Posted(request)
    place = posted.text("place")
    try:
        word = posted.word("seen", BEDS_SEEN)
        if not word:
            raise BadValue("seen", _("must be one of the choices"))
        entry = services.record_bed(
            garden=request.garden,
            by=request.member,
            now=request.now,
            place=place,
            at=_at(posted),
            seen=word,
            # one form, two buttons: each is a record of its own
            entry_id=id_beside(entry_id, word) if (entry_id := posted.text("entry_id")) else "",
        )
    except BadValue as error:
        return _page(request, place, status=422, wrong=told(error, LABELS))
    words = (
        _("%(place)s: leaves dry before the burst. A quarter sooner from now on.")
        if word == "leaves-dry"
        else _("%(place)s: medium stays soggy. A quarter later from now on.")
    )
    remember(request, words % {"place": place}, [entry])
    if posted.text("back") == "today":
        return redirect("today")
    return redirect(_address(place))


@require_POST
@access(roles.EDIT)
def nozzles(request: GardenRequest) -> HttpResponse:
    """Keep what the nozzles of a bench give, from a catch-can test."""
    posted = Posted(request)
    place = posted.text("place")
    typed = {name: posted.text(name) for name in ("caught_ml", "can_diameter_mm", "minutes")}
    try:
        given = {name: posted.number(name) for name in typed}
        for name, value in given.items():
            if value is None:
                raise BadValue(name, _("is missing"))
        rate = rate_by_cans(**given)  # type: ignore[arg-type]
        services.edit_reference(
            garden=request.garden,
            by=request.member,
            now=request.now,
            table="places",
            key=(place,),
            changes={"mist_mm_per_min": rate},
        )
    except BadArgument as error:
        wrong = told(BadValue(error.argument, _("must be above 0"), error.value), LABELS)
        return _page(request, place, status=422, wrong=wrong, typed=typed)
    except BadValue as error:
        return _page(request, place, status=422, wrong=told(error, LABELS), typed=typed)
    except Refused as error:
        return _page(request, place, status=422, refused=error, typed=typed)
    remember(request, _("Kept: %(place)s gives %(rate)s mm a minute") % {"place": place, "rate": rate}, [])
    return redirect(_address(place))


def _page(request: GardenRequest, named: str, *, status: int = 200, **more: Any) -> HttpResponse:
    places = selectors.mist_places(request.garden)
    place = next((one for one in places if one.place == named), None)
    if named and place is None:
        raise NotFound(_("there is no place under mist called %(name)s") % {"name": named})
    place = place or next(iter(places), None)
    context: dict[str, Any] = {"places": places, "place": place}
    if place is not None:
        by_hand: WeatherDay | None = None
        try:
            by_hand = _by_hand(request)
        except BadValue as error:
            more.setdefault("wrong", told(error, LABELS))
            status = max(status, 422)
        context |= _shown(request, place, by_hand)
    return render(request, "web/mist.html", context | more, status=status)


def _shown(request: GardenRequest, place: Place, by_hand: WeatherDay | None) -> dict[str, Any]:
    bed = _bed(request, place)
    found = mist_bed(request.garden, place, on=request.today, now=request.now, bed=bed, by_hand=by_hand)
    days = [_day(one, n) for n, one in enumerate(found.days)]
    first = days[0] if days and found.days[0].on == request.today else None
    return {
        "bed": found,
        "beds": [(key, words, more, key == found.bed) for key, words, more in BEDS],
        "first": first,
        "days": days[1:] if first else days,
        "matrix": matrix(found.days),
        "now_every": about_min(found.now.between.mid) if found.now and found.now.between else "",
        "answer": told_day(found.days[0]) if first else None,
        "entry_id": uuid4(),
        "at": _now_there(request),
        "asked": {name: request.GET.get(name, "") for name in ("tmin", "tmax", "rh")},
    }


def _day(day: MistOn, n: int) -> dict[str, Any]:
    title = _("Bursts of mist by the hour on %(day)s; the table says the same.")
    shown = told_day(day)
    return {
        "day": day,
        "n": n,
        "hours": shown.hours,
        "last": shown.last,
        "every": shown.every,
        "at": shown.at,
        "chart": mist_bars(
            shown.bars,
            title % {"day": dateformat.format(day.on, _("l j F"))},
            a_burst=_("%(n)s an hour") % {"n": shown.most},
        )
        if shown.bars
        else "",
    }


def _by_hand(request: GardenRequest) -> WeatherDay | None:
    """Return today's weather as typed on the page, or None where nobody typed it."""
    asked = _Asked(request)
    tmin_c, tmax_c, rh = (asked.number(name) for name in ("tmin", "tmax", "rh"))
    if tmin_c is None and tmax_c is None:
        return None
    for name, value, low, high in (("tmin", tmin_c, -40, 50), ("tmax", tmax_c, -40, 55), ("rh", rh, 1, 100)):
        if value is None and name != "rh":
            raise BadValue(name, _("is missing"))
        if value is not None and not low <= value <= high:
            raise BadValue(name, _("must lie between %(a)d and %(b)d") % {"a": low, "b": high}, value)
    if tmin_c > tmax_c:  # type: ignore[operator]
        raise BadValue("tmax", _("must not lie below the lowest"), tmax_c)
    return weather_by_hand(request.today, tmin_c=tmin_c, tmax_c=tmax_c, rh_mean_percent=rh)  # type: ignore[arg-type]


class _Asked(Posted):
    """The fields of an address, read as those of a form."""

    def __init__(self, request: GardenRequest) -> None:
        self._fields = request.GET


def _bed(request: GardenRequest, place: Place) -> Any:
    """Return how the bed stands: as said now, as said before on this device, else sheltered."""
    known = {key for key, *_ in BEDS}
    kept: dict[str, str] = request.session.get(_KEPT, {})
    said = request.GET.get("bed", "")
    if said in known and kept.get(place.place) != said:
        kept = {**kept, place.place: said}
        request.session[_KEPT] = kept
    found = kept.get(place.place, "")
    return found if found in known else "sheltered"


def _at(posted: Posted) -> datetime:
    try:
        at = datetime.fromisoformat(posted.text("at"))
    except ValueError:
        raise BadValue("at", _("must be a moment"), posted.text("at")) from None
    if at.tzinfo is None:
        raise BadValue("at", _("must be a moment"), posted.text("at"))
    return at


def _now_there(request: GardenRequest) -> str:
    return request.now.astimezone(ZoneInfo(request.garden.time_zone)).isoformat(timespec="seconds")


def _address(place: str) -> str:
    return f"{reverse('mist')}?{urlencode({'place': place})}"
