"""Who asks, for which garden, and what they may see: the request's member, garden and day."""

from __future__ import annotations

import functools
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, date, datetime
from hashlib import sha256
from ipaddress import ip_address
from typing import Any, Concatenate, Literal, ParamSpec, cast
from urllib.parse import quote

from django.conf import settings
from django.contrib.auth import logout
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.http.request import split_domain_port
from django.shortcuts import redirect
from django.utils import timezone

from slipwright.records import roles
from slipwright.records.errors import Overheard
from slipwright.records.models import Device, Garden, Member
from slipwright.records.selectors import garden_day, memberships_of, nobody_yet, phone_let_in
from slipwright.records.services.people import phone_seen
from slipwright.web.posted_json import asks_json, refuse_json
from slipwright.web.sure import require_sure

P = ParamSpec("P")

#: ``open`` to anybody, ``member`` to everyone of the garden, else one of the acts of ``records.roles``
Access = Literal["open", "member"] | str


class GardenRequest(HttpRequest):
    """A request of somebody who belongs to a garden."""

    member: Member
    garden: Garden
    today: date
    now: datetime
    #: the number of the garden's last record as the request began: a page tells no less than up to it
    last_number: int
    #: whether others on the network can read along
    is_overheard: bool
    #: the phone that was let in by a code, where one asks
    device: Device | None


#: marks a session that began where others can read along; it is good there only
_OPEN_LINE = "open-line"
_SAFE = ("GET", "HEAD", "OPTIONS")
#: what servers in front say of whom they speak for
_PASSED_ON = ("HTTP_X_FORWARDED_", "HTTP_FORWARDED", "HTTP_X_REAL_IP", "HTTP_VIA")
#: names the phone whose session it is
PHONE = "phone"


def is_overheard(request: HttpRequest) -> bool:
    """Return whether others can read along: it came neither over https nor from this machine itself.

    What a server in front passes on comes from this machine too, and is no proof of anything.
    """
    if request.is_secure():
        return False
    if settings.PROXIES or any(name.startswith(_PASSED_ON) for name in request.META):
        return True
    host = split_domain_port(request.get_host())[0].strip("[]")
    return not (_is_here(request.META.get("REMOTE_ADDR", "")) and (host == "localhost" or _is_here(host)))


def _is_here(address: str) -> bool:
    try:
        return ip_address(address).is_loopback
    except ValueError:
        return False


def in_a_garden(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Put ``member``, ``garden``, ``today`` and ``now`` on each request; strangers have no member."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        asked: Any = request
        asked.now = datetime.now(UTC)
        asked.member = asked.garden = asked.device = None
        asked.today = asked.now.date()
        asked.is_overheard = is_overheard(request)
        if asked.user.is_authenticated and (asked.is_overheard or not request.session.get(_OPEN_LINE)):
            member = _member(asked)
            if member is not None:
                member.is_overheard = asked.is_overheard
                asked.member, asked.garden = member, member.garden
                asked.last_number = member.garden.last_number
                asked.today = garden_day(member.garden, asked.now)
        # moments are shown by the garden's clock
        with timezone.override(asked.garden.time_zone if asked.garden is not None else None):
            response = get_response(request)
        if asked.device is not None and request.method == "POST":
            with suppress(OperationalError):  # what was sent is kept already
                phone_seen(asked.device, asked.now)
        if asked.is_overheard and asked.user.is_authenticated and not request.session.get(_OPEN_LINE):
            request.session[_OPEN_LINE] = True
        if asked.member is not None:
            # a phone keeps pages for whoever they were made for, and for nobody else
            response.headers["Slipwright-For"] = mark_of(asked.member)
        return response

    return answer


def _member(asked: Any) -> Member | None:
    """Return who asks; a phone that is not let in any more is signed out. One query."""
    if PHONE in asked.session:
        asked.device = phone_let_in(asked.session[PHONE], asked.user, asked.now)
        if asked.device is None:
            logout(asked)
            return None
        on_phone: Member = asked.device.member
        on_phone.is_on_phone = True
        return on_phone
    # read with the person where the session was read
    theirs = getattr(asked.user, "memberships_read", None)
    if theirs is None:
        theirs = memberships_of(asked.user.pk)
    chosen = asked.session.get("garden")
    return next((one for one in theirs if one.garden_id == chosen), theirs[0] if theirs else None)


def mark_of(member: Member) -> str:
    """Return a mark of one member of one garden that tells neither."""
    return sha256(f"{member.garden.garden} {member.member}".encode()).hexdigest()[:16]


def access(
    to: Access, *, is_private: bool = False, sure: bool = False
) -> Callable[
    [Callable[Concatenate[GardenRequest, P], HttpResponse]],
    Callable[Concatenate[HttpRequest, P], HttpResponse],
]:
    """Say whom a view is open to; strangers are sent to sign in, members without the right are refused.

    One that ``is_private`` takes or gives what nobody else may read: it is closed where others can. So are
    the acts of ``roles.NOT_OVERHEARD``, wherever they are asked for. One that wants people ``sure`` asks
    for the password, before it changes anything, where they did not prove who they are within half an hour.
    """

    def declared(
        view: Callable[Concatenate[GardenRequest, P], HttpResponse],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
        @functools.wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            asked = cast(GardenRequest, request)
            if is_private and asked.is_overheard:
                raise Overheard
            if to != "open":
                if cast("Member | None", asked.member) is None:
                    if asks_json(request):
                        return refuse_json(401, "signed-out")
                    if nobody_yet():
                        return redirect("set-up")
                    return redirect(f"/sign-in?next={quote(request.get_full_path())}")
                if to != "member":
                    roles.require(asked.member, to, asked.garden)
                if sure and request.method not in _SAFE:
                    require_sure(request)
            return view(asked, *args, **kwargs)

        guarded.access = to  # type: ignore[attr-defined]
        guarded.is_private = is_private  # type: ignore[attr-defined]
        guarded.sure = sure  # type: ignore[attr-defined]
        return cast("Callable[Concatenate[HttpRequest, P], HttpResponse]", guarded)

    return declared
