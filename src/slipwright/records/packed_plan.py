"""Programmes, and what is told of them, as bytes to keep, and back."""

from __future__ import annotations

import json
import zlib
from dataclasses import asdict
from datetime import date
from typing import Any, cast

from slipwright.season.programme import Line, Load, Loosened, Programme, Seconds, Stop, WantPlan

#: another form cannot be read back
_FORM = 1
#: raise it where what is told of a programme takes another form: what was kept before is not told then
CONTENT_VERSION = 1


def packed_content(content: dict[str, Any]) -> bytes:
    """Return plain data as bytes; sentences must have been put away before."""
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"))
    return zlib.compress(text.encode())


def unpacked_content(kept: bytes) -> dict[str, Any]:
    """Return what ``packed_content`` made bytes of."""
    return cast(dict[str, Any], json.loads(zlib.decompress(kept)))


def content_now(kept: bytes | memoryview | None) -> dict[str, Any]:
    """Return what is told of a programme; nothing where none is, or where another version wrote it down."""
    content = unpacked_content(bytes(kept)) if kept else {}
    return content if content.get("version") == CONTENT_VERSION else {}


def packed_programme(programme: Programme) -> bytes:
    """Return a programme as bytes: exactly, to the last digit."""
    text = json.dumps(
        {"form": _FORM, **asdict(programme)}, ensure_ascii=False, separators=(",", ":"), default=_plain
    )
    return zlib.compress(text.encode())


def unpacked_programme(kept: bytes) -> Programme | None:
    """Return what ``packed_programme`` made bytes of; None where it is of another form."""
    read = _in_tuples(json.loads(zlib.decompress(kept)))
    try:
        if read.pop("form", None) != _FORM:
            return None
        return Programme(
            **{
                **read,
                "lines": tuple(Line(**_with_week(line)) for line in read["lines"]),
                "wants": tuple(_want(want) for want in read["wants"]),
                "loads": tuple(Load(**_with_week(load)) for load in read["loads"]),
                "loosened": tuple(Loosened(**one) for one in read["loosened"]),
                "seconds": Seconds(**read["seconds"]),
            }
        )
    except (TypeError, KeyError, AttributeError, ValueError):
        # it was kept when a programme had other parts
        return None


def _in_tuples(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _in_tuples(part) for name, part in value.items()}
    return tuple(_in_tuples(part) for part in value) if isinstance(value, list) else value


def _with_week(kept: dict[str, Any]) -> dict[str, Any]:
    return {**kept, "week": date.fromisoformat(kept["week"]) if kept["week"] else None}


def _want(kept: dict[str, Any]) -> WantPlan:
    return WantPlan(**{**kept, "stopped_by": tuple(Stop(**stop) for stop in kept["stopped_by"])})


def _plain(value: Any) -> Any:
    """Return what JSON has no form of as what it has one of: days, and numbers that came out of an array."""
    return value.isoformat() if isinstance(value, date) else value.item()
