"""The first run, and coming in and going out."""

from __future__ import annotations

import zoneinfo
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth import logout, update_session_auth_hash
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from slipwright.handbook import load_handbook
from slipwright.records import services, words
from slipwright.records.canonical import Value
from slipwright.records.errors import BadValue, OnAPhone, Overheard, Refused
from slipwright.records.selectors import (
    demonstration_stands,
    nobody_in_charge,
    nobody_yet,
    owners_without_sign_in,
)
from slipwright.records.services.door_book import keep_came_in, keep_door_event
from slipwright.records.services.people import end_phones, end_sessions, let_phone_out
from slipwright.records.services.throttle import one_at_a_time
from slipwright.web.asked import Posted, told
from slipwright.web.coming_in import come_in
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.tries import count_wrong_code, require_code_tries, who_is
from slipwright.web.views.garden import garden_page

#: so many plants are offered for a name
OFFERED = 6
RIGHTS = ("none", "unknown", "protected")
AS_WRITTEN = "as-written"
_CONTINENTS = (
    "Africa",
    "America",
    "Antarctica",
    "Arctic",
    "Asia",
    "Atlantic",
    "Australia",
    "Europe",
    "Indian",
    "Pacific",
)


@dataclass(frozen=True, slots=True)
class Found:
    """A plant offered for a name in plain words."""

    taxon: str
    common_name: str
    older_name: str
    exact: bool


@access("open", is_private=True)
@never_cache
@sensitive_post_parameters("password", "code")
@require_http_methods(["GET", "POST"])
def set_up(request: GardenRequest) -> HttpResponse:
    """Show the first run; make the first person, their garden, one place and one plant."""
    if not nobody_in_charge():
        return _already_set_up(request)
    if request.method == "GET":
        return _set_up_page(request, {})
    asked = Posted(request)
    found = _find(asked.text("plant"))
    if "find" in request.POST:
        return _set_up_page(request, {"found": found, "asked_for": asked.text("plant")})
    try:
        taxon = _chosen_taxon(asked, found)
        if taxon is None:
            page = {"found": found, "asked_for": asked.text("plant"), "must_choose": True}
            return _set_up_page(request, page, status=422)
        require_code_tries(request)
        with one_at_a_time():
            member = _made(request, asked, taxon)
    except BadValue as error:
        return _set_up_page(request, {"wrong": _told(error), "found": found}, status=422)
    except Refused as error:
        count_wrong_code(request)
        return _set_up_page(request, {"refused": error, "found": found}, status=422)
    come_in(request, member.user)
    return redirect("stick")


def _already_set_up(request: GardenRequest) -> HttpResponse:
    """Answer that there is no such page; a second press of the one button goes where the first went.

    Whoever is signed in here already goes on to Today.
    """
    if request.method == "POST":
        user = _who(request)
        if user is not None:
            come_in(request, user)
            return redirect("stick")
    if request.member:
        return redirect("today")
    raise Http404


def _made(request: GardenRequest, asked: Posted, taxon: str) -> Any:
    username, password = asked.text("username"), request.POST.get("password", "")
    if owner := asked.whole("owner"):
        return services.take_over(
            code=asked.text("code"), now=request.now, owner=owner, username=username, password=password
        )
    place = asked.text("place")
    plant = asked.text("plant")
    return services.set_up_garden(
        code=asked.text("code"),
        now=request.now,
        garden=_garden_row(asked),
        username=username,
        password=password,
        shown_as=asked.text("shown_as"),
        place=_place_row(asked) if place else None,
        taxon=_taxon_row(asked, taxon, plant) if plant else None,
        plant={"plant": plant, "taxon": taxon, "place": place or None} if plant else None,
    )


def _garden_row(asked: Posted) -> dict[str, Value]:
    if not (zone := asked.word("time_zone", _zones())):
        raise BadValue("time_zone", _("must be chosen"))
    if not (name := asked.text("name")):
        raise BadValue("name", _("must be given"))
    return {
        "name": name,
        "latitude_deg": _degrees(asked, "latitude", 90, "N", "S"),
        "longitude_deg": _degrees(asked, "longitude", 180, "E", "W"),
        "time_zone": zone,
        "units": asked.word("units", words.UNITS),
    }


