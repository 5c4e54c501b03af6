"""Filling a database with the demonstration garden."""

from __future__ import annotations

import tempfile
import uuid
from datetime import datetime
from pathlib import Path
from typing import Final

from django.db import transaction

from slipwright.records.demo.rows import write_demo
from slipwright.records.demo.setting import STANDS_ON, rows_by_hand
from slipwright.records.errors import Refused
from slipwright.records.models import Garden, Member, User
from slipwright.records.tables.loading import load
from slipwright.records.tables.progress import Progress, quiet

#: the demonstration garden's own id, and who owns it
GARDEN: Final = uuid.UUID(rows_by_hand("garden")[0]["garden"])
OWNER: Final = "orla"


def holds_only_demos() -> bool:
    """Return whether every garden of the database is a demonstration; so it is if there is none."""
    return not Garden.objects.filter(stands_on=None).exclude(garden=GARDEN).exists()


def demo_garden() -> Garden | None:
    """Return the demonstration garden, if it is there and whole."""
    return Garden.objects.filter(garden=GARDEN).exclude(stands_on=None).first()


def fill_demo(now: datetime, progress: Progress = quiet) -> Garden:
    """Fill the database with the demonstration garden, and return it.

    What is there already is left as it is. Refused where the database holds a garden that is no
    demonstration. The owner can sign in by a code only: no password is set.
    """
    if not holds_only_demos():
        raise Refused("This database holds a garden that is no demonstration: it is left alone.")
    if demo_garden() is None:
        with tempfile.TemporaryDirectory(prefix="slipwright-demo-") as folder:
            write_demo(Path(folder), progress)
            report = load(Path(folder), now=now, progress=progress)
        if report.n_rejected:
            raise RuntimeError(f"the demonstration does not load: {report.rejected[:5]}")
    with transaction.atomic():
        Garden.objects.filter(garden=GARDEN).update(stands_on=STANDS_ON)
        garden = Garden.objects.get(garden=GARDEN)
        _let_the_owner_in(garden)
    return garden


def demo_user() -> User:
    """Return who owns the demonstration garden."""
    return User.objects.get(memberships__garden__garden=GARDEN, memberships__member=OWNER)


def _let_the_owner_in(garden: Garden) -> None:
    owner = Member.objects.get(garden=garden, member=OWNER)
    if owner.user is None:
        user = User(username=OWNER)
        user.set_unusable_password()
        user.save()
        owner.user = user
        owner.save()
