"""How often a name, a password or a code is tried, and from where."""

from __future__ import annotations

from ipaddress import ip_address
from typing import Any

from django.conf import settings
from django.contrib.auth import authenticate
from django.http import HttpRequest

from slipwright.records.services.door_book import keep_wrong_password
from slipwright.records.services.throttle import CODES, count_wrong, one_at_a_time, require_tries


def address_of(request: HttpRequest) -> str:
    """Return where somebody asks from: who speaks to us, or whom as many servers of our own in front name."""
    near: str = request.META.get("REMOTE_ADDR", "")
    told = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    n_proxies: int = settings.PROXIES
    return (_bare(told[-n_proxies]) if 0 < n_proxies <= len(told) else "") or near


def _bare(told: str) -> str:
    """Return an address without its port; nothing where it is none."""
    if told.startswith("["):
        told = told[1:].partition("]")[0]
    elif told.count(":") == 1:
        told = told.partition(":")[0]
    try:
        return str(ip_address(told))
    except ValueError:
        return ""


def who_is(request: HttpRequest, username: str, password: str) -> Any:
    """Return who has this name and password, or None; an unknown name takes as long as a wrong password.

    Raises ``TooManyTries`` and ``DoorBusy`` before anything slow is worked out.
    """
    now, address = request.now, address_of(request)  # type: ignore[attr-defined]
    require_tries(username, address, now)
    with one_at_a_time():
        require_tries(username, address, now)
        is_text = "\0" not in username + password
        user = authenticate(request, username=username, password=password) if is_text else None
        if user is None:
            count_wrong(username, address, now)
    if user is None:
        keep_wrong_password(username=username if is_text else "", now=now, told=address)
    return user


def who_typed(request: HttpRequest) -> Any:
    """Return who has the name and password of a form, or None."""
    return who_is(request, request.POST.get("username", "").strip(), request.POST.get("password", ""))


def require_code_tries(request: HttpRequest) -> None:
    """Raise ``TooManyTries`` where codes were tried too often from there."""
    require_tries(CODES, address_of(request), request.now)  # type: ignore[attr-defined]


def count_wrong_code(request: HttpRequest) -> None:
    """Count a code that let nobody in."""
    count_wrong(CODES, address_of(request), request.now)  # type: ignore[attr-defined]
