"""Who asks, for which garden, and what they may see: the request's member, garden and day."""

from __future__ import annotations

import functools
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any, Concatenate, Literal, ParamSpec, cast
from urllib.parse import quote

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect

from slipwright.records import roles
from slipwright.records.models import Garden, Member
from slipwright.records.selectors import garden_day, memberships_of, nobody_yet

P = ParamSpec("P")

#: ``open`` to anybody, ``member`` to everyone of the garden, else one of the acts of ``records.roles``
Access = Literal["open", "member"] | str


class GardenRequest(HttpRequest):
    """A request of somebody who belongs to a garden."""

    member: Member
    garden: Garden
    today: date
    now: datetime


def in_a_garden(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Put ``member``, ``garden``, ``today`` and ``now`` on each request; strangers have no member."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        asked: Any = request
        asked.now = datetime.now(UTC)
        asked.member = asked.garden = None
        asked.today = asked.now.date()
        if asked.user.is_authenticated:
            theirs = memberships_of(asked.user)
            chosen = request.session.get("garden")
            member = next((one for one in theirs if one.garden_id == chosen), theirs[0] if theirs else None)
            if member is not None:
                asked.member, asked.garden = member, member.garden
                asked.today = garden_day(member.garden, asked.now)
        return get_response(request)

    return answer


def access(
    to: Access,
) -> Callable[
    [Callable[Concatenate[GardenRequest, P], HttpResponse]],
    Callable[Concatenate[HttpRequest, P], HttpResponse],
]:
    """Say whom a view is open to; strangers are sent to sign in, members without the right are refused."""

    def declared(
        view: Callable[Concatenate[GardenRequest, P], HttpResponse],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
        @functools.wraps(view)
        def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
            asked = cast(GardenRequest, request)
            if to != "open":
                if cast("Member | None", asked.member) is None:
                    if nobody_yet():
                        return redirect("set-up")
                    return redirect(f"/sign-in?next={quote(request.get_full_path())}")
                if to != "member":
                    roles.require(asked.member, to, asked.garden)
            return view(asked, *args, **kwargs)

        guarded.access = to  # type: ignore[attr-defined]
        return cast("Callable[Concatenate[HttpRequest, P], HttpResponse]", guarded)

    return declared
