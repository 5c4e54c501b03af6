"""Coming in and going out."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import logout, update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from slipwright.records import services
from slipwright.records.errors import BadValue, OnAPhone, Overheard, Refused
from slipwright.records.selectors import demonstration_stands, nobody_in_charge, nobody_yet
from slipwright.records.services.door_book import keep_came_in, keep_door_event
from slipwright.records.services.people import end_phones, end_sessions, let_phone_out
from slipwright.records.services.throttle import one_at_a_time
from slipwright.web.asked import own_path, told
from slipwright.web.coming_in import come_in
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.tries import count_wrong_code, require_code_tries, who_is, who_typed
from slipwright.web.views.garden import garden_page

LABELS = {"password": gettext_lazy("Password"), "old": gettext_lazy("Password you have now")}


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
        user = who_typed(request)
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
        return garden_page(request, status=422, wrong=told(error, LABELS))
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
