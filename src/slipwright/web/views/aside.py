"""What was set aside and what does not agree: kept as it was written until a person decides."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from slipwright.records import roles, selectors, services, words
from slipwright.records.answers.set_aside import told_aside, told_asides
from slipwright.records.errors import Ambiguous, BadValue, Clash, NotAllowed, Refused
from slipwright.records.models import Look
from slipwright.records.services import Answer
from slipwright.web.aside_words import RIVAL_COLUMNS, label, line_in_words, said_of_look, settled_words
from slipwright.web.asked import Posted
from slipwright.web.membership import GardenRequest, access
from slipwright.web.posted_json import NotJson, read_json
from slipwright.web.saved import remember
from slipwright.web.templatetags.entries import told_of
from slipwright.web.views.sync import records_of

#: the file a phone writes what it keeps to
MOST_BYTES = 5_000_000


@require_safe
@access(roles.SETTLE)
def asides(request: GardenRequest) -> HttpResponse:
    """List what waits for a person to decide."""
    return _list(request)


def _list(request: GardenRequest, *, status: int = 200, **more: Any) -> HttpResponse:
    told = told_asides(request.garden, selectors.open_asides(request.garden))
    context = {
        "asides": told,
        "n_asides": selectors.n_asides(request.garden),
        "rivals": selectors.batches_with_rivals(request.garden),
        "clocks": selectors.clocks_off(request.garden, request.now),
    }
    return render(request, "web/asides.html", context | more, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.SETTLE)
def aside(request: GardenRequest, pk: int) -> HttpResponse:
    """Show one thing that was set aside beside what the garden has, and settle it."""
    found = selectors.aside_of(request.garden, pk)
    trouble: dict[str, Any] = {}
    if request.method == "POST":
        posted = Posted(request)
        try:
            settled_as = posted.word("settled_as", words.SETTLED_AS)
            services.settle_aside(
                garden=request.garden,
                by=request.member,
                now=request.now,
                aside=found.pk,
                settled_as=settled_as,
                ground=posted.word("ground", words.GROUNDS),
            )
        except NotAllowed:
            raise
        except (Refused, Clash, BadValue, Ambiguous) as error:
            trouble = _trouble(error)
        else:
            remember(request, settled_words(settled_as), [])
            return redirect("asides")
    told = told_aside(request.garden, found)
    context = {
        "told": told,
        "lines": [line_in_words(line) for line in told.lines if line.name != "batch" or line.differs],
        "grounds": words.GROUNDS if told.kind == "sticking" else (),
        "typed": request.POST,
    }
    return render(request, "web/aside.html", context | trouble, status=422 if trouble else 200)


def _trouble(error: Exception) -> dict[str, Any]:
    if isinstance(error, Refused):
        return {"refused": error}
    if isinstance(error, BadValue):
        return {"wrong": told_of(error)}
    return {"refused": Refused(str(error))}


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.SETTLE)
def two_looks(request: GardenRequest, code: str) -> HttpResponse:
    """Show the looks at a batch that were made after the same thing, and let a person pick one."""
    sticking = selectors.whole_batch(request.garden, code)
    trouble: dict[str, Any] = {}
    if request.method == "POST":
        try:
            picked = services.pick_look(
                garden=request.garden, by=request.member, now=request.now, look=Posted(request).text("look")
            )
        except NotAllowed:
            raise
        except Refused as refused:
            trouble = {"refused": refused}
        else:
            told = _("The counts of %(who)s stand.") % {"who": picked.by or _("nobody named")}
            remember(request, told, [])
            return redirect("batch", code=sticking.batch)
    groups = [_side_by_side(request, looks) for looks in selectors.rival_looks(request.garden, sticking)]
    context = {"stuck": sticking, "groups": groups}
    return render(request, "web/two_looks.html", context | trouble, status=422 if trouble else 200)


def _side_by_side(request: GardenRequest, looks: list[Look]) -> dict[str, Any]:
    zone = ZoneInfo(request.garden.time_zone)
    rows = []
    for name in RIVAL_COLUMNS:
        said = [said_of_look(look, name) for look in looks]
        if any(said):
            rows.append({"label": label("looks", name), "said": said, "differs": len(set(said)) > 1})
    counting = max(looks, key=_later)
    heads = [
        {
            "look": look,
            "by": str(look.by or ""),
            "at": look.received_at.astimezone(zone),
            "counts": look is counting,
        }
        for look in looks
    ]
    names = [head["by"] for head in heads]
    return {"heads": heads, "rows": rows, "alike": len(set(names)) < len(names)}


def _later(look: Look) -> tuple[date, int]:
    """Sort by what counts until a person picks: the day it was observed, then the server's number."""
    return look.on, look.number


@require_POST
@access(roles.SETTLE)
def from_file(request: GardenRequest) -> HttpResponse:
    """Take in what a phone kept and wrote to a file, and tell what became of each record."""
    file = request.FILES.get("file")
    try:
        if file is None:
            raise BadValue("file", _("choose the file that the phone wrote"))
        if (file.size or 0) > MOST_BYTES:
            raise BadValue("file", _("must be no larger than 5 MB"))
        try:
            sent = records_of(read_json(file.read()))
        except NotJson as error:
            raise BadValue("file", _("is not a file that a phone wrote: %(why)s") % {"why": error}) from error
        who: dict[str, Any] = {"garden": request.garden, "by": request.member, "now": request.now}
        answers = services.receive_file(**who, sent=sent)
    except BadValue as error:
        return _list(request, status=422, wrong={"label": _("File"), "rule": error.rule})
    return _list(request, came=_came(answers, request.now))


def _came(answers: list[Answer], now: datetime) -> dict[str, Any]:
    n = {status: sum(answer.status == status for answer in answers) for status in _STATUSES}
    told = ngettext("%(n)d record was in the file.", "%(n)d records were in the file.", len(answers))
    return {
        "told": told % {"n": len(answers)},
        "n_received": n["received"],
        "n_before": sum(answer.status == "received" and answer.received_at < now for answer in answers),
        "n_aside": n["set-aside"],
        "n_elsewhere": n["not-yours"],
    }


_STATUSES = ("received", "set-aside", "not-yours")
