"""The people of a garden: as what they belong to it, how they come in, the phones let in for them."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from slipwright.outputs.qr_drawing import qr_drawing
from slipwright.records import roles, selectors, services, words
from slipwright.records.errors import BadValue, NotAllowed, Refused
from slipwright.records.services.people import (
    PAIR_FOR,
    PHONE_FOR,
    let_phone_in,
    let_phone_out,
    may_let_in,
    waiting_for,
)
from slipwright.web.asked import Posted, own_path, told
from slipwright.web.coming_in import come_in
from slipwright.web.membership import PHONE, GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.sure import NotSure, prove
from slipwright.web.tries import count_wrong_code, require_code_tries

LABELS = {
    "member": gettext_lazy("Short name"),
    "role": gettext_lazy("Role"),
    "shown_as": gettext_lazy("Name on screen"),
}
#: signs of a code that stand together
_TOGETHER = 4
PHONE_S = int(PHONE_FOR.total_seconds())


@require_safe
@access(roles.EDIT)
def people(request: GardenRequest) -> HttpResponse:
    """Show who belongs to the garden and how they come in."""
    return _list(request)


def _list(request: GardenRequest, *, status: int = 200, **more: Any) -> HttpResponse:
    may_govern = roles.may(request.member, roles.GOVERN)
    shown = [
        {
            "person": person,
            "is_you": person.member.pk == request.member.pk,
            "may_let_in": person.comes_by != "shut-out" and may_let_in(request.member, person.member),
            "may_let_out": may_govern or may_let_in(request.member, person.member),
        }
        for person in selectors.people_of(request.garden, request.now)
    ]
    context = {"shown": shown, "roles": words.ROLES, "typed": request.POST}
    return render(request, "web/people.html", context | more, status=status)


@require_POST
@access(roles.GOVERN, sure=True)
def take_in(request: GardenRequest) -> HttpResponse:
    """Add a member."""
    posted = Posted(request)
    try:
        row: dict[str, Any] = {"member": posted.text("member"), "role": posted.word("role", words.ROLES)}
        row["shown_as"] = posted.text("shown_as")
        if not row["role"]:
            raise BadValue("role", _("must be chosen"))
        if (there := selectors.row_there(request.garden, "members", row)) == "other":
            raise BadValue("member", _("is taken: another member is called so already"), row["member"])
        if there == "none":
            services.add_member(garden=request.garden, by=request.member, now=request.now, **row)
    except NotAllowed:
        raise
    except BadValue as error:
        return _list(request, status=422, wrong=told(error, LABELS))
    remember(request, _("%(name)s belongs to the garden.") % {"name": row["shown_as"] or row["member"]}, [])
    return redirect("people")


@require_POST
@access(roles.GOVERN, sure=True)
def set_role(request: GardenRequest, pk: int) -> HttpResponse:
    """Say as what somebody belongs to the garden."""
    member = selectors.person_of(request.garden, pk)
    try:
        role = Posted(request).word("role", words.ROLES)
        services.set_role(
            garden=request.garden, by=request.member, now=request.now, member=member, role=role or member.role
        )
    except NotAllowed:
        raise
    except BadValue as error:
        return _list(request, status=422, wrong=told(error, LABELS))
    except Refused as error:
        return _list(request, status=422, refused=error)
    remember(request, _("The role of %(name)s is kept.") % {"name": member}, [])
    return redirect("people")


@require_POST
@access(roles.GOVERN, sure=True)
def shut(request: GardenRequest, pk: int) -> HttpResponse:
    """Shut somebody out, or let them back in."""
    member = selectors.person_of(request.garden, pk)
    asked: dict[str, Any] = {
        "garden": request.garden,
        "by": request.member,
        "now": request.now,
        "member": member,
    }
    try:
        if Posted(request).text("shut") == "out":
            services.shut_out(**asked)
            if member.pk == request.member.pk:
                logout(request)
                return redirect("sign-in")
            said = _("%(name)s is shut out. What they recorded stays.")
        else:
            services.let_back_in(**asked)
            said = _("%(name)s may come in again.")
    except NotAllowed:
        raise
    except Refused as error:
        return _list(request, status=422, refused=error)
    remember(request, said % {"name": member}, [])
    return redirect("people")


# --- phones -------------------------------------------------------------------------------------------


@require_POST
@access(roles.EDIT)
@never_cache
def phone(request: GardenRequest, pk: int) -> HttpResponse:
    """Show a code that lets one phone in for a member, once, within ten minutes."""
    member = selectors.person_of(request.garden, pk)
    try:
        code = services.make_pair_code(by=request.member, member=member, now=request.now)
    except NotAllowed:
        raise
    except Refused as error:
        return _list(request, status=422, refused=error)
    at = f"{_pages_at(request)}{reverse('pair', args=[code])}"
    groups = [code[i : i + _TOGETHER] for i in range(0, len(code), _TOGETHER)]
    context = {
        "who": member,
        "at": f"{_pages_at(request)}{reverse('pair', args=['-'.join(groups)])}",
        "drawing": qr_drawing(at, _("QR code that lets the phone in")),
        "is_here_only": not settings.PAGES_AT and not request.is_overheard and not request.is_secure(),
        "minutes": int(PAIR_FOR.total_seconds()) // 60,
    }
    return render(request, "web/people_phone.html", context)


def _pages_at(request: GardenRequest) -> str:
    """Return where a phone reaches the pages: as told when they were served, else as they are asked for."""
    return (settings.PAGES_AT or request.build_absolute_uri("/")).rstrip("/")


@require_POST
@access("member")
def let_out(request: GardenRequest, device: uuid.UUID) -> HttpResponse:
    """Let a phone out: it is signed out when it asks next."""
    let_phone_out(by=request.member, now=request.now, device=device)
    remember(request, _("The phone is let out."), [])
    return redirect("people" if Posted(request).text("from") == "people" else "garden")


@access("open")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def pair(request: GardenRequest, code: str) -> HttpResponse:
    """Show whose phone of which garden this becomes; pressing the button lets it in, looking does not."""
    if request.device is not None and request.session.get("let_in_by") == code:
        return redirect("today")
    if request.method != "POST":
        member = waiting_for(code=code, now=request.now)
        return render(request, "web/pair.html", {"who": member}, status=200 if member else 404)
    try:
        require_code_tries(request)
        found = let_phone_in(code=code, now=request.now, name=Posted(request).text("name"))
    except Refused as error:
        count_wrong_code(request)
        return render(request, "web/pair.html", {"refused": error}, status=422)
    come_in(request, found.member.user, "phone-let-in")
    request.session[PHONE] = found.pk
    request.session["let_in_by"] = code  # spent: it lets nobody in any more
    request.session.set_expiry(PHONE_S)
    return redirect("today")


# --- sure, once in half an hour -----------------------------------------------------------------------


@access("member", is_private=True)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sure(request: GardenRequest) -> HttpResponse:
    """Ask for the password, and go back to where it was asked for."""
    onward = own_path(request.POST.get("next") or request.GET.get("next") or "")
    is_wrong = False
    if request.method == "POST":
        try:
            prove(request)
            return redirect(onward)
        except NotSure:
            is_wrong = True
    context = {
        "to": reverse("sure"),
        "carried": [("next", onward)],
        "is_wrong": is_wrong,
        "has_password": request.user.has_usable_password(),  # type: ignore[union-attr]
    }
    return render(request, "web/sure.html", context, status=422 if is_wrong else 200)
