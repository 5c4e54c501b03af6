"""How right and how quick the rooting model is.

    python bench/rooting.py [WHAT ...]

WHAT is one or more of the parts below; unless said, the first five, which take minutes. Processor time is
of one process, without imports and without making the records; wall time stands beside it.

    times        cold fits of 30, 300, 3,000 and 10,000 batches, and warm ones, each in a process of its own
    growth       the exponent of time from 1,000 to 30,000 batches
    forecast     a live forecast of one batch under way
    proportion   seeds on plates, by ours and by programs of R for mixed models, where R is present
    other        a world that is not the model's: log-normal times, a share that never roots
    accuracy     six fresh histories of 30 and of 300 batches against NUTS (needs NumPyro)
    calibration  how often truth lies within 9 times in 10: 400 histories of 30 batches, 400 of 3 batches of 8

``accuracy`` runs NUTS with the interpreter named by SLIPWRIGHT_NUTS_PYTHON, or this one. What takes long is
kept in the folder SLIPWRIGHT_BENCH_TO (else a temporary one), and goes on where it was.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.rooting_accuracy import accuracy
from bench.rooting_calibration import calibration, other
from bench.rooting_proportion import proportion
from bench.worlds import own_world
from slipwright.rooting.fit import Fit
from slipwright.rooting.fitting import fit
from slipwright.rooting.forecast import forecast_batch
from slipwright.rooting.history import BatchRecord

SIZES = ((30, 10), (300, 40), (3_000, 150), (10_000, 500))
N_UNDER_WAY = 40
GROWTH = (1_000, 3_000, 10_000, 30_000)


def history(n_batches: int, n_taxa: int) -> list[BatchRecord]:
    """Draw the history of a size; the same at each run."""
    return own_world(np.random.default_rng([11, n_batches]), n_batches, n_taxa).records


def timed(work: Callable[[], Fit]) -> tuple[Fit, float, float]:
    """Fit; what was found, seconds of the processor and on the wall."""
    cpu, wall = time.process_time(), time.perf_counter()
    found = work()
    return found, time.process_time() - cpu, time.perf_counter() - wall


def one(n_batches: int, n_taxa: int, *, warm: bool = True) -> float:
    """Fit a history cold, then warm with 3 % of it new; print, and return the cold seconds."""
    records = history(n_batches, n_taxa)
    n_looks = sum(len(record.counts.looks) for record in records)
    fit(records[:3])
    found, cpu, wall = timed(lambda: fit(records))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{n_batches:>6} batches, {n_taxa} taxa, {n_looks:,} looks", end=": ")
    print(
        f"cold {cpu:.2f} s CPU, {wall:.2f} s wall, {peak:,.0f} MB; converged: {found.converged}", flush=True
    )
    if warm:
        start = fit(records[: round(n_batches * 0.97)]).start()
        for spreads, held in (("held", True), ("anew", False)):
            _, cpu_again, again = timed(partial(fit, records, start=start, hold_spreads=held))
            print(f"        warm, 3 % new, spreads {spreads}: {cpu_again:.2f} s CPU, {again:.2f} s wall")
    return cpu


def times() -> None:
    """Time each size in a process of its own, so that the peaks of memory are its own."""
    for n_batches, n_taxa in SIZES:
        subprocess.run([sys.executable, __file__, "one", str(n_batches), str(n_taxa)], check=True)


def growth() -> None:
    """Fit a line through the logarithms of batches and seconds."""
    seconds = [one(n, n // 20, warm=False) for n in GROWTH]
    slope = np.polyfit(np.log(GROWTH), np.log(seconds), 1)[0]
    print(f"seconds grow with batches to the power {slope:.2f}")


def forecast() -> None:
    """Forecast batches under way after three looks that the fit has not seen."""
    records = history(300, 40)
    learned = fit(records[N_UNDER_WAY:]).learned()
    took = []
    for record in records[:N_UNDER_WAY]:
        seen = replace(record, counts=replace(record.counts, looks=record.counts.looks[:3]))
        on = seen.counts.looks[-1].on
        start = time.process_time()
        forecast_batch(learned, seen, on=on, generator=np.random.default_rng(1), patience_days=120)
        took.append((time.process_time() - start) * 1000)
    print(f"live forecast of one batch: middle {np.median(took):.1f} ms CPU, slowest {max(took):.1f} ms")


def main(chosen: list[str]) -> None:
    """Run the parts chosen."""
    if chosen[:1] == ["one"]:
        one(int(chosen[1]), int(chosen[2]))
        return
    kept = Path(os.environ.get("SLIPWRIGHT_BENCH_TO") or tempfile.mkdtemp(prefix="slipwright-bench-"))
    kept.mkdir(parents=True, exist_ok=True)
    parts: dict[str, Callable[[], object]] = {
        "times": times,
        "growth": growth,
        "forecast": forecast,
        "proportion": proportion,
        "other": other,
        "accuracy": lambda: accuracy(kept),
        "calibration": lambda: calibration(kept),
    }
    for part in chosen or list(parts)[:5]:
        print(f"-- {part}", flush=True)
        parts[part]()


if __name__ == "__main__":
    main(sys.argv[1:])
