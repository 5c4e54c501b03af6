"""Whether it is still the owner who sits here: acts of weight ask for the password once in half an hour."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from slipwright.web.tries import who_is

SURE_FOR = timedelta(minutes=30)
#: the field of the password, beside those of the form that is asked again
FIELD = "sure_password"
_NOT_CARRIED = (FIELD, "sure_name", "csrfmiddlewaretoken")


class NotSure(Exception):
    """The password is asked for first; ``is_wrong`` where one was typed that is not theirs."""

    def __init__(self, *, is_wrong: bool = False) -> None:
        super().__init__("the password is asked for")
        self.is_wrong = is_wrong


def make_sure(request: HttpRequest) -> None:
    """Keep that somebody just proved who they are."""
    request.session["sure_at"] = request.now.isoformat()  # type: ignore[attr-defined]


def is_sure(request: HttpRequest) -> bool:
    """Return whether they proved it within the last half hour."""
    at: str = request.session.get("sure_at", "")
    now: datetime = request.now  # type: ignore[attr-defined]
    return at != "" and timedelta() <= now - datetime.fromisoformat(at) <= SURE_FOR


def require_sure(request: HttpRequest) -> None:
    """Raise ``NotSure`` unless they are, or the form brings the password along."""
    if is_sure(request):
        return
    if request.method != "POST" or FIELD not in request.POST:
        raise NotSure
    prove(request)


def prove(request: HttpRequest) -> None:
    """Take the password a form brings; the session gets a new id. Raise ``NotSure`` where it is wrong."""
    if who_is(request, request.user.get_username(), request.POST.get(FIELD, "")) != request.user:
        raise NotSure(is_wrong=True)
    request.session.cycle_key()
    make_sure(request)


def ask(request: HttpRequest, *, is_wrong: bool = False) -> HttpResponse:
    """Ask for the password: a form is asked again with all it said, and goes on from there."""
    if request.method != "POST":
        return redirect(f"{reverse('sure')}?{urlencode({'next': request.get_full_path()})}")
    said = [(name, value) for name, values in request.POST.lists() for value in values]
    carried = [(name, value) for name, value in said if name not in _NOT_CARRIED]
    context = {
        "carried": carried,
        "to": request.get_full_path(),
        "is_wrong": is_wrong,
        "loses_file": bool(request.FILES),
        "has_password": request.user.has_usable_password(),  # type: ignore[union-attr]
    }
    return render(request, "web/sure.html", context, status=403)
