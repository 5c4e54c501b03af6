"""JSON that was sent, read strictly, and the answers in JSON of the addresses that programs ask."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, JsonResponse
from django.urls import reverse

#: Objects and lists may lie so deep in one another.
DEEPEST = 32
#: The version of the interface that every answer names.
VERSION = 1


class NotJson(ValueError):
    """What was sent is no JSON that is read here; the text says why."""


def read_json(sent: bytes) -> Any:
    """Return what JSON in UTF-8 says.

    Raises ``NotJson`` for anything else, for a name that stands twice in an object, for what is no
    number (``NaN``, ``Infinity``, ``1e999``) and for what lies deeper than ``DEEPEST``.
    """
    try:
        told = json.loads(
            sent.decode("utf-8"),
            object_pairs_hook=_object,
            parse_constant=_no_number,
            parse_float=_float,
        )
    except NotJson:
        raise
    except RecursionError:
        raise NotJson(f"it lies deeper than {DEEPEST}") from None
    except ValueError as error:  # JSONDecodeError, UnicodeDecodeError, a number of thousands of digits
        raise NotJson(str(error)[:200]) from None
    _check_depth(told)
    return told


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise NotJson("a name stands twice in an object")
    return found


def _no_number(word: str) -> Any:
    raise NotJson(f"{word} is no number")


def _float(text: str) -> float:
    if not math.isfinite(number := float(text)):
        raise NotJson("a number is too large")
    return number


def _check_depth(told: Any) -> None:
    level = _containers([told])
    for _deep in range(DEEPEST):
        level = _containers(
            inner for one in level for inner in (one.values() if isinstance(one, dict) else one)
        )
    if level:
        raise NotJson(f"it lies deeper than {DEEPEST}")


def _containers(values: Iterable[Any]) -> list[Any]:
    return [one for one in values if isinstance(one, dict | list)]


def asks_json(request: HttpRequest) -> bool:
    """Return whether a program asks, which is answered in JSON whatever happens: no page, no redirect."""
    asks_for = request.headers.get("Accept", "")
    return (
        request.path == reverse("sync") or request.path.startswith("/api/") or "application/json" in asks_for
    )


def answer_json(told: dict[str, Any], status: int = 200) -> JsonResponse:
    """Return an answer that nothing on the way keeps."""
    answer = JsonResponse({"v": VERSION} | told, status=status)
    answer["Cache-Control"] = "no-store"
    return answer


def refuse_json(status: int, error: str, reason: str = "") -> JsonResponse:
    """Return an answer that says in a word why nothing was done."""
    return answer_json({"error": error} | ({"reason": reason} if reason else {}), status)
