"""Loading 1,000,000 looks into an empty garden on SQLite; loading them again; dumping them; bad ones.

Method: 20,000 batches of 60 cuttings with 50 weekly looks each are written as tables without ids, every
look with ``by``, one in five with a cause, one in ten with a note. Each step runs in a process of its own
on a file in the temporary folder: the figures are user plus system time and the peak resident size of
that process as the operating system accounts them, imports included; "held" is wall time from before the
garden is locked until the transaction has ended. The killed load gets SIGKILL when half the looks have
been written, and then the rows are counted. The bad looks have a day that is none of the calendar, every
one. Other work on the machine makes CPU seconds longer too: a loop of 20,000,000 additions is timed beside.
"""

from __future__ import annotations

import csv
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

N_BATCHES = 20_000
N_LOOKS = 50
#: step: the most CPU seconds, peak MB and seconds held
LIMITS = {"load": (90.0, 500.0, 15.0), "again": (90.0, 500.0, 0.0), "bad": (30.0, 200.0, 0.0)}
CAUSES = ("rot-from-base", "dieback-from-top", "dried", "unknown")


def write_tables(folder: Path, *, bad: bool = False) -> None:
    """Write the tables of a garden of 1,000,000 looks."""
    folder.mkdir()
    draw = random.Random(1)
    garden = ["7d2b61f4-6f0e-4c1b-8e57-2a9c41d7f0b3", "Saltmarsh Lane", "41.1", "-72.4", "America/New_York"]
    _write(
        folder / "garden.csv",
        ["garden", "name", "latitude_deg", "longitude_deg", "time_zone"],
        iter([garden]),
    )
    _write(folder / "members.csv", ["member", "role"], ([f"m{n}", "grower"] for n in range(10)))
    batches = (
        [f"B{n:06d}", "Rosa 'Lantern Keeper'", _day(n, 0), 60, "hardwood", "talc" if n % 3 else ""]
        for n in range(N_BATCHES)
    )
    _write(folder / "batches.csv", ["batch", "taxon", "stuck_on", "n_stuck", "wood", "auxin_form"], batches)
    header = ["batch", "on", "n_rooted", "n_lost", "cause", "by", "note"]
    _write(folder / "looks.csv", header, _looks(draw, bad=bad))


def _looks(draw: random.Random, *, bad: bool) -> Iterator[list[Any]]:
    for n in range(N_BATCHES):
        for week in range(1, N_LOOKS + 1):
            lost = int(draw.random() < 0.2)
            rooted = int(draw.random() < 0.5) if week < 40 else 0
            cause = draw.choice(CAUSES) if lost else ""
            note = "new growth seen at the tips" if draw.random() < 0.1 else ""
            on = "2026-02-30" if bad else _day(n, week)
            yield [f"B{n:06d}", on, rooted, lost, cause, f"m{draw.randrange(10)}", note]


def _day(n: int, week: int) -> str:
    return (date(2020, 1, 1) + timedelta(days=n % 1500 + 7 * week)).isoformat()


def _write(file: Path, header: list[str], rows: Iterator[list[Any]]) -> None:
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(header)
        writer.writerows(rows)


def step(name: str, source: Path) -> None:
    """Do one step in this process and print what it took as JSON."""
    import resource

    import django

    django.setup()
    from slipwright.records.keeping.schema import create_if_absent
    from slipwright.records.models import Garden
    from slipwright.records.tables.dumping import dump
    from slipwright.records.tables.loading import load

    def killing(done: int, total: int, label: str) -> None:
        if name == "killed" and label == "writing" and done > total // 2:
            os.kill(os.getpid(), signal.SIGKILL)

    create_if_absent()
    begun = time.perf_counter()
    found: dict[str, Any] = {}
    if name == "dump":
        found["rows"] = sum(dump(Garden.objects.get(), source).values())
    else:
        report = load(source, now=datetime.now(UTC), progress=killing)
        found |= {"rows": report.accepted, "unchanged": report.unchanged, "bad": report.n_rejected}
        found["held"] = report.held_s
    used = resource.getrusage(resource.RUSAGE_SELF)
    found |= {"cpu": used.ru_utime + used.ru_stime, "wall": time.perf_counter() - begun}
    found["mb"] = used.ru_maxrss / (1024**2 if sys.platform == "darwin" else 1024)
    print(json.dumps(found))


def measured(name: str, source: Path, garden: Path) -> bool:
    """Run one step as a process of its own, print its figures, and return whether they keep the limits."""
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{garden}",
        "TMPDIR": str(garden.parent),
    }
    done = subprocess.run(
        [sys.executable, __file__, name, str(source)], env=environment, stdout=subprocess.PIPE, check=False
    )
    if name == "killed":
        rows = sqlite3.connect(garden).execute("SELECT count(*) FROM records_look").fetchone()[0]
        print(f"{name:<8} exit {done.returncode}, looks written: {rows:,}")
        return done.returncode == -9 and rows == 0
    found = json.loads(done.stdout)
    limits = LIMITS.get(name, (0.0, 0.0, 0.0))
    words = [
        f"{found[key]:8.1f} {unit}{f' (limit {limit:g})' if limit else ''}"
        for key, unit, limit in zip(
            ("cpu", "mb", "held"), ("s CPU", "MB peak", "s held"), limits, strict=True
        )
        if key in found
    ]
    counts = ", ".join(f"{found[key]:,} {key}" for key in ("rows", "unchanged", "bad") if key in found)
    print(f"{name:<8}{', '.join(words)}; {found['wall']:.1f} s wall; {counts}")
    return all(
        not limit or found.get(key, 0) <= limit
        for key, limit in zip(("cpu", "mb", "held"), limits, strict=True)
    )


def _yardstick() -> float:
    begun = time.process_time()
    total = 0
    for n in range(20_000_000):
        total += n
    return time.process_time() - begun


def main() -> int:
    """Do every step and print its figures; 1 if a limit is missed."""
    print(__doc__)
    kept = True
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        write_tables(here / "tables")
        write_tables(here / "bad", bad=True)
        for name, source, garden in (
            ("killed", "tables", "killed.sqlite3"),
            ("load", "tables", "garden.sqlite3"),
            ("again", "tables", "garden.sqlite3"),
            ("dump", "garden.zip", "garden.sqlite3"),
            ("bad", "bad", "empty.sqlite3"),
        ):
            print(f"         loop beside: {_yardstick():.2f} s")
            kept &= measured(name, here / source, here / garden)
    return 0 if kept else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        step(sys.argv[1], Path(sys.argv[2]))
    else:
        sys.exit(main())
