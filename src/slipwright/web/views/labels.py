"""Labels: which batches, on what, how many; and the file to print."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from slipwright.outputs import labels as printing
from slipwright.outputs.measures import day_text
from slipwright.outputs.stock import STOCKS, StockError, parse_stock
from slipwright.records import selectors
from slipwright.records.answers.labels import copies_of, labels_for
from slipwright.records.errors import BadValue, Refused
from slipwright.web.asked import Posted
from slipwright.web.membership import GardenRequest, access

#: batches stuck within these days are ticked unless others are asked for
RECENT = timedelta(days=14)
MOST_NAMED = 500
#: codes that are nobody's, of which so many are told
MOST_TOLD = 12


@require_http_methods(["GET"])
@access("member")
def labels(request: GardenRequest) -> HttpResponse:
    """Show the batches that can be labelled and what to print them on."""
    return _page(request)


@require_http_methods(["GET"])
@access("member")
def labels_pdf(request: GardenRequest) -> HttpResponse:
    """Return the labels of the batches asked for, as pages to print."""
    asked = _Asked(request)
    try:
        named = asked.getlist("b")[:MOST_NAMED]
        if not named:
            raise BadValue("b", _("tick at least one batch"))
        if unknown := selectors.batches_named(request.garden, named).unknown:
            raise BadValue("b", _not_found(unknown))
        stock = parse_stock(_stock(asked))
        skip = asked.whole("skip") or 0
        if skip >= stock.n_on_paper:
            raise BadValue("skip", _("must be fewer than the %(n)s on a sheet") % {"n": stock.n_on_paper})
        found, left_out = labels_for(
            request.garden,
            named,
            since=None,
            on=request.today,
            one_each=asked.word("copies", ("one", "two")) == "one",
        )
        if not found:
            raise BadValue("b", " ".join(left_out) or _("these batches are no longer there"))
        printed = printing.labels_pdf(
            found,
            stock,
            title=_("Labels, %(on)s") % {"on": day_text(request.today)},
            garden=request.garden.name,
            base=settings.LABEL_BASE,
            skip=skip,
        )
    except BadValue as error:
        return _page(request, 422, wrong={"label": _field(error.column), "rule": error.rule})
    except StockError as error:
        return _page(request, 422, wrong={"label": _("Paper"), "rule": str(error)})
    except Refused as error:
        return _page(request, 422, refused=error)
    request.session["stock"] = stock.name
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="labels-{request.today.isoformat()}.pdf"'
    return answer


def _not_found(codes: Sequence[str]) -> str:
    told = ", ".join(codes[:MOST_TOLD])
    if len(codes) > MOST_TOLD:
        told += " …"
    return ngettext("there is no batch %(codes)s", "there are no batches %(codes)s", len(codes)) % {
        "codes": told
    }


def _field(column: str) -> str:
    return {
        "b": _("Batches"),
        "skip": _("Labels already used"),
        "copies": _("How many"),
        "width_mm": _("Width"),
        "height_mm": _("Height"),
    }.get(column, _("Print on"))


class _Asked(Posted):
    """The same readers for what stands in the address."""

    def __init__(self, request: HttpRequest) -> None:
        super().__init__(request)
        self._fields = request.GET

    def getlist(self, name: str) -> list[str]:
        """Return every value of a field."""
        return [value for value in self._fields.getlist(name) if value]


def _stock(asked: _Asked) -> str:
    named = asked.text("stock") or "stake"
    if named != "own":
        return named
    width, height = asked.number("width_mm"), asked.number("height_mm")
    if width is None or height is None:
        raise BadValue("stock", _("give width and height of one label"))
    return f"{float(width):g}x{float(height):g}mm"


def _page(request: GardenRequest, status: int = 200, **more: Any) -> HttpResponse:
    asked = _Asked(request)
    named = asked.getlist("b")[:MOST_NAMED]
    try:
        since = asked.day("since") or request.today - RECENT
    except BadValue as error:
        return _page_of(request, named, request.today - RECENT, 422, wrong=error)
    return _page_of(request, named, since, status, **more)


def _page_of(request: GardenRequest, named: list[str], since: Any, status: int, **more: Any) -> HttpResponse:
    found = list(reversed(selectors.labels_of(request.garden, on=request.today)))
    known = {one.batch for one in found}
    asked = selectors.batches_named(request.garden, named)
    wanted = {batch.batch for batch in asked.batches}
    if asked.unknown and not more:
        more["wrong"] = {"label": _("Batches"), "rule": _not_found(asked.unknown)}
    if further := wanted - known:
        found = [*selectors.labels_of(request.garden, further, on=request.today), *found]
    chosen = [one for one in found if (one.batch in wanted if named else one.stuck_on >= since)]
    ticked = {one.batch for one in chosen if one.rights.allowed or one.batch in wanted}
    stock = request.GET.get("stock") or request.session.get("stock", "stake")
    context: dict[str, Any] = {
        "chosen": chosen,
        "others": (others := [one for one in found if one not in chosen]),
        "n_others": len(others),
        "ticked": ticked,
        "n_labels": {one.batch: copies_of(one) for one in found},
        "since": since,
        "named": named,
        "typed": request.GET,
        "stock": stock if stock in STOCKS else "own",
        "own": stock.removesuffix("mm").split("x") if "x" in stock else ("", ""),
        **more,
    }
    return render(request, "web/labels.html", context, status=status)