def _degrees(asked: Posted, name: str, most: int, plus: str, minus: str) -> Decimal:
    degrees = asked.number(name)
    if degrees is None:
        raise BadValue(name, _("must be given; a degree is near enough"))
    if not 0 <= degrees <= most:
        raise BadValue(name, _("must be between 0 and %(most)s") % {"most": most}, degrees)
    side = asked.word(f"{name}_side", (plus, minus)) or plus
    return degrees.copy_negate() if side == minus else degrees


def _place_row(asked: Posted) -> dict[str, Value]:
    return {
        "place": asked.text("place"),
        "kind": asked.word("kind", words.PLACE_KINDS) or "shelf",
        "cover": asked.word("cover", words.COVERS),
    }


def _taxon_row(asked: Posted, taxon: str, plant: str) -> dict[str, Value]:
    row: dict[str, Value] = {"taxon": taxon, "rights": asked.word("rights", RIGHTS) or "unknown"}
    if taxon.casefold() != plant.casefold():
        row["common_name"] = plant
    return row


def _find(plant: str) -> list[Found]:
    """Return the plants the handbook knows by a name, the best first."""
    if not plant:
        return []
    found = []
    for match in load_handbook().find(plant)[:OFFERED]:
        page, taxon = match.page, match.taxon
        common = next((name for name in page.common_names if page.taxon_of[name] == taxon), "")
        older = next((name for name in page.synonyms if page.taxon_of[name] == taxon), "")
        found.append(Found(taxon, common, older, match.exact))
    return found


def _chosen_taxon(asked: Posted, found: list[Found]) -> str | None:
    """Return the taxon to write down; ``None`` where a person must say which is meant."""
    plant = asked.text("plant")
    if not plant or not found:
        return plant
    said = asked.text("taxon") if asked.text("asked_for") == plant else ""
    if said == AS_WRITTEN:
        return plant
    if said in [one.taxon for one in found]:
        return said
    return found[0].taxon if found[0].exact else None


def _zones() -> list[str]:
    return sorted(
        name for name in zoneinfo.available_timezones() if name.split("/")[0] in _CONTINENTS or name == "UTC"
    )


def _told(error: BadValue) -> dict[str, Any]:
    """Return what is wrong, under the name the page gives the field."""
    names = {
        "name": _("Name of the garden"),
        "latitude": _("Latitude"),
        "longitude": _("Longitude"),
        "time_zone": _("Time zone"),
        "username": _("Sign-in name"),
        "member": _("Sign-in name"),
        "password": _("Password"),
        "old": _("Password you have now"),
        "place": _("Name of the place"),
        "plant": _("Name of the plant"),
        "taxon": _("Name of the plant"),
    }
    return told(error, names)


def _set_up_page(request: GardenRequest, page: dict[str, Any], status: int = 200) -> HttpResponse:
    zones: dict[str, list[str]] = {}
    for zone in _zones():
        zones.setdefault(zone.split("/")[0], []).append(zone)
    page |= {
        "typed": request.POST,
        "code": request.POST.get("code") or request.GET.get("code", ""),
        "owners": owners_without_sign_in(),
        "zones": zones,
        "kinds": _choices(words.PLACE_KINDS),
        "covers": _choices(words.COVERS),
        "rights": _choices(RIGHTS),
        "asked_for": page.get("asked_for", request.POST.get("plant", "").strip()),
        "as_written": AS_WRITTEN,
    }
    return render(request, "web/set_up.html", page, status=status)


def _choices(chosen: Collection[str]) -> list[tuple[str, str, str]]:
    said = {
        "bench": (_("Bench"), ""),
        "frame": (_("Frame"), ""),
        "shelf": (_("Shelf"), ""),
        "nursery": (_("Nursery"), ""),
        "mist": (_("Mist"), ""),
        "tent": (_("Tent"), _("bag or sheet")),
        "open": (_("Open"), ""),
        "none": (_("None"), ""),
        "unknown": (_("Don't know"), ""),
        "protected": (_("Protected"), ""),
    }
    return [(word, *said[word]) for word in chosen]


