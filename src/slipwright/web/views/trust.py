"""How a phone comes to trust the garden's own authority: a page, and the certificate it hands out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from slipwright.outputs.drawings.trust import trust_drawing
from slipwright.web.membership import GardenRequest, access

if TYPE_CHECKING:
    from slipwright.certificates import PublicAuthority


@access("open")
@never_cache
@require_safe
def trust(request: GardenRequest) -> HttpResponse:
    """Show what to do, once, on each phone."""
    found = _authority()
    page = {
        "authority": found,
        "hosts": str(found.hosts),
        "pages_at": settings.PAGES_AT,
        "is_trusted": request.is_secure(),
        "fetch": trust_drawing("fetch", _("A phone takes in a certificate.")),
        "compare": trust_drawing("compare", _("The same signs on the phone and on the garden's machine.")),
        "switch": trust_drawing("switch", _("A switch in the phone's settings is turned on.")),
    }
    return render(request, "web/trust.html", page)


@access("open")
@never_cache
@require_safe
def authority(request: GardenRequest) -> HttpResponse:
    """Hand out the authority's certificate, which is no secret."""
    return HttpResponse(_authority().der, content_type="application/x-x509-ca-cert")


def _authority() -> PublicAuthority:
    """Return the garden's own authority; there is no such page where there is none."""
    if not settings.AUTHORITY_FILE:
        raise Http404
    from slipwright.certificates import PublicAuthority

    try:
        return PublicAuthority.read(Path(settings.AUTHORITY_FILE))
    except FileNotFoundError as error:
        raise Http404 from error
