"""The pages are killed while phones send: nothing that was acknowledged is lost, nothing counts twice."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime

import pytest
from django.db import connection

from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import Garden, Member
from tests.campaign.conftest import Parts
from tests.campaign.serving import Pages, Phone, served, session_of
from tests.campaign.sums import faults
from tests.databases import Database
from tests.records.making import stick

PHONES = 6
pytestmark = pytest.mark.skipif(os.name == "nt", reason="kills as Unix does")


@contextmanager
def phones(
    pages: Pages, garden: Garden, grower: Member, batch: str, *, new_ids: bool = False
) -> Iterator[list[Phone]]:
    """Let phones send; at the end each has sent what it made."""
    cookies = session_of(grower)
    out = [Phone(pages.port, garden, batch, cookies, seed, new_ids) for seed in range(PHONES)]
    for phone in out:
        phone.start()
    try:
        yield out
    finally:
        for phone in out:
            phone.finish()
        for phone in out:
            phone.join(timeout=150)
    assert not any(phone.is_alive() for phone in out)


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> str:
    code = stick(garden, grower, now, n_stuck=10_000_000).batch
    connection.close()
    return code


def acknowledged_by(out: list[Phone]) -> list[str]:
    return [entry_id for phone in out for entry_id in phone.acknowledged]


def killed_once(pages: Pages, out: list[Phone], chance: random.Random) -> None:
    """Let some more be acknowledged, kill the pages a moment later, and start them again."""
    before = len(acknowledged_by(out))
    until = time.monotonic() + 60
    while len(acknowledged_by(out)) == before and time.monotonic() < until:
        time.sleep(0.01)
    time.sleep(chance.uniform(0.3, 1.2))
    pages.kill()
    pages.start()


def found(out: list[Phone]) -> list[str]:
    """Return what does not hold of the garden and of what phones were told."""
    made = [entry_id for phone in out for entry_id in phone.made]
    told = [f"answered oddly: {odd}" for phone in out for odd in phone.odd]
    connection.close()
    return told + faults(acknowledged_by(out), made)


def test_nothing_acknowledged_is_lost_and_nothing_counts_twice(
    garden: Garden, grower: Member, batch: str, database: Database, parts: Callable[[str], Parts]
) -> None:
    results = parts("kills")
    todo = list(results.of(3, 200))
    if not todo:
        return
    with served(database.url) as pages:
        for low in range(0, len(todo), 10):
            with phones(pages, garden, grower, batch) as out:
                for part in todo[low : low + 10]:
                    killed_once(pages, out, random.Random(part))
            assert found_so_far(out) == []
            for part in todo[low : low + 10]:
                results.done(part, acknowledged=len(acknowledged_by(out)))
    assert [str(one) for one in selfcheck().findings if one.level == "damage"] == []


_MADE: list[str] = []


def found_so_far(out: list[Phone]) -> list[str]:
    """Return what does not hold, where other phones sent before."""
    _MADE.extend(entry_id for phone in out for entry_id in phone.made)
    connection.close()
    told = [f"answered oddly: {odd}" for phone in out for odd in phone.odd]
    return told + faults(acknowledged_by(out), _MADE)


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_planted_an_answer_before_the_commit_is_caught(
    garden: Garden, grower: Member, batch: str, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SLIPWRIGHT_PLANTED", "1")
    with (
        served(database.url, "tests.campaign.faulty:application") as pages,
        phones(pages, garden, grower, batch) as out,
    ):
        killed_once(pages, out, random.Random(1))
    assert any("acknowledged and not there" in fault for fault in found(out))


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_planted_sending_again_under_another_id_is_caught(
    garden: Garden, grower: Member, batch: str, database: Database
) -> None:
    with served(database.url) as pages, phones(pages, garden, grower, batch, new_ids=True) as out:
        for part in range(3):
            killed_once(pages, out, random.Random(part))
    assert any("that nobody made" in fault for fault in found(out))
