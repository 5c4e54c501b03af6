"""How long it takes to hold forecasts against what came, and what the demonstration's turn out to be.

    python bench/forecast_times.py [seasons] [made] [demo] [--batches N]

``seasons``: a garden of N batches (10,000 unless said) of four seasons, drawn from the model's own world;
each season is worked out afterwards from those before. ``made``: a garden of N batches with ten looks each,
in a file of its own, and two forecasts kept of each after each look; those that are held against what came
are read, and summed up. ``demo``: the demonstration, worked out afterwards. Figures are processor time of one
run, all threads together, and the peak size of the process so far.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import django
import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.worlds import STUCK_ON, own_world
from slipwright.rooting.history import BatchRecord

NOW = datetime(2026, 10, 20, tzinfo=UTC)
PATIENCE_DAYS = 112.0
N_LOOKS = 10
#: batches of a plant in a garden, about
A_TAXON = 7.5
CHUNK = 2_000


@contextmanager
def timed(name: str) -> Iterator[None]:
    """Print what is done took."""
    began = time.process_time()
    yield
    took, peak = time.process_time() - began, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    mb = peak / (1024**2 if sys.platform == "darwin" else 1024)
    print(f"{name}: {took:.2f} s CPU, peak {mb:.0f} MB", flush=True)


@contextmanager
def own_file() -> Iterator[None]:
    """Open an empty garden file in the temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SLIPWRIGHT_DATABASE_URL"] = f"sqlite:///{Path(folder)}/garden.sqlite3"
        os.environ["DJANGO_SETTINGS_MODULE"] = "slipwright.config.settings"
        django.setup()
        from slipwright.records.keeping.schema import create_if_absent

        create_if_absent()
        yield


def in_its_year(record: BatchRecord) -> BatchRecord:
    """Move a batch, drawn as of one year, into that of its season."""
    moved = timedelta(days=365 * (int(record.kind.season) - STUCK_ON.year))
    looks = tuple(replace(look, on=look.on + moved) for look in record.counts.looks)
    return replace(record, counts=replace(record.counts, stuck_on=STUCK_ON + moved, looks=looks))


def seasons(n_batches: int) -> None:
    """Work out season by season, each once."""
    from slipwright.records.answers.forecasts.afterwards import SeasonLooked, fitted, seasons_looked_back

    world = own_world(np.random.default_rng(23), n_batches, round(n_batches / A_TAXON))
    records = [in_its_year(record) for record in world.records]
    patience = dict.fromkeys((record.kind.batch for record in records), PATIENCE_DAYS)
    known: dict[str, SeasonLooked] = {}
    is_all = False
    while not is_all:
        with timed(f"season {len(known) + 1} of {n_batches} batches"):
            known, is_all = seasons_looked_back(records, records, patience, fitted, known, at_most=1)


def made(n_batches: int) -> None:
    """Keep two forecasts of each batch after each look, and read and hold against what came what is read."""
    from bench.filling import fill
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.forecasts import calibration
    from slipwright.records.answers.forecasts.turned_out import scores_in
    from slipwright.records.answers.histories import whole_history
    from slipwright.records.models import ForecastMade, Sticking
    from slipwright.records.selectors.forecasts_made import newest_made
    from slipwright.rooting.plain_average import plain_average

    garden = fill(n_batches=n_batches, n_looks=n_batches * N_LOOKS, at_all=True, now=NOW)
    batches = list(Sticking.rows.of(garden))
    for k in range(N_LOOKS):
        rows = [row for batch in batches for row in _two(ForecastMade, batch, k)]
        ForecastMade.rows.bulk_create(rows, batch_size=CHUNK)
    n_kept = ForecastMade.rows.of(garden).count()
    with timed("history read"):
        records = whole_history(garden, load_handbook()).records
    by_code = {record.kind.batch: record for record in records}
    since = min(record.counts.stuck_on for record in records)
    with timed(f"the newest {calibration.MOST_MADE} of {n_kept} forecasts read"):
        newest, _ = newest_made(garden, since, NOW.date(), calibration.MOST_MADE)
    average = plain_average([])
    with timed(f"{len(newest)} held against what came, and summed up"):
        looked, left = calibration._held_against(newest, by_code, average)
        if looked:
            scores_in(looked, by_code, n_made=len(newest), left_out=left, trials={})
    print(f"    of {len(looked)} it is known what came")


def _two(row: Any, batch: Any, k: int) -> list[Any]:
    made_on = batch.stuck_on + timedelta(days=3 * k)
    points = [10 * k + at for at in range(19)]
    return [
        row(
            garden_id=batch.garden_id,
            batch=batch,
            made_on=made_on,
            by_day=made_on + timedelta(days=days),
            n_stuck=batch.n_stuck,
            n_looks=k,
            n_learned_from=100,
            rooted=points,
            by_handbook=points,
        )
        for days in (7, 30)
    ]


def demo() -> None:
    """Learn from the demonstration and work out its seasons afterwards."""
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.forecasts.calibration import rescore, scores_of
    from slipwright.records.answers.refit import learn
    from slipwright.records.demo import fill_demo
    from slipwright.records.models import Garden
    from slipwright.records.selectors import garden_day

    now, handbook = datetime.now(UTC), load_handbook()
    pk = fill_demo(now).pk
    learn(Garden.objects.get(pk=pk), handbook, now=now)
    garden = Garden.objects.get(pk=pk)
    with timed("demonstration, all seasons"):
        rescore(garden, handbook, on=garden_day(garden, now))
    _, afterwards = scores_of(Garden.objects.get(pk=pk))
    if afterwards is None or afterwards.ranges is None or afterwards.whole is None:
        raise SystemExit("nothing was worked out")
    ranges, whole = afterwards.ranges, afterwards.whole
    print(f"    seasons {', '.join(one.what for one in afterwards.seasons)}: {ranges.n} forecasts")
    print(f"    {ranges.n_held} held, {ranges.n_expected:.0f} expected")
    print(f"    better than the handbook alone by {whole.than_handbook}")
    print(f"    better than the plain average by {whole.than_average}")


def main() -> None:
    """Run the parts asked for."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("parts", nargs="*", default=["seasons", "made", "demo"])
    asked.add_argument("--batches", type=int, default=10_000)
    given = asked.parse_args()
    with own_file():
        if "seasons" in given.parts:
            seasons(given.batches)
        if "made" in given.parts:
            made(given.batches)
        if "demo" in given.parts:
            demo()


if __name__ == "__main__":
    main()
