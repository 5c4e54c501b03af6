"""What the records refuse, told as a page: what, why, and what can be done instead."""

from __future__ import annotations

from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _

from slipwright.records.errors import Ambiguous, NotAllowed, NotFound, TakenBefore

#: seconds after which somebody told that the garden is held may try again
RETRY_AFTER_S = 15


class told_plainly:  # noqa: N801  (a middleware is named in the settings like a function)
    """Turn what is not there, not allowed or held for the moment into a page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer as the rest of the house does."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Return the page that tells of an error, or None where nobody foresaw it."""
        if isinstance(error, NotAllowed):
            return _page(request, 403, _("Not yours to do"), str(error))
        if isinstance(error, NotFound | Ambiguous):
            return _page(request, 404, _("Not here"), str(error))
        if isinstance(error, TakenBefore):
            what = _("This form was saved before and then taken back. Open its page anew to save it again.")
            return _page(request, 409, _("Not saved again"), what)
        if isinstance(error, OperationalError) and ("locked" in str(error) or "lock timeout" in str(error)):
            what = _("Tables are being loaded. Nothing of yours is lost: try again in a quarter of a minute.")
            answer = _page(request, 503, _("The garden is held"), what)
            answer["Retry-After"] = str(RETRY_AFTER_S)
            return answer
        return None


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Tell that there is no such page."""
    return _page(request, 404, _("Not here"), _("There is no page at this address."))


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Tell that this is refused."""
    return _page(request, 403, _("Refused"), _("This form was not given out to you, or it is too old."))


def broken(request: HttpRequest) -> HttpResponse:
    """Tell that something broke."""
    return _page(request, 500, _("Something broke"), _("Look whether it was kept before you enter it again."))


def _page(request: HttpRequest, status: int, title: str, why: str) -> HttpResponse:
    return render(request, "web/refusal.html", {"title": title, "why": why}, status=status)
