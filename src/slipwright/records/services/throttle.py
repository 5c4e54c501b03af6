"""How often a name, or a code, may be tried: buckets of tries that fill with time, kept in the database.

They are asked before any password is hashed, and written to only where something was wrong, so that a
flood costs a look into a table and no more.
"""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv6Address, ip_address, ip_network
from math import ceil

from django.db import transaction

from slipwright.records.errors import DoorBusy, TooManyTries
from slipwright.records.models import Tries


@dataclass(frozen=True, slots=True)
class Bucket:
    """Holds ``most`` tries, and gets ``per_s`` back a second."""

    most: int
    per_s: float


#: one name, or any code, from one address: ten, then one a minute
OF_NAME = Bucket(10, 1 / 60)
#: whatever is tried from one address: a hundred an hour
OF_ADDRESS = Bucket(100, 100 / 3600)
#: what all codes together are tried as
CODES = "\0codes"

_FULL_AGAIN = timedelta(hours=2)
#: in each process one password is hashed at once, and one more may wait for it: the others' pages stay quick
_HASHING = threading.Semaphore(1)
_NEXT = threading.BoundedSemaphore(2)


def require_tries(name: str, address: str, now: datetime) -> None:
    """Raise ``TooManyTries`` where a name may not be tried from an address for now. One query."""
    asked = _buckets(name, address)
    for row in Tries.objects.filter(key__in=asked):
        _require_one(asked[row.key], row, now)


@transaction.atomic
def count_wrong(name: str, address: str, now: datetime) -> None:
    """Take a try from the name at its address, and from the address."""
    for key, bucket in sorted(_buckets(name, address).items()):
        row, _ = Tries.objects.select_for_update().get_or_create(
            key=key, defaults={"left": bucket.most, "at": now}
        )
        row.left = max(_left(bucket, row, now) - 1, 0)
        row.at = max(now, row.at)
        row.save()


def forget_tries(*, now: datetime) -> None:
    """Throw away the buckets that have long been full again."""
    Tries.objects.filter(at__lt=now - _FULL_AGAIN).delete()


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold the turn to hash a password; raise ``DoorBusy`` at once where another waits for it already."""
    if not _NEXT.acquire(blocking=False):
        raise DoorBusy
    try:
        with _HASHING:
            yield
    finally:
        _NEXT.release()


def _buckets(name: str, address: str) -> dict[str, Bucket]:
    near = _near(address)
    return {_key("name", name.strip().casefold(), near): OF_NAME, _key("address", near): OF_ADDRESS}


def _near(address: str) -> str:
    """Return the address; of IPv6 out in the world the network of its house: that has many."""
    try:
        known = ip_address(address)
    except ValueError:
        return address
    if isinstance(known, IPv6Address):
        known = known.ipv4_mapped or known
    if isinstance(known, IPv6Address) and known.is_global:
        return str(ip_network((known, 64), strict=False))
    return str(known)


def _key(*parts: str) -> str:
    return hashlib.sha256("\0".join(parts).encode("utf-8", "surrogatepass")).hexdigest()


def _left(bucket: Bucket, row: Tries, now: datetime) -> float:
    passed = max((now - row.at).total_seconds(), 0)
    return min(row.left + passed * bucket.per_s, bucket.most)


def _require_one(bucket: Bucket, row: Tries, now: datetime) -> None:
    if (left := _left(bucket, row, now)) < 1:
        raise TooManyTries(ceil((1 - left) / bucket.per_s))
