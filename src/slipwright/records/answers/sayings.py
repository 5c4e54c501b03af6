"""Sentences put away as plain data, and put together again."""

from __future__ import annotations

from typing import Any

from slipwright.craft.said import Said


def put_away(value: Any) -> Any:
    """Return plain data of a sentence that keeps how it was put together, or of a part of one."""
    if isinstance(value, Said):
        parts = {name: put_away(part) for name, part in value.values.items()}
        return {"said": value.template, "with": parts}
    return value if isinstance(value, str | int | float) else str(value)


def said_again(kept: Any) -> Any:
    """Return the sentence that ``put_away`` made plain data of."""
    if isinstance(kept, dict):
        return Said(kept["said"], **{name: said_again(part) for name, part in kept["with"].items()})
    return kept
