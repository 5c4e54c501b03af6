"""Which language a page is in: the visitor's choice, else their browser's."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.utils import translation


def in_their_tongue(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Answer each request in the language of its cookie, else of the browser."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        with translation.override(tongue_of(request)):
            response = get_response(request)
        response.headers.setdefault("Content-Language", tongue_of(request))
        return response

    return answer


def tongue() -> str:
    """Return the language of the page being made, in two letters."""
    return (translation.get_language() or settings.LANGUAGE_CODE).partition("-")[0]


def tongue_of(request: HttpRequest) -> str:
    """Return the language a request is answered in."""
    chosen = request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME, "")
    return chosen if chosen in dict(settings.LANGUAGES) else translation.get_language_from_request(request)
