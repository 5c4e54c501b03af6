"""CPU time of commands as whole processes.

Method: each command is run once to warm the file cache, then RUNS times, one after the other; the
figure is user plus system time of the finished process as the operating system accounts it, and
its median is compared with the limit. ``python -c pass`` stands beside as the floor. Commands
marked with a garden read the example garden, loaded once beforehand.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

RUNS = 5
ROOT = Path(__file__).parents[1]
TOOL = [sys.executable, "-m", "slipwright.cli"]
COMMANDS: tuple[tuple[str, float | None, list[str]], ...] = (
    ("python -c pass", None, [sys.executable, "-c", "pass"]),
    (
        "craft stick-count",
        0.3,
        [*TOOL, "craft", "stick-count", "--want", "24", "--mean", ".65", "--assurance", ".9"],
    ),
    ("craft cane", 0.3, [*TOOL, "craft", "cane", "--node-mm", ",".join(str(40 * n) for n in range(1, 26))]),
    (
        "advise",
        0.7,
        [*TOOL, "advise", "climbing rose", "--on", "2015-10-20", "--at", "41,-72", "--want", "5"],
    ),
    ("forecast --new", 0.7, [*TOOL, "forecast", "--new", "rosemary", "--wood", "softwood"]),
    ("batches (garden)", 1.2, [*TOOL, "batches"]),
    ("today (garden)", 1.2, [*TOOL, "today"]),
    ("forecast (garden)", 1.2, [*TOOL, "forecast", "7CGG"]),
    (
        "labels (garden)",
        1.2,
        [*TOOL, "labels", "--since", "2015-09-01", "--stock", "stake", "--out", os.devnull],
    ),
    ("sheet (garden)", 1.2, [*TOOL, "sheet", "Gate roses 2016", "--out", os.devnull]),
    ("calendar (garden)", 1.2, [*TOOL, "calendar", "--out", os.devnull]),
)


def cpu_s(command: list[str], env: dict[str, str]) -> float:
    """Return user plus system seconds of one finished run."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, env=env, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> int:
    print(__doc__)
    kept = True
    with tempfile.TemporaryDirectory() as folder:
        env = {
            **os.environ,
            "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{folder}/garden.sqlite3",
            "SLIPWRIGHT_TODAY": "2015-10-20",
        }
        subprocess.run(
            [*TOOL, "load", "examples/saltmarsh-lane"],
            env=env,
            check=True,
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
        )
        print(f"{'command':<22}{'median s':>10}{'least':>8}{'most':>8}{'limit':>8}")
        for name, limit, command in COMMANDS:
            run = [part.replace(os.devnull, f"{folder}/out") for part in command]
            cpu_s(run, env)
            times = sorted(cpu_s(run, env) for _ in range(RUNS))
            kept &= limit is None or statistics.median(times) <= limit
            shown = f"{limit:>8.1f}" if limit else f"{'-':>8}"
            print(f"{name:<22}{statistics.median(times):>10.2f}{times[0]:>8.2f}{times[-1]:>8.2f}{shown}")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
