"""What the records refuse, told as a page: what, why, and what can be done instead."""

from __future__ import annotations

import errno
import sys
from collections.abc import Callable
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _

from slipwright.records.errors import (
    Ambiguous,
    Busy,
    DoorBusy,
    NotAllowed,
    NotFound,
    OnAPhone,
    Overheard,
    TakenBefore,
    TooManyTries,
)
from slipwright.web import sure
from slipwright.web.posted_json import asks_json, refuse_json

#: seconds after which somebody told that the garden is held may try again
RETRY_AFTER_S = 15
DOOR_AFTER_S = 3
#: a picture of 10 MB, and the fields around it
MOST_SENT_BYTES = 10_100_000


class told_plainly:  # noqa: N801  (a middleware is named in the settings like a function)
    """Turn what is not there, not allowed or held for the moment into a page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer as the rest of the house does; keep whether a view did what it was asked."""
        answer = self.get_response(request)
        asked: Any = request
        asked.is_done = request.method == "POST" and not hasattr(request, "is_undone")
        return answer

    def process_view(self, request: HttpRequest, view: Any, *_given: Any) -> HttpResponse | None:
        """Refuse a form that holds NUL, which not every database keeps."""
        if getattr(view, "csrf_exempt", False):  # it takes no forms
            return None
        if any("\0" in one for name, said in request.POST.lists() for one in (name, *said)):
            if asks_json(request):
                return refuse_json(400, "malformed", "a field holds NUL")
            what = _("A field holds a sign that cannot be kept. Go back, and type it anew.")
            return _page(request, 400, _("Not taken"), what)
        return None

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Return the page that tells of an error, or None where nobody foresaw it."""
        request.is_undone = True  # type: ignore[attr-defined]
        if asks_json(request):
            return _in_json(error)
        if isinstance(error, sure.NotSure):
            return sure.ask(request, is_wrong=error.is_wrong)
        if isinstance(error, TooManyTries | DoorBusy | Busy):
            return _wait(request, error)
        if isinstance(error, Overheard):
            return _page(
                request,
                403,
                _("Not over this line"),
                _(
                    "Anybody near could read along here. This is done on the machine that runs Slipwright, "
                    "or over https."
                ),
            )
        if isinstance(error, OnAPhone):
            what = _(
                "This phone was let in to record with. For anything else, sign in with a name and password "
                "on another device."
            )
            return _page(request, 403, _("Not from this phone"), what)
        if isinstance(error, NotAllowed):
            return _page(request, 403, _("Not yours to do"), str(error))
        if isinstance(error, NotFound | Ambiguous):
            return _page(request, 404, _("Not here"), str(error))
        if isinstance(error, TakenBefore):
            what = _("This form was saved before and then taken back. Open its page anew to save it again.")
            return _page(request, 409, _("Not saved again"), what)
        if is_held(error):
            what = _("Tables are being loaded. Nothing of yours is lost: try again in a quarter of a minute.")
            answer = _page(request, 503, _("The garden is held"), what)
            answer["Retry-After"] = str(RETRY_AFTER_S)
            return answer
        return _full_page(request) if is_full(error) else None


def _wait(request: HttpRequest, error: TooManyTries | DoorBusy | Busy) -> HttpResponse:
    """Tell how long to wait, the same whether there is anybody of that name or not."""
    if isinstance(error, Busy):
        what = _(
            "Others are sending what they recorded. What was taken in is kept: send it again in a moment."
        )
        answer = _page(request, 503, _("Busy at this moment"), what)
        answer["Retry-After"] = str(error.wait_s)
        return answer
    if isinstance(error, TooManyTries):
        what = _("That was wrong too often from here. Try again in a while, or from another device.")
        answer = _page(request, 429, _("Too many tries"), what)
        answer["Retry-After"] = str(error.wait_s)
        return answer
    what = _("Others are coming in at this moment. Try again in a few seconds.")
    answer = _page(request, 429, _("The door is busy"), what)
    answer["Retry-After"] = str(DOOR_AFTER_S)
    return answer


def not_too_large(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Refuse what is larger than anything that is taken here, before any of it is read."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        said = request.META.get("CONTENT_LENGTH") or "0"
        if said.isdigit() and int(said) <= MOST_SENT_BYTES:
            return get_response(request)
        if asks_json(request):
            return refuse_json(413, "too-large")
        return HttpResponse(_("This is too large to be taken."), status=413, content_type="text/plain")

    return answer


def no_nul(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Answer that there is nothing at an address with NUL in it: not every database can be asked for that."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        asked = request.META.get("QUERY_STRING", "")
        if "\0" in request.path or "\0" in asked or "%00" in asked:
            if asks_json(request):
                return refuse_json(404, "not-found")
            return HttpResponse(_("There is no page at this address."), status=404, content_type="text/plain")
        for name in [name for name, said in request.COOKIES.items() if "\0" in said]:
            del request.COOKIES[name]
        return get_response(request)

    return answer


def is_held(error: Exception) -> bool:
    """Return whether somebody else held the garden for too long."""
    return isinstance(error, OperationalError) and ("locked" in str(error) or "lock timeout" in str(error))


def is_full(error: Exception) -> bool:
    """Return whether there was no room left to write in."""
    if isinstance(error, OperationalError):
        return "disk is full" in str(error) or "No space left" in str(error)
    return isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT)


def _full_page(request: HttpRequest) -> HttpResponse:
    what = _(
        "This was not saved: the disk of the machine that runs Slipwright is full. Everything saved before "
        "is there and can be read. Once there is room again, send it again; nothing need be started anew."
    )
    if getattr(request, "is_done", False):
        what = _(
            "This may have been kept: the disk of the machine that runs Slipwright filled up just after. "
            "Once there is room again, look before you send it again."
        )
    answer = _page(request, 503, _("The disk is full"), what)
    answer["Retry-After"] = str(RETRY_AFTER_S)
    return answer


def _in_json(error: Exception) -> HttpResponse | None:
    if isinstance(error, sure.NotSure):
        return refuse_json(403, "not-sure")
    if isinstance(error, TooManyTries):
        refused = refuse_json(429, "too-many")
        refused["Retry-After"] = str(error.wait_s)
        return refused
    if isinstance(error, Busy):
        refused = refuse_json(503, "busy")
        refused["Retry-After"] = str(error.wait_s)
        return refused
    if isinstance(error, NotAllowed):
        return refuse_json(403, "not-allowed", str(error))
    if isinstance(error, RequestDataTooBig):
        return refuse_json(413, "too-large")
    if not (is_held(error) or is_full(error)):
        return None
    answer = refuse_json(503, "busy" if is_held(error) else "full")
    answer["Retry-After"] = str(RETRY_AFTER_S)
    return answer


def no_token(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Tell that the token of a form is missing or too old."""
    return not_allowed(request, PermissionError(reason))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Tell that there is no such page."""
    return _page(request, 404, _("Not here"), _("There is no page at this address."))


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Tell that this is refused."""
    if asks_json(request):
        return refuse_json(403, "token")
    return _page(request, 403, _("Refused"), _("This form was not given out to you, or it is too old."))


def broken(request: HttpRequest) -> HttpResponse:
    """Tell that something broke, or that there was no room for what the frame itself writes."""
    error = sys.exc_info()[1]
    if isinstance(error, Exception) and is_full(error):
        return (_in_json(error) if asks_json(request) else None) or _full_page(request)
    if asks_json(request):
        return refuse_json(500, "broken")
    return _page(request, 500, _("Something broke"), _("Look whether it was kept before you enter it again."))


def _page(request: HttpRequest, status: int, title: str, why: str) -> HttpResponse:
    return render(request, "web/refusal.html", {"title": title, "why": why}, status=status)
