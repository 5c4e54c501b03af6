"""How long selfcheck takes for a garden of a million entries, and how long a verified backup of it.

    python bench/selfcheck.py [N_LOOKS] [N_BATCHES]

A garden of its own is made in a temporary folder by plain inserts in bulk (every hash and every
state right): N_LOOKS looks (1,000,000 unless said) at N_BATCHES batches (20,000 unless said), one
look in ten with a note. Then ``selfcheck`` runs whole: every page of the file, every reference, every
trigger, the hash of every entry, every batch summed anew. Wall and processor time are those of the
check alone, in this one process. A backup is a copy in one step and the same check of the copy.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import django


def main(n_looks: int, n_batches: int) -> None:
    """Build the garden, check it, back it up, print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "garden.sqlite3"
        os.environ["SLIPWRIGHT_DATABASE_URL"] = f"sqlite:///{file}"
        os.environ["DJANGO_SETTINGS_MODULE"] = "slipwright.config.settings"
        django.setup()
        from bench.filling import fill
        from slipwright.records.keeping.backup import backup
        from slipwright.records.keeping.schema import create_if_absent
        from slipwright.records.keeping.selfcheck import selfcheck

        create_if_absent()
        now = datetime(2026, 10, 20, tzinfo=UTC)
        with timed(f"filling with {n_looks:,} looks at {n_batches:,} batches"):
            fill(n_batches=n_batches, n_looks=n_looks, now=now)
        with timed("selfcheck"):
            checked = selfcheck(told=steps())
        assert checked.ok, checked.findings
        assert checked.n_entries == n_looks + n_batches
        print(f"{checked.n_entries:,} entries, file {file.stat().st_size / 1e6:,.0f} MB, {checked.database}")
        print(f"peak memory so far {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:,.0f} MB")
        with timed("verified backup"):
            backup(to=Path(folder), now=now)


class timed:  # noqa: N801  (reads as what it does)
    """Print the wall and processor time of what runs inside."""

    def __init__(self, what: str) -> None:
        self.what = what

    def __enter__(self) -> None:
        self.wall, self.cpu = time.perf_counter(), time.process_time()

    def __exit__(self, *error: object) -> None:
        wall, cpu = time.perf_counter() - self.wall, time.process_time() - self.cpu
        print(f"{self.what}: {wall:.1f} s, processor {cpu:.1f} s", flush=True)


def steps():
    """Return a listener that prints how long each step of the check took."""
    began: dict[str, float] = {}

    def told(step: str, done: int, total: int) -> None:
        began.setdefault(step, time.perf_counter())
        if total and done == total:
            print(f"  {step}: {time.perf_counter() - began[step]:.1f} s after its first report", flush=True)

    return told


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000,
        int(sys.argv[2]) if len(sys.argv) > 2 else 20_000,
    )
