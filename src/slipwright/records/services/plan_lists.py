"""Lists of plans kept from one programme for the next, in the garden's own table."""

from __future__ import annotations

from collections.abc import Iterator, MutableMapping, Sequence
from datetime import date, timedelta
from typing import TypeVar

from django.db import transaction

from slipwright.records.models import Garden, PlanList

#: lists not used for so long go, and of all others those used last stay
UNUSED_FOR, MOST_KEPT = timedelta(days=60), 2_000
#: lists written or read at once
AT_ONCE = 50

T = TypeVar("T")


class KeptLists(MutableMapping[str, bytes]):
    """Lists by the digest of all that they rest on: read when they are asked for, written by ``settle``.

    Which there are takes one query. Those that were asked after are then read together, when the first of
    them is wanted. Nothing is written while a programme is made, so that nobody is kept waiting for it.
    """

    def __init__(self, garden: Garden, *, on: date) -> None:
        self._garden, self._on = garden, on
        self._known: set[str] | None = None
        self._asked: dict[str, None] = {}
        self._read: dict[str, bytes] = {}
        self._new: dict[str, bytes] = {}

    def __contains__(self, key: object) -> bool:
        """Return whether a list is there; it is read when the first is wanted."""
        if key in self._new:
            return True
        if not isinstance(key, str) or key not in self._there():
            return False
        self._asked[key] = None
        return True

    def __getitem__(self, key: str) -> bytes:
        """Return a list, and read all that were asked after with it."""
        if key in self._new:
            return self._new[key]
        if key not in self._read and key in self:
            self._fetch()
        return self._read[key]

    def __setitem__(self, key: str, plans: bytes) -> None:
        """Take a list, to be written by ``settle``."""
        self._new[key] = plans

    def __delitem__(self, key: str) -> None:
        """Take no more note of a list; what is in the table stays there."""
        if key not in self:
            raise KeyError(key)
        for known in (self._new, self._read, self._asked):
            known.pop(key, None)
        self._there().discard(key)

    def __iter__(self) -> Iterator[str]:
        """Yield the digests of all lists."""
        return iter(self._there() | set(self._new))

    def __len__(self) -> int:
        """Return how many lists there are."""
        return len(self._there() | set(self._new))

    def settle(self) -> None:
        """Write what is new and which were used, a few at a time; then let the oldest go."""
        rows = PlanList.rows.of(self._garden)
        for some in _few(list(self._new)):
            with transaction.atomic():
                PlanList.rows.bulk_create(
                    [
                        PlanList(garden=self._garden, key=key, plans=self._new[key], used_on=self._on)
                        for key in some
                    ],
                    ignore_conflicts=True,
                )
        self._read |= self._new
        self._there().update(self._new)
        self._new = {}
        for some in _few(list(self._asked), 10 * AT_ONCE):
            rows.filter(key__in=some, used_on__lt=self._on).update(used_on=self._on)
        rows.filter(used_on__lt=self._on - UNUSED_FOR).delete()
        over = rows.order_by("-used_on", "-pk").values_list("pk", flat=True)[MOST_KEPT:]
        for few in _few(list(over), 10 * AT_ONCE):
            rows.filter(pk__in=few).delete()

    def _there(self) -> set[str]:
        if self._known is None:
            self._known = set(PlanList.rows.of(self._garden).values_list("key", flat=True))
        return self._known

    def _fetch(self) -> None:
        missing = [key for key in self._asked if key not in self._read]
        for some in _few(missing, 10 * AT_ONCE):
            rows = PlanList.rows.of(self._garden).filter(key__in=some)
            self._read |= {key: bytes(plans) for key, plans in rows.values_list("key", "plans")}
        for key in missing:
            if key not in self._read:
                # it was dropped meanwhile
                self._there().discard(key)
                self._asked.pop(key)


def _few(things: Sequence[T], n: int = AT_ONCE) -> Iterator[Sequence[T]]:
    return (things[start : start + n] for start in range(0, len(things), n))
