"""How long the season's programme of a garden of many wants takes, from its records to its lines.

    python bench/season_garden.py [--wants N] [--standing N] [--unlearned] [--keep FILE]

Method: the garden of `bench/season_nursery.py` is made in a temporary file of SQLite: 300 wants unless said,
60 taxa, 300 stock plants, 400 standing batches with looks, three years of weather, and, unless
``--unlearned``, it is learned from. Each step then runs in a process of its own, as the helper makes a
programme, with the two workers it starts:

    first     nothing kept: neither lists of plans nor the seasons of plants
    again     the same day, with the lists and seasons kept
    re-plan   with them, after the looks of a day at ten batches, the first being announced

Printed are seconds on the wall from the garden to the programme and of its parts (``reading`` is what comes
before listing: windows, ways, options, what stands), seconds of the processor of all processes, peak memory
of the process and of its largest worker, imports included, and what was found. Limits: first 90 s, with
lists kept 60 s, a re-plan 15 s, 1,000 MB in any process.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

NOW = datetime(2026, 3, 3, 15, 30, tzinfo=UTC)
#: step: the most seconds on the wall
LIMITS = {"first": 90.0, "again": 60.0, "re-plan": 15.0}
MOST_MB = 1_000.0


def make(n_wants: int, n_standing: int, learns: bool) -> dict[str, Any]:
    """Make the garden and learn from it."""
    from bench.season_nursery import nursery
    from slipwright.handbook import load_handbook
    from slipwright.records.answers import refit
    from slipwright.records.keeping.schema import create_if_absent
    from slipwright.records.models import Garden

    create_if_absent()
    garden = nursery(n_wants=n_wants, n_standing=n_standing, now=NOW)
    if learns:
        refit.learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=NOW)
    return {}


def plan(step: str, before_file: Path) -> dict[str, Any]:
    """Make the programme once and return what it took."""
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.programme.planned import moving_costs
    from slipwright.records.answers.programme.planning import programme_of_garden
    from slipwright.records.answers.seasons import refresh
    from slipwright.records.models import Garden
    from slipwright.records.packed_plan import packed_programme, unpacked_programme
    from slipwright.records.services.plan_lists import KeptLists

    handbook, garden = load_handbook(), Garden.objects.get()
    before = None
    if step == "re-plan":
        looked_at(garden)
        before = unpacked_programme(before_file.read_bytes())
        garden = Garden.objects.get()
        refresh(garden, handbook, on=NOW.date(), now=NOW)
    lists = KeptLists(garden, on=NOW.date())
    begun, cpu = time.perf_counter(), processor()
    found = programme_of_garden(
        garden,
        handbook,
        on=NOW.date(),
        kept=lists,
        before=before,
        change_cost=moving_costs(before),
    )
    wall = time.perf_counter() - begun
    took = {"wall": wall, "cpu": processor() - cpu, "mb": megabytes(), **told(found)}
    if step == "first":
        before_file.write_bytes(packed_programme(found.programme))
        lists.settle()
        took["lists"] = len(lists)
        refresh(garden, handbook, on=NOW.date(), now=NOW)
    return took


def looked_at(garden: Any) -> None:
    """Write down a look at ten batches, each for a want."""
    from slipwright.records import services
    from slipwright.records.models import BatchState, Member

    member = Member.objects.get(garden=garden)
    rows = BatchState.rows.of(garden).filter(batch__want__isnull=False, n_waiting__gt=4)
    for row in rows.select_related("batch").order_by("batch__number")[:10]:
        services.record_look(
            garden=garden, by=member, now=NOW, batch=row.batch.batch, on=NOW.date(), n_rooted=2, n_lost=1
        )


def told(found: Any) -> dict[str, Any]:
    """Return the parts of the time, and what was found."""
    programme, season = found.programme, found.problem.season
    parts = programme.seconds
    listing = parts.listing + parts.solving + parts.promising + parts.explaining
    return {
        "parts": {
            "reading": found.seconds - listing,
            "listing": parts.listing,
            "solving": parts.solving,
            "promising": parts.promising,
            "explaining": parts.explaining,
        },
        "options": sum(len(want.options) for want in season.wants),
        "rows": len(season.rows),
        "rows_of_shoots": sum(row.kind == "shoots" for row in season.rows),
        "plans": programme.n_plans,
        "lines": len(programme.lines),
        "short": sum(want.short_by > 0 for want in programme.wants),
        "stops": Counter(stop.limit for want in programme.wants for stop in want.stopped_by),
        "cost": programme.cost,
        "gap": programme.gap,
        "is_learned": found.problem.is_learned,
    }


def processor() -> float:
    """Return the seconds of the processor of this process and those that have ended."""
    return sum(sum(resource.getrusage(who)[:2]) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))


def megabytes() -> tuple[float, float]:
    """Return the peak of this process and of the largest other that has ended."""
    scale = 1024**2 if sys.platform == "darwin" else 1024
    ours, others = (
        resource.getrusage(who).ru_maxrss / scale for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return ours, others


def step(name: str, folder: Path, asked: argparse.Namespace) -> dict[str, Any]:
    """Do a step in a process of its own."""
    file = asked.keep or folder / "garden.sqlite3"
    env = os.environ | {
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{Path(file).absolute()}",
        "SLIPWRIGHT_SECRET_KEY": "of a measurement and of nothing else, thrown away after it",
        "PYTHONPATH": str(ROOT),
    }
    flags = ["--wants", str(asked.wants), "--standing", str(asked.standing)]
    flags += ["--unlearned"] if asked.unlearned else []
    command = [sys.executable, __file__, "--step", name, "--folder", str(folder), *flags]
    done = subprocess.run(command, env=env, stdout=subprocess.PIPE, check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def shown(name: str, took: dict[str, Any]) -> bool:
    """Print what a step took, and return whether it keeps the limits."""
    parts = ", ".join(f"{part} {seconds:.1f}" for part, seconds in took["parts"].items())
    own, worker = took["mb"]
    print(
        f"{name}: {took['wall']:.1f} s wall (limit {LIMITS[name]:g}), {took['cpu']:.1f} s CPU ({parts}); "
        f"peak {own:,.0f} MB, of a worker {worker:,.0f} MB (limit {MOST_MB:,.0f})"
    )
    print(
        f"    {took['options']:,} options, {took['rows']:,} rows, {took['rows_of_shoots']} of shoots; "
        f"{took['plans']:,} plans; {took['lines']} batches, {took['short']} wants short, cost "
        f"{took['cost']:,.0f}, gap {100 * took['gap']:.2f} %"
        f"; stopped by {', '.join(f'{limit} {n}' for limit, n in took['stops'].items())}"
        + (f"; {took['lists']:,} lists kept" if "lists" in took else ""),
        flush=True,
    )
    return took["wall"] <= LIMITS[name] and max(own, worker) <= MOST_MB


def main() -> int:
    """Do every step and print its figures; 1 if a limit is missed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--wants", type=int, default=300)
    parser.add_argument("--standing", type=int, default=400)
    parser.add_argument("--unlearned", action="store_true", help="plan from the handbook alone")
    parser.add_argument("--keep", help="file to keep the garden in, taken as it is where it is there")
    parser.add_argument("--step", help=argparse.SUPPRESS)
    parser.add_argument("--folder", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.step:
        import django

        django.setup()
        before = Path(asked.folder, "before")
        if asked.step == "make":
            print(json.dumps(make(asked.wants, asked.standing, not asked.unlearned)))
        else:
            print(json.dumps(plan(asked.step, before)))
        return 0
    print(__doc__)
    with tempfile.TemporaryDirectory() as folder:
        if not (asked.keep and Path(asked.keep).exists()):
            begun = time.perf_counter()
            step("make", Path(folder), asked)
            print(f"{asked.wants} wants; made in {time.perf_counter() - begun:.0f} s", flush=True)
        kept = [shown(name, step(name, Path(folder), asked)) for name in LIMITS]
    return 0 if all(kept) else 1


if __name__ == "__main__":
    sys.exit(main())
