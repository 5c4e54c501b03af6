"""What a form sent, as values: each reader names the field and the rule it breaks."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from slipwright.records.errors import BadValue

#: longer figures than this are a slip of the thumb
_DIGITS = 9
#: and longer numbers, with their point, are no measure
_SIGNS = 20


def whole_of(said: str) -> int | None:
    """Return the whole number of 0 or more that a text is, or None where it is anything else."""
    is_one = said.isascii() and said.isdigit() and len(said) <= _DIGITS
    return int(said) if is_one else None


def own_path(path: str, otherwise: str = "today") -> str:
    """Return a path of these pages; that of the page ``otherwise``, where it leads anywhere else."""
    is_own = path.startswith("/") and url_has_allowed_host_and_scheme(path, allowed_hosts=None)
    return path if is_own else reverse(otherwise)


def told(error: BadValue, labels: Mapping[str, str | Promise]) -> dict[str, Any]:
    """Return what is wrong as a page tells it, the field by the name it has there."""
    label = labels.get(error.column, error.column)
    return {"column": error.column, "label": label, "rule": error.rule, "value": error.value}


class Posted:
    """The fields of a form. What is empty is ``None`` or ``""``: not said, never nought."""

    def __init__(self, request: HttpRequest) -> None:
        self._fields = request.POST

    def text(self, name: str) -> str:
        """Return a line of text, without the space around it."""
        return self._fields.get(name, "").strip()

    def word(self, name: str, choices: Collection[str]) -> str:
        """Return one word of a closed list, or nothing."""
        said = self.text(name)
        if said and said not in choices:
            raise BadValue(name, _("must be one of the choices"), said)
        return said

    def words(self, name: str, choices: Collection[str]) -> list[str]:
        """Return several words of a closed list."""
        said = [word for word in self._fields.getlist(name) if word]
        for word in said:
            if word not in choices:
                raise BadValue(name, _("must be one of the choices"), word)
        return said

    def whole(self, name: str) -> int | None:
        """Return a whole number of 0 or more, or None where nothing was said."""
        said = self.text(name)
        if not said:
            return None
        if (number := whole_of(said)) is None:
            raise BadValue(name, _("must be a whole number of 0 or more"), said)
        return number

    def number(self, name: str) -> Decimal | None:
        """Return a number, with a point or a comma, or None where nothing was said."""
        said = self.text(name).replace(",", ".")
        if not said:
            return None
        try:
            number = Decimal(said)
        except InvalidOperation:
            raise BadValue(name, _("must be a number"), said) from None
        if not number.is_finite() or len(said) > _SIGNS or abs(number.adjusted()) > _DIGITS:
            raise BadValue(name, _("must be a number"), said)
        return number

    def signed(self, name: str) -> int | None:
        """Return a whole number that may be below 0, or None where nothing was said."""
        number = self.number(name)
        if number is None:
            return None
        if number != number.to_integral_value() or abs(number) >= 10**_DIGITS:
            raise BadValue(name, _("must be a whole number"), self.text(name))
        return int(number)

    def day(self, name: str) -> date | None:
        """Return a calendar date, or None where nothing was said."""
        said = self.text(name)
        if not said:
            return None
        try:
            return date.fromisoformat(said)
        except ValueError:
            raise BadValue(name, _("must be a date, as 2026-09-10"), said) from None
