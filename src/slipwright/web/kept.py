"""Keeping what a form about a batch says, or telling on the same page why it was not kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from django.http import HttpResponse
from django.utils.functional import Promise

from slipwright.handbook import load_handbook
from slipwright.records import roles
from slipwright.records.answers import recording
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.web.asked import told
from slipwright.web.membership import GardenRequest


class _Page(Protocol):
    def __call__(
        self, request: GardenRequest, start: recording.Start, *, status: int = ..., **told: object
    ) -> HttpResponse: ...


class _Keep(Protocol):
    def __call__(self, request: GardenRequest, start: recording.Start) -> HttpResponse: ...


def about_batch(
    request: GardenRequest,
    code: str,
    page: _Page,
    keep: _Keep,
    *,
    labels: Mapping[str, str | Promise],
    saved_before: str,
) -> HttpResponse:
    """Return the ``page`` of a form about a batch, or what ``keep`` answers to what it sent.

    Where it is refused the page is shown with the reason: ``labels`` names the fields as it does;
    ``saved_before`` is said of a form that was kept with other figures.
    """
    start = recording.start_of(request.garden, load_handbook(), code, on=request.today)
    if request.method == "GET":
        return page(request, start)
    roles.require(request.member, roles.RECORD, request.garden)
    try:
        return keep(request, start)
    except BadValue as error:
        return page(request, start, status=422, wrong=told(error, labels))
    except Clash:
        return page(request, start, status=422, wrong={"rule": saved_before})
    except Refused as refused:
        return page(request, start, status=422, refused=refused)