@access("open")
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: GardenRequest) -> HttpResponse:
    """Let in whoever knows a name and its password."""
    if nobody_yet():
        return redirect("set-up")
    onward = own_path(request.POST.get("next") or request.GET.get("next") or "")
    if request.method == "POST" and request.is_overheard:
        raise Overheard
    if request.method == "POST":
        user = _who(request)
        if user is not None:
            come_in(request, user)
            return redirect(onward)
        page = {"next": onward, "username": request.POST.get("username", ""), "is_wrong": True}
        return _sign_in_page(request, page, status=422)
    if request.member:
        return redirect(onward)
    return _sign_in_page(request, {"next": onward, "of_no_garden": request.user.is_authenticated})


def _sign_in_page(request: GardenRequest, page: dict[str, Any], status: int = 200) -> HttpResponse:
    """Show the page; of a demonstration it tells how to come in again, for nobody there has a password."""
    page |= {"of_demo": demonstration_stands(), "may_set_up": nobody_in_charge()}
    return render(request, "web/sign_in.html", page, status=status)


@access("open")
@require_POST
def sign_out(request: GardenRequest) -> HttpResponse:
    """Forget who was signed in here, or wherever they are; a phone that was let in is let out."""
    if request.device is not None:
        let_phone_out(by=request.member, now=request.now, device=request.device.device)
    elif request.user.is_authenticated:
        keep_came_in(user=request.user, what="signed-out", now=request.now)
        if "everywhere" in request.POST:
            end_phones(user=request.user, now=request.now)
            end_sessions(request.user)
    logout(request)
    answer = redirect("sign-in")
    if request.is_secure():
        # never "storage": what a phone has not sent yet lies there
        answer["Clear-Site-Data"] = '"cache"'
    return answer


@require_POST
@access("member", is_private=True)
@never_cache
@sensitive_post_parameters("password", "old")
def password(request: GardenRequest) -> HttpResponse:
    """Give whoever is signed in a new password; this device stays signed in, others and phones do not."""
    user: Any = request.user
    if request.device is not None:
        raise OnAPhone(request.member.member, request.member.role, "set a password")
    try:
        if user.has_usable_password() and who_is(request, user.username, request.POST.get("old", "")) != user:
            raise BadValue("old", _("is not the one you have now"))
        with one_at_a_time():
            services.set_password(user=user, password=request.POST.get("password", ""))
    except BadValue as error:
        return garden_page(request, status=422, wrong=_told(error))
    end_phones(user=user, now=request.now)
    keep_door_event(what="password", now=request.now, member=request.member)
    update_session_auth_hash(request, user)
    remember(request, _("The new password is kept."), [])
    return redirect("garden")


@access("open", is_private=True)
@never_cache
@require_http_methods(["GET", "POST"])
def let_in(request: GardenRequest, code: str) -> HttpResponse:
    """Show one button; pressing it spends the code, looking at the page does not.

    The browser that was let in by it, and is signed in still, goes on to Today.
    """
    if request.member and request.session.get("let_in_by") == code:
        return redirect("today")
    if request.method == "GET":
        return _sign_in_page(request, {"by_code": True})
    try:
        require_code_tries(request)
        user = services.spend_code(purpose="sign-in", code=code, now=request.now)
        if user is None or not user.is_active:
            raise Refused(_("This code is not known, was used already, or has run out."))
    except Refused as error:
        count_wrong_code(request)
        return _sign_in_page(request, {"by_code": True, "refused": error}, status=422)
    come_in(request, user, "let-in")
    request.session["let_in_by"] = code  # spent: it lets nobody in any more
    return redirect("today")


def _who(request: HttpRequest) -> Any:
    """Return who has the name and password of a form."""
    return who_is(request, request.POST.get("username", "").strip(), request.POST.get("password", ""))


def own_path(path: str) -> str:
    """Return a path of these pages; today's, where it leads anywhere else."""
    is_own = path.startswith("/") and url_has_allowed_host_and_scheme(path, allowed_hosts=None)
    return path if is_own else reverse("today")
