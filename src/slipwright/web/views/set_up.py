"""The first run: the first person, their garden, one place and one plant."""

from __future__ import annotations

import zoneinfo
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from slipwright.handbook import load_handbook
from slipwright.records import services, words
from slipwright.records.canonical import Value
from slipwright.records.errors import BadValue, Refused
from slipwright.records.selectors import nobody_in_charge, owners_without_sign_in
from slipwright.records.services.throttle import one_at_a_time
from slipwright.web.asked import Posted, told
from slipwright.web.coming_in import come_in
from slipwright.web.membership import GardenRequest, access
from slipwright.web.tries import count_wrong_code, require_code_tries, who_typed

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
        user = who_typed(request)
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
        plant={"plant": plant, "taxon": taxon} if plant else None,
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
