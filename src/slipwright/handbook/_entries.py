"""Reading one table of a handbook file strictly: nothing missing, unknown or of the wrong kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NoReturn


class HandbookError(ValueError):
    """A handbook file breaks a rule; says which file, where in it, which rule, and what stood there."""

    def __init__(self, file: str, where: str, rule: str, value: object = None) -> None:
        self.file = file
        self.where = where
        self.rule = rule
        self.value = value
        found = "" if value is None else f", but found {value!r}"
        super().__init__(f"{file}: {where or 'top of the file'}: {rule}{found}")


class Entry:
    """One table of a file, taken key by key; ``done`` refuses what nobody asked for."""

    def __init__(self, file: str, where: str, table: object) -> None:
        self.file = file
        self.where = where
        if not isinstance(table, Mapping):
            self.fail("must be a table", table)
        self._left: dict[str, Any] = dict(table)

    def fail(self, rule: str, value: object = None, key: str = "") -> NoReturn:
        """Raise a HandbookError naming this table, or one key of it."""
        where = ".".join(part for part in (self.where, key) if part)
        raise HandbookError(self.file, where, rule, value)

    def __contains__(self, key: str) -> bool:
        return key in self._left

    def _take(self, key: str) -> Any:
        if key not in self._left:
            self.fail("is missing", key=key)
        return self._left.pop(key)

    def text(self, key: str) -> str:
        """Take a text that is not blank."""
        value = self._take(key)
        if not isinstance(value, str):
            self.fail("must be a text", value, key)
        if not value.strip() or value != value.strip():
            self.fail("must be a text without blanks around it", value, key)
        return value

    def optional_text(self, key: str) -> str:
        """Take a text, or the empty text where the key is absent."""
        return self.text(key) if key in self else ""

    def word(self, key: str, allowed: Iterable[str]) -> Any:
        """Take one of the allowed words."""
        value = self.text(key)
        allowed = tuple(allowed)
        if value not in allowed:
            self.fail(f"must be one of {', '.join(allowed)}", value, key)
        return value

    def number(self, key: str) -> float:
        """Take a finite number."""
        value = self._take(key)
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.fail("must be a number", value, key)
        if value != value or value in (float("inf"), float("-inf")):
            self.fail("must be a finite number", value, key)
        return float(value)

    def truth(self, key: str) -> bool:
        """Take true or false."""
        value = self._take(key)
        if not isinstance(value, bool):
            self.fail("must be true or false", value, key)
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """Take a list of different texts, not empty."""
        values = self._take(key)
        if not isinstance(values, list) or not values:
            self.fail("must be a list with at least one text", values, key)
        for value in values:
            if not isinstance(value, str) or not value.strip():
                self.fail("must hold only texts", value, key)
        if len(set(values)) != len(values):
            self.fail("must not name the same twice", values, key)
        return tuple(values)

    def table(self, key: str) -> Entry:
        """Take a table as an entry of its own."""
        return Entry(self.file, f"{self.where}.{key}".strip("."), self._take(key))

    def tables(self, key: str, *, may_be_absent: bool = False) -> Iterator[Entry]:
        """Take a list of tables, each as an entry of its own."""
        if may_be_absent and key not in self:
            return
        values = self._take(key)
        if not isinstance(values, list) or not values:
            self.fail("must be a list with at least one table", values, key)
        for number, value in enumerate(values, start=1):
            yield Entry(self.file, f"{self.where}.{key}[{number}]".strip("."), value)

    def unread(self) -> tuple[str, ...]:
        """Return the keys not yet taken, in the order of the file."""
        return tuple(self._left)

    def raw(self, key: str) -> Any:
        """Take a value unchecked; the caller checks it."""
        return self._take(key)

    def done(self) -> None:
        """Refuse keys nobody took."""
        for key in self._left:
            self.fail("is not a key of this table", key=key)
