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
from slipwright.records.keeping.opening import garden_file, vendor
from slipwright.records.models import Garden, Member, OneTimeCode, User
from slipwright.records.tables.loading import load
from slipwright.records.tables.progress import Progress, quiet

#: the demonstration garden's own id, and who owns it
GARDEN: Final = uuid.UUID(rows_by_hand("garden")[0]["garden"])
OWNER: Final = "orla"


def demo_garden() -> Garden | None:
    """Return the demonstration garden, if it is there and whole."""
    return Garden.objects.filter(garden=GARDEN).exclude(stands_on=None).first()


def fill_demo(now: datetime, progress: Progress = quiet) -> Garden:
    """Fill the database with the demonstration garden, and return it.

    What is there already is left as it is, its clock too, and what was begun is brought to its end.
    Refused where the database holds anything else. The owner can sign in by a code only: no password is set.
    """
    if found := _what_else():
        raise Refused(
            f"{_where()} holds {found}, which is no demonstration: it is left alone.",
            [
                "Give the demonstration a file of its own.",
                "If nothing in this one is wanted, remove it and ask again.",
            ],
        )
    if demo_garden() is None:
        with tempfile.TemporaryDirectory(prefix="slipwright-demo-") as folder:
            write_demo(Path(folder), progress)
            report = load(Path(folder), now=now, progress=progress)
        if report.n_rejected:
            raise RuntimeError(f"the demonstration does not load: {report.rejected[:5]}")
    with transaction.atomic():
        Garden.objects.filter(garden=GARDEN, stands_on=None).update(stands_on=STANDS_ON)
        garden = Garden.objects.get(garden=GARDEN)
        _let_the_owner_in(garden)
    return garden


def _what_else() -> str:
    """Return what the database holds beside the demonstration, empty where that is nothing."""
    if other := Garden.objects.exclude(garden=GARDEN).first():
        return f"the garden {other.name}"
    if demo_garden() is not None:
        return ""
    for person in User.objects.exclude(memberships__garden__garden=GARDEN):
        if not _is_left_over(person):
            return f"the sign-in name {person.username}"
    begun = OneTimeCode.objects.filter(purpose="set-up").exists()
    if begun and not Garden.objects.exists():
        return "the beginning of a garden of your own, with a code to set it up"
    return ""


def _is_left_over(person: User) -> bool:
    """Return whether a person was made to own the demonstration, and nothing came of it."""
    return person.username == OWNER and not person.has_usable_password() and not person.memberships.exists()


def _where() -> str:
    return str(garden_file()) if vendor() == "sqlite" else "this database"


def demo_user() -> User:
    """Return who owns the demonstration garden."""
    return User.objects.get(memberships__garden__garden=GARDEN, memberships__member=OWNER)


def _let_the_owner_in(garden: Garden) -> None:
    owner = Member.objects.get(garden=garden, member=OWNER)
    if owner.user is None:
        owner.user = _owner()
        owner.save()


def _owner() -> User:
    there = User.objects.filter(username=OWNER).first()
    if there is not None and _is_left_over(there):
        return there
    user = User(username=OWNER if there is None else f"{OWNER}-{GARDEN.hex[:8]}")
    user.set_unusable_password()
    user.save()
    return user
