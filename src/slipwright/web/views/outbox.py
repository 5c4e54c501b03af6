"""The outbox of a phone, and what lets the pages open where there is no signal."""

from __future__ import annotations

import hashlib
import json
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.utils.translation import gettext as _
from django.utils.translation import override
from django.views.decorators.http import require_safe

from slipwright import __version__
from slipwright.web.membership import GardenRequest, access

#: what a page needs to open, by the endings of its names
KINDS = (".css", ".js", ".svg", ".woff2", ".png")
NIGHT, SHEET = "#13222f", "#e9edf0"
#: not part of any page
_NOT_IN_PAGES = ("web/js/sw.js", "web/app-")


@require_safe
@access("member")
def outbox(request: GardenRequest) -> HttpResponse:
    """Show what this phone keeps until the garden has it; a script fills it in, for only the phone knows."""
    return render(request, "web/outbox.html")


@require_safe
@access("open")
def service_worker(request: GardenRequest) -> HttpResponse:
    """Give the script that keeps pages on the phone, with the version and the files of this build.

    ``?sends`` gives it with the modules that send in the background, for browsers that can.
    """
    files = [static(name) for name in _files()]
    told = json.dumps({"version": _version(tuple(files)), "files": files, "words": _words()})
    head = f"self.SLIPWRIGHT = {told};\n"
    if "sends" in request.GET:
        store, sender = static("web/js/outbox/store.js"), static("web/js/outbox/sender.js")
        head = (
            f'import {{ openStore }} from "{store}";\nimport {{ sendBehind }} from "{sender}";\n'
            f"{head}self.sendWaiting = async () => sendBehind({{ store: await openStore() }});\n"
        )
    answer = HttpResponse(head + _worker(), content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    answer["Cache-Control"] = "no-cache"
    return answer


def _words() -> dict[str, dict[str, str]]:
    """Return what the worker says itself, in every tongue: it serves whoever comes next."""
    told = {}
    for tongue, _name in settings.LANGUAGES:
        with override(tongue):
            told[tongue] = {
                "title": _("Not signed out yet: no signal"),
                "text": _(
                    "The pages kept on this phone are gone. The garden is told as soon as there is signal, "
                    "before anything else is shown here."
                ),
                "again": _("Try again"),
            }
    return told


@require_safe
@access("open")
def manifest(request: GardenRequest) -> HttpResponse:
    """Tell a browser how the pages stand on a home screen."""
    icons = [
        {"src": static("web/mark.svg"), "sizes": "any", "type": "image/svg+xml"},
        {"src": static("web/app-192.png"), "sizes": "192x192", "type": "image/png"},
        {"src": static("web/app-512.png"), "sizes": "512x512", "type": "image/png"},
        {"src": static("web/app-512.png"), "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
    ]
    told = {
        "id": "/",
        "name": "Slipwright",
        "short_name": "Slipwright",
        "description": _("Cuttings: what to do today, and what became of them."),
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": SHEET,
        "theme_color": NIGHT,
        "icons": icons,
    }
    answer = JsonResponse(told, content_type="application/manifest+json")
    answer["Cache-Control"] = "no-cache"
    return answer


@cache
def _files() -> tuple[str, ...]:
    """Return the names of the files that pages need."""
    found = {
        name.replace("\\", "/")
        for finder in finders.get_finders()
        for name, _storage in finder.list([])
        if name.startswith("web") and name.endswith(KINDS)
    }
    return tuple(sorted(name for name in found if not name.startswith(_NOT_IN_PAGES)))


def _version(files: tuple[str, ...]) -> str:
    """Return a version that changes with any file: their names do, but where they are served as they lie."""
    told = "\n".join((__version__, *files, _worker(), *(_changed() if settings.DEBUG else ())))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _changed() -> list[str]:
    paths = [Path(str(finders.find(name))) for name in _files()]
    return [str(path.stat().st_mtime_ns) for path in paths]


@cache
def _kept_worker() -> str:
    return Path(str(finders.find("web/js/sw.js"))).read_text(encoding="utf-8")


def _worker() -> str:
    if settings.DEBUG:
        _kept_worker.cache_clear()
    return _kept_worker()
