"""How long it takes to read where 500 batches stand.

    python bench/states.py [N_BATCHES]

A garden of its own is made in a temporary folder: N_BATCHES open batches (500 unless said), each
with five looks, and as many again that have ended. What is timed is the selector the round uses,
``states_of_open_batches``: one query, joined to taxon, plant, place, method, and the plain values
made of it. The figure is the wall time of the fastest and of the middle one of 21 runs on a
connection that is open; each run sends its query anew.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import django

N_LOOKS = 5


def main(n_batches: int) -> None:
    """Build the garden, read it, print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SLIPWRIGHT_DATABASE_URL"] = f"sqlite:///{Path(folder)}/garden.sqlite3"
        os.environ["DJANGO_SETTINGS_MODULE"] = "slipwright.config.settings"
        django.setup()
        from bench.filling import fill
        from slipwright.records.keeping.schema import create_if_absent
        from slipwright.records.selectors import counts_of, states_of_open_batches

        create_if_absent()
        now = datetime(2026, 10, 20, tzinfo=UTC)
        garden = fill(n_batches=n_batches, n_looks=n_batches * N_LOOKS, n_ended=n_batches, now=now)
        took, with_looks = [], []
        for _ in range(21):
            start = time.perf_counter()
            batches = states_of_open_batches(garden)
            took.append(time.perf_counter() - start)
            counts_of(garden, batches)
            with_looks.append(time.perf_counter() - start)
        assert len(batches) == n_batches
        assert all(batch.last_look_on is not None for batch in batches)
        oldest = max((now.date() - batch.stuck_on for batch in batches), default=timedelta())
        print(f"{n_batches} open batches, {n_batches} ended, oldest {oldest.days} days")
        print(f"states: fastest {1000 * min(took):.1f} ms, middle {1000 * statistics.median(took):.1f} ms")
        print(f"states and looks: middle {1000 * statistics.median(with_looks):.1f} ms")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
