"""Photos: taking one in, showing its picture, taking it back."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from slipwright.records import roles, selectors, services
from slipwright.records.errors import BadValue, Clash, NotAllowed, Refused
from slipwright.records.models import Photo
from slipwright.web.asked import Posted, own_path, told
from slipwright.web.membership import GardenRequest, access
from slipwright.web.posted_json import answer_json, asks_json, refuse_json
from slipwright.web.saved import remember

LABELS = {
    "file": gettext_lazy("The picture"),
    "about": gettext_lazy("What it is of"),
    "at": gettext_lazy("When"),
    "reason": gettext_lazy("What is wrong with it"),
}
#: a picture is kept by the browser so long: whoever may see it no more does not for longer
_KEEP = "private, max-age=3600"
#: nothing in a picture is run, whatever a browser takes it for
_POLICY = "default-src 'none'; sandbox"


@require_POST
@access(roles.RECORD)
def add(request: GardenRequest) -> HttpResponse:
    """Take in one picture of a row or an entry: from a form, or from a page that kept it without signal."""
    as_json = asks_json(request)
    try:
        photo = received(request, Posted(request).text("id"), Posted(request).text("about"))
    except NotAllowed:
        raise
    except services.DiskFull as error:
        return refuse_json(503, "full") if as_json else _not_kept(request, 503, refused=error)
    except Clash as error:
        why = _("Another picture was already sent from this form. Open its page anew.")
        return (
            refuse_json(409, "clash", str(error))
            if as_json
            else _not_kept(request, 409, refused=Refused(why))
        )
    except BadValue as error:
        if as_json and error.column == "about":
            return refuse_json(409, "not-yet", error.rule)
        wrong = told(error, LABELS)
        return refuse_json(422, "refused", str(error)) if as_json else _not_kept(request, 422, wrong=wrong)
    if as_json:
        # by the id it was sent under: kept beside an entry whose picture went missing, it has another
        sent_as = Posted(request).text("id")
        return answer_json({"id": sent_as, "status": "received", "number": photo.number})
    remember(request, _("Photo kept."), [photo])
    return redirect(_way_back(request))


def received(
    request: GardenRequest, entry_id: str, about: str, *, field: str = "file", at: str = "at"
) -> Photo:
    """Return the photo made of the picture a form sent."""
    posted = Posted(request)
    picture = request.FILES.get(field)
    if picture is None:
        raise BadValue("file", _("is missing: choose a picture"))
    if not entry_id:
        raise BadValue("id", _("is missing: open the page anew"))
    return services.receive_photo(
        garden=request.garden,
        by=request.member,
        now=request.now,
        about=about,
        at=_at(posted.text(at), request),
        sent=picture.read(),
        sent_sha256=posted.text("sha256").lower(),
        entry_id=entry_id,
    )


def photo_beside(request: GardenRequest, about: str) -> tuple[str, list[Photo]]:
    """Return in words what came of a picture sent along with another form, and its photo if it was kept.

    What the form itself says is kept already, so a picture that is refused is told and holds up nothing.
    """
    if "photo" not in request.FILES:
        return "", []
    try:
        photo = received(request, Posted(request).text("photo_id"), about, field="photo", at="photo_at")
    except (BadValue, Clash, Refused) as error:
        why = f"{LABELS['file']} {error.rule}" if isinstance(error, BadValue) else str(error)
        return _(", but not the photo: %(why)s") % {"why": why}, []
    return _(", with a photo"), [photo]


def _at(said: str, request: GardenRequest) -> datetime:
    try:
        at = datetime.fromisoformat(said) if said else request.now
    except ValueError:
        at = datetime.min  # noqa: DTZ901  (it has no offset, and is refused for that)
    if at.tzinfo is None:
        raise BadValue("at", _("must be a moment with its offset from UTC"), said)
    return at.replace(microsecond=0)


def _way_back(request: GardenRequest) -> str:
    """Return the page of this house the form stood on."""
    return own_path(Posted(request).text("next") or request.GET.get("next", ""))


def _not_kept(request: GardenRequest, status: int, **why: Any) -> HttpResponse:
    context = {"back": _way_back(request), **why}
    return render(request, "web/photo_not_kept.html", context, status=status)


@require_safe
@access("member")
def photo(request: GardenRequest, entry_id: str) -> HttpResponse:
    """Give the picture of a photo."""
    return _picture(request, entry_id, small=False)


@require_safe
@access("member")
def thumb(request: GardenRequest, entry_id: str) -> HttpResponse:
    """Give the small picture of a photo."""
    return _picture(request, entry_id, small=True)


def _picture(request: GardenRequest, entry_id: str, *, small: bool) -> HttpResponse:
    found = selectors.photo_called(request.garden, entry_id)
    mark = f'"{found.file_sha256}{"-small" if small else ""}"'
    if request.headers.get("If-None-Match") == mark:
        answer = HttpResponse(status=304)
    else:
        answer = HttpResponse(selectors.picture_of(found, small=small), content_type="image/jpeg")
        answer["Content-Disposition"] = f'inline; filename="{found.file}"'
    answer["ETag"] = mark
    answer["Cache-Control"] = _KEEP
    answer["Content-Security-Policy"] = _POLICY
    answer["X-Content-Type-Options"] = "nosniff"
    # a JPEG is packed already: it is not packed again on its way
    request.META.pop("HTTP_ACCEPT_ENCODING", None)
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.WITHDRAW_OWN)
def take_back(request: GardenRequest, entry_id: str) -> HttpResponse:
    """Ask why a photo is wrong and take it back: it is shown no more, and its picture stays kept."""
    posted = Posted(request)
    trouble: dict[str, Any] = {}
    found = selectors.photo_called(request.garden, entry_id)
    if request.method == "POST":
        try:
            if not (reason := posted.text("reason")):
                raise BadValue("reason", _("must say why, in a few words"))
            services.withdraw(
                garden=request.garden,
                by=request.member,
                now=request.now,
                kind=Photo.kind,
                withdraws=found.entry_id,
                reason=reason,
                at=_at(posted.text("at"), request),
                entry_id=posted.text("entry_id"),
            )
            return redirect(_way_back(request))
        except NotAllowed:
            raise
        except BadValue as error:
            trouble = {"wrong": told(error, LABELS)}
        except Refused as error:
            trouble = {"refused": error}
    context = {
        "photo": found,
        "entry_id": posted.text("entry_id") or uuid.uuid4(),
        "at": posted.text("at") or request.now.replace(microsecond=0).isoformat(),
        "back": _way_back(request),
    }
    return render(request, "web/photo_take_back.html", context | trouble, status=422 if trouble else 200)
