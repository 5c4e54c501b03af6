"""Fields of the records, one constructor a kind of column of ``records.columns``."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

SHORT = 100
TEXT = 200
NOTE = 4000
DIGITS = 14
DECIMALS = 6


def short(**options: Any) -> models.CharField[str, str]:
    """Return a field for an id: any short text."""
    return models.CharField(max_length=SHORT, **options)


def text() -> models.CharField[str, str]:
    """Return a field for a line of text."""
    return models.CharField(max_length=TEXT, blank=True, default="")


def note() -> models.CharField[str, str]:
    """Return a field for words of several lines."""
    return models.CharField(max_length=NOTE, blank=True, default="")


def word(choices: tuple[str, ...], *, required: bool = False) -> models.CharField[str, str]:
    """Return a field for one word of a closed list."""
    options: dict[str, Any] = {} if required else {"blank": True, "default": ""}
    return models.CharField(max_length=24, choices=[(choice, choice) for choice in choices], **options)


def whole(*, required: bool = False) -> models.PositiveIntegerField[Any, Any]:
    """Return a field for a count."""
    return models.PositiveIntegerField(null=not required, blank=not required)


def signed() -> models.IntegerField[Any, Any]:
    """Return a field for a whole number that may be negative."""
    return models.IntegerField(null=True, blank=True)


def number(*, required: bool = False) -> models.DecimalField[Any, Any]:
    """Return a field for a measured number; 14 digits survive SQLite's eight-byte floats."""
    return models.DecimalField(
        max_digits=DIGITS, decimal_places=DECIMALS, null=not required, blank=not required
    )


def day(*, required: bool = False) -> models.DateField[Any, Any]:
    """Return a field for a calendar date."""
    return models.DateField(null=not required, blank=not required)


def reference(to: str | type[models.Model], *, required: bool = False, **options: Any) -> Any:
    """Return a reference to a row of the same garden, which cannot be deleted while referred to."""
    return models.ForeignKey(
        to, on_delete=models.PROTECT, null=not required, blank=not required, related_name="+", **options
    )


def one_of(name: str, field: str, choices: tuple[str, ...], *, required: bool = False) -> Any:
    """Return the database constraint that holds ``field`` to its closed list."""
    allowed = list(choices) if required else ["", *choices]
    return models.CheckConstraint(condition=Q(**{f"{field}__in": allowed}), name=f"{name}_{field}_word")


def within(name: str, field: str, low: float | None, high: float | None) -> Any:
    """Return the database constraint that holds a number between two inclusive limits."""
    limit = Q(**{f"{field}__isnull": True})
    inside = Q()
    if low is not None:
        inside &= Q(**{f"{field}__gte": low})
    if high is not None:
        inside &= Q(**{f"{field}__lte": high})
    return models.CheckConstraint(condition=limit | inside, name=f"{name}_{field}_limit")
