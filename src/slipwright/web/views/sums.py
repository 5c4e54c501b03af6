"""Sums of the bench: open to anybody, nothing asked is kept, and the question stands in the address."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.advice.sums import SUMS, Reckoned, Sum
from slipwright.craft.errors import BadArgument, OutOfReach
from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.records.errors import BadValue, NotFound
from slipwright.web.membership import GardenRequest, access
from slipwright.web.sums_form import Shown, is_asked, read_all, shown_blanks, split_lengths
from slipwright.web.templatetags.slip import day_year
from slipwright.web.tongue import tongue


@require_safe
@access("open")
def sums(request: GardenRequest) -> HttpResponse:
    """List the sums."""
    groups = [(group, list(some)) for group, some in groupby(SUMS.values(), key=lambda one: one.group)]
    return render(request, "web/sums.html", {"groups": groups})


@require_safe
@access("open")
def one_sum(request: GardenRequest, name: str) -> HttpResponse:
    """Ask a sum, and answer it."""
    one = SUMS.get(name)
    if one is None:
        raise NotFound(_("There is no such sum."))
    if not is_asked(request, one):
        return _page(request, one, {})
    given, wrongs = read_all(request, one)
    if wrongs:
        return _page(request, one, wrongs)
    us = bool(request.garden and request.garden.units == "us")
    try:
        found = one.reckon(given, "us" if us else "metric")
    except BadArgument as error:
        return _page(request, one, _wrong_of(request, one, error))
    except OutOfReach:
        never = _("gives no number to stick that is sure enough")
        return _page(request, one, {"rooted": BadValue("rooted", never, request.GET.get("rooted"))})
    return _page(request, one, {}, found)


def _page(
    request: GardenRequest, one: Sum, wrongs: dict[str, BadValue], found: Reckoned | None = None
) -> HttpResponse:
    fields, more = shown_blanks(request, one, wrongs)
    asks_again = found is not None and bool(found.doubts) and request.GET.get("sure") != "yes"
    shown: dict[str, Any] = {
        "one": one,
        "fields": fields,
        "more": more,
        "more_open": any(field.wrong for field in more),
        "wrongs": wrongs,
        "found": None if asks_again else found,
        "doubts": found.doubts if found else (),
        "asks_again": asks_again,
    }
    if found is not None:
        typed = [field for field in (*fields, *more) if field.typed]
        shown["from"] = [(field.blank.label, _echo(field), field.blank.unit) for field in typed]
        shown["sure"] = urlencode([*((field.blank.name, field.typed) for field in typed), ("sure", "yes")])
    if any(field.blank.name == "plant" for field in fields):
        shown["names"] = _plants()
    return render(request, "web/sum.html", shown, status=422 if wrongs or asks_again else 200)


def _wrong_of(request: GardenRequest, one: Sum, error: BadArgument) -> dict[str, BadValue]:
    """Return an argument that would not do as the field it came from."""
    blank = one.blank_of(error.argument)
    name = blank.name if blank else ""
    rule = _("must %(rule)s") % {"rule": in_tongue(error.rule, _)}
    return {name: BadValue(name or error.argument, rule, request.GET.get(name) or None)}


def _echo(field: Shown) -> str:
    """Return what was typed as the answer repeats it."""
    if field.blank.kind == "word":
        return dict(field.blank.choices)[field.typed]
    if field.blank.kind == "day":
        return day_year(date.fromisoformat(field.typed))
    if field.blank.kind == "lengths":
        return ", ".join(split_lengths(field.typed))
    return field.typed


def _plants() -> list[str]:
    names = {name for page in load_handbook().pages for name in (*page.common_names_in(tongue()), *page.taxa)}
    return sorted(names, key=str.lower)
