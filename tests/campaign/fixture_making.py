"""Gardens as every earlier state of the schema left them, written once and never anew.

    tests/with-postgres python -m tests.campaign.fixture_making

makes what is missing. A state gets its dump when it is released; a dump that is there is never touched.
"""

from __future__ import annotations

import gzip
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")
os.environ.setdefault("SLIPWRIGHT_SECRET_KEY", "signs nothing that leaves this program")

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from slipwright.records import services  # noqa: E402
from slipwright.records.models import ENTRY_MODELS, BatchState, Garden, Member  # noqa: E402
from tests.databases import POSTGRES_URL, administer, at  # noqa: E402
from tests.records.conftest import small_garden  # noqa: E402
from tests.records.making import stick  # noqa: E402

FIXTURES = Path(__file__).parent / "fixtures"
STATES = ("0001", "0002", "0003", "0004", "0005", "0006", "0007")
NOW = datetime(2025, 10, 20, 15, 30, tzinfo=UTC)


def fill() -> None:
    """Add entries of every kind there was from the beginning."""
    garden = small_garden()
    by = Member.objects.get(garden=garden, member="grower")
    who: dict[str, Any] = {"garden": garden, "by": by, "now": NOW}
    for n in range(6):
        batch = stick(garden, by, NOW, plant="rose-gate", n_stuck=40 + n, note=f"tray {n}").batch
        for day in range(3, 15, 3):
            on = date(2025, 10, day)
            services.record_look(
                **who, batch=batch, on=on, n_rooted=day % 4, n_lost=day % 2, note="by the door"
            )
        services.record_potting(**who, batch=batch, on=date(2025, 10, 16), n_potted=2, container="pot-1l")
        services.record_act(**who, on=date(2025, 10, 16), act="move", batch=batch, to_place="frame-1")
        note = services.record_note(**who, about=batch, at=NOW, text="a line\nand another")
        services.withdraw(**who, withdraws=note.entry_id, reason="wrong tray", at=NOW)
    services.record_firmness(**who, plant="rose-gate", on=date(2025, 10, 10), firmness_tip=2)
    services.record_stage(**who, plant="rose-gate", on=date(2025, 10, 10), bbch=67)


def told() -> dict[str, Any]:
    """Return what must be the same after every change of the schema."""
    entries = sorted(
        (model.kind, entry_id, number, digest)
        for model in ENTRY_MODELS
        if model._meta.db_table in connection.introspection.table_names()
        for entry_id, number, digest in model.rows.values_list("entry_id", "number", "sha256")
    )
    totals = BatchState.rows.order_by("batch__number").values_list(
        "batch__batch", "n_rooted", "n_lost", "n_potted", "n_waiting"
    )
    return {
        "entries": [list(entry) for entry in entries],
        "totals": [list(total) for total in totals],
        "last_number": Garden.objects.values_list("last_number", flat=True).get(),
    }


@contextmanager
def in_state(state: str, url: str) -> Iterator[dict[str, Any]]:
    """Give a filled garden brought back to an earlier state, and what it holds."""
    with at(url):
        call_command("migrate", verbosity=0)
        fill()
        holds = told()
        call_command("migrate", "records", state, verbosity=0)
        if state < "0003":
            call_command("migrate", "sessions", "zero", verbosity=0)
        yield holds


def make(state: str) -> None:
    """Write the dumps of one state that are not there yet."""
    for kind in ("sqlite", "postgresql"):
        file = FIXTURES / f"{state}.{kind}.sql.gz"
        if file.exists() or (kind == "postgresql" and not POSTGRES_URL):
            continue
        with tempfile.TemporaryDirectory() as folder:
            made = _sqlite(state, folder) if kind == "sqlite" else _postgres(state)
        text, holds = made
        file.write_bytes(gzip.compress(text.encode(), mtime=0))
        file.with_suffix("").with_suffix(".json").write_text(
            json.dumps(holds, indent=1) + "\n", encoding="utf-8"
        )


def _sqlite(state: str, folder: str) -> tuple[str, dict[str, Any]]:
    file = f"{folder}/garden.sqlite3"
    with in_state(state, f"sqlite:///{file}") as holds:
        connection.close()
    # the interpreter's own module writes dumps; here another build stands in its place
    code = "import sqlite3, sys; print('\\n'.join(sqlite3.connect(sys.argv[1]).iterdump()), end='')"
    dumped = subprocess.run([sys.executable, "-c", code, file], capture_output=True, text=True, check=True)
    return dumped.stdout, holds


def _postgres(state: str) -> tuple[str, dict[str, Any]]:
    name = f"fixture_{state}_{os.getpid()}"
    administer(f"CREATE DATABASE {name}")
    try:
        with in_state(state, f"{POSTGRES_URL.rsplit('/', 1)[0]}/{name}") as holds:
            config = connection.settings_dict
            command = ["pg_dump", "--inserts", "--no-owner", "--no-privileges"]
            reach = ["-h", config["HOST"], "-p", str(config["PORT"]), "-U", config["USER"], name]
            dumped = subprocess.run([*command, *reach], capture_output=True, text=True, check=True).stdout
            lines = [line for line in dumped.splitlines() if not line.startswith("\\")]
            return "\n".join(lines), holds
    finally:
        administer(f"DROP DATABASE {name} WITH (FORCE)")


if __name__ == "__main__":
    FIXTURES.mkdir(exist_ok=True)
    for one in STATES:
        make(one)
