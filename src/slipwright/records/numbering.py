"""The garden's lock, and the server numbers given out under it.

Whoever adds entries to a garden first holds its lock, then looks whether the entry is already there,
then takes a number; the lock is held until the transaction ends.  So numbers have no gaps that a
reader could have passed by, and two writers never sum the same batch at the same time.

On PostgreSQL the lock is the garden's row.  It is taken ``FOR NO KEY UPDATE``, which keeps other
holders out but lets rows that merely refer to the garden be written.  SQLite has one writer at a
time: a transaction opened ``IMMEDIATE`` is the lock.
"""

from __future__ import annotations

from django.db import transaction
from django.db.models import F

from slipwright.records.models import Garden


def hold(garden: Garden, *, using: str = "default") -> Garden:
    """Return ``garden`` as it is now, held until the transaction ends.

    Must be called inside the caller's transaction: without one, the lock would be gone at once.
    """
    if not transaction.get_connection(using).in_atomic_block:
        raise transaction.TransactionManagementError("a garden is held inside a transaction only")
    return Garden.objects.using(using).select_for_update(no_key=True).get(pk=garden.pk)


def take_numbers(held: Garden, n: int = 1) -> int:
    """Return the first of ``n`` new server numbers of a garden that is held."""
    Garden.objects.filter(pk=held.pk).update(last_number=F("last_number") + n)
    first = held.last_number + 1
    held.last_number += n
    return first


def take_edit_number(held: Garden) -> int:
    """Return the number of the next edit of a reference row of a garden that is held."""
    Garden.objects.filter(pk=held.pk).update(last_edit=F("last_edit") + 1)
    held.last_edit += 1
    return held.last_edit
