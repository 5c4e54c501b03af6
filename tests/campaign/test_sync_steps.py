"""Whatever phones, the network, the server and people do, nothing is lost, doubled or summed wrong.

Each sequence is a seed; 1,000,000 steps in all. A sequence that fails is made short before it is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import connection

from slipwright.records.models import Member
from tests.campaign.conftest import IS_FULL, Parts
from tests.campaign.sync_checks import BATCHES
from tests.campaign.sync_faults import NOT_CHECKED, OVERWRITTEN, SERVER_FAULTS, planted
from tests.campaign.sync_phone import PHONE_FAULTS
from tests.campaign.sync_steps import Step, named, shortened, steps_of, went_wrong
from tests.campaign.sync_world import World
from tests.databases import Templates, connected
from tests.records.conftest import small_garden
from tests.records.making import stick

NOW = datetime(2025, 10, 20, 15, 30, tzinfo=UTC)
N_STEPS = 60
N_SEQUENCES = 50
#: two halves of so many parts, so that two can be at it
FEW, ALL = 1, 167
MOST_SEQUENCES = 5_000
QUICK = (
    NOT_CHECKED,
    OVERWRITTEN,
    "removed when it is sent",
    "kept in memory only",
    "sent by whoever is signed in",
)


class Table:
    """A garden in memory with two batches, put back to that before each sequence."""

    def __init__(self) -> None:
        self.garden = small_garden()
        by = Member.objects.get(garden=self.garden, member="grower")
        for batch in BATCHES:
            stick(self.garden, by, NOW, batch=batch, n_stuck=500)
        self.garden.refresh_from_db()
        self._first: Any = type(connection.connection).__mro__[-2](":memory:")
        connection.connection.backup(self._first)

    def wrong(self, steps: list[Step], fault: str = "") -> str:
        """Return what does not hold after these steps."""
        self._first.backup(connection.connection)
        world = World(self.garden, NOW, fault)
        with planted(fault):
            return went_wrong(world, steps)


@pytest.fixture
def table(templates: Templates) -> Iterator[Table]:
    with templates.copy("sqlite"):
        connection.ensure_connection()
        source = connection.connection
        memory = {"ENGINE": "django.db.backends.sqlite3", "NAME": ":memory:"}
        options = {"transaction_mode": "IMMEDIATE", "init_command": "PRAGMA recursive_triggers=ON"}
        copy = type(source)(":memory:")
        source.backup(copy)
        with connected(memory | {"OPTIONS": options}):
            connection.ensure_connection()
            copy.backup(connection.connection)
            yield Table()


@pytest.mark.parametrize("half", [0, 1])
def test_whatever_happens_nothing_is_lost_or_doubled(
    half: int, table: Table, parts: Callable[[str], Parts]
) -> None:
    suite = parts(f"sync-steps-{half}")
    for part in suite.of(FEW, ALL):
        for n in range(N_SEQUENCES):
            seed = (2 * part + half) * N_SEQUENCES + n
            steps = steps_of(seed, N_STEPS)
            if wrong := table.wrong(steps):
                short = shortened(steps, lambda fewer: bool(table.wrong(fewer)))
                pytest.fail(f"seed {seed}: {wrong}; {table.wrong(short)}:\n" + "\n".join(named(short)))
        suite.done(part, steps=N_STEPS * N_SEQUENCES)


@pytest.mark.parametrize("fault", [*PHONE_FAULTS, *SERVER_FAULTS] if IS_FULL else QUICK)
def test_planted_faults_are_found(fault: str, table: Table, parts: Callable[[str], Parts]) -> None:
    found = next(
        (seed for seed in range(MOST_SEQUENCES) if table.wrong(steps_of(seed, N_STEPS), fault)), None
    )
    assert found is not None
    steps = steps_of(found, N_STEPS)
    short = shortened(steps, lambda fewer: bool(table.wrong(fewer, fault)))
    parts("sync-faults").done(0, fault=fault, sequences=found + 1, steps=len(short))
    assert table.wrong(short, fault)
    assert not table.wrong(short)
