"""How long it takes to read all that the two clocks learn from.

    python bench/histories.py [N_BATCHES]

A garden of its own is made in a temporary folder: N_BATCHES batches (10,000 unless said) with ten looks
each. What is timed is ``history_of`` and then ``mark_of``, of which a refit takes one each: processor time
of the middle one of five runs on a connection that is open.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import django

N_LOOKS = 10


def main(n_batches: int) -> None:
    """Build the garden, read its history, print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SLIPWRIGHT_DATABASE_URL"] = f"sqlite:///{Path(folder)}/garden.sqlite3"
        os.environ["DJANGO_SETTINGS_MODULE"] = "slipwright.config.settings"
        django.setup()
        from bench.filling import fill
        from slipwright.handbook import load_handbook
        from slipwright.records.answers.histories import history_of
        from slipwright.records.answers.history_mark import mark_of
        from slipwright.records.keeping.schema import create_if_absent

        create_if_absent()
        now = datetime(2026, 10, 20, tzinfo=UTC)
        garden = fill(n_batches=n_batches, n_looks=n_batches * N_LOOKS, at_all=True, now=now)
        handbook = load_handbook()
        read, marked = [], []
        for _ in range(5):
            start = time.process_time()
            history = history_of(garden, handbook)
            read.append(time.process_time() - start)
            start = time.process_time()
            mark = mark_of(history)
            marked.append(time.process_time() - start)
        assert (mark.n_batches, mark.n_looks) == (n_batches, n_batches * N_LOOKS)
        print(f"{n_batches} batches, {mark.n_looks} looks")
        print(f"history: middle {statistics.median(read):.2f} s, first {read[0]:.2f} s")
        print(f"its mark: middle {statistics.median(marked):.2f} s")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
