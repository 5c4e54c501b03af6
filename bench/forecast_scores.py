"""How near forecasts lie that learned from records: beside the handbook alone and beside plain averages.

    python bench/forecast_scores.py [gardens] [tables] [--batches N] [--draws K]

Three invented gardens of N batches (300 unless said), K of each (1 unless said): of the model's own world, of
one with log-normal times and cuttings that never root, and as the demonstration was drawn. Their last season
is forecast from those before, as stuck and after the second look. And published tables, each unit from those
not held out with it. Scores are CRPS by 19 points, in cuttings; improvements have intervals of 95 in 100,
batches drawn again.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.forecast_tables import COUNTED_DAY, TABLES, folds, units
from bench.worlds import STUCK_ON, Array, drawn_cuttings, drawn_kinds, other_world, own_world
from slipwright.rooting.came import rooted_by
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned
from slipwright.rooting.looking_back import points_of_both
from slipwright.rooting.plain_average import points_of_average
from slipwright.rooting.reliability import reliability
from slipwright.rooting.scoring import at_levels, better_by, crps_of_points
from slipwright.rooting.simulate import drawn_counts, drawn_effects, hazards_of

LAST_SEASON = "2024"
COVER = 0.95
#: batches of a plant in a garden, about
A_TAXON = 7.5


@dataclass(frozen=True)
class Case:
    """One forecast held out: points by each way of forecasting, and what came."""

    batch: str
    n_stuck: int
    points: dict[str, Array]
    came: int


def demonstration_world(generator: np.random.Generator, n_batches: int, n_taxa: int) -> list[BatchRecord]:
    """Draw a garden as the demonstration's was drawn: all counted at all looks."""
    kinds = [replace(kind, offset=(0.0, 0.0)) for kind in drawn_kinds(generator, n_batches, n_taxa)]
    effects = drawn_effects(generator, [(kind.genus, kind.taxon, kind.season) for kind in kinds])
    found = []
    for kind, (rooting, loss) in zip(kinds, effects.tolist(), strict=True):
        drawn = drawn_cuttings(generator, kind)
        strength = 0.0 if drawn.auxin == "none" else 1000.0
        cuttings = replace(
            drawn,
            usual=None,
            ripeness=0.4 if drawn.ripeness is None else drawn.ripeness,
            strength=strength if drawn.strength is None else drawn.strength,
            bloom=0.0 if drawn.bloom is None else drawn.bloom,
        )
        n_stuck = int(generator.integers(5, 31))
        apart = (14, 24) if kind.wood == "hardwood" else (6, 11)
        days = np.cumsum(generator.integers(apart[0], apart[1] + 1, int(generator.integers(4, 9)))).tolist()
        counts = drawn_counts(generator, hazards_of(cuttings, (rooting, loss)), n_stuck, days)
        looks = tuple(
            LookCounts(STUCK_ON + timedelta(days=day), int(row[0]), int(row[1]))
            for day, row in zip(days, counts, strict=True)
        )
        found.append(BatchRecord(cuttings, kind, BatchCounts(STUCK_ON, n_stuck, looks)))
    return found


GARDENS: dict[str, Callable[[np.random.Generator, int, int], list[BatchRecord]]] = {
    "the model's own world": lambda g, n, t: own_world(g, n, t).records,
    "log-normal times, some never": lambda g, n, t: other_world(g, n, t).records,
    "as the demonstration was drawn": demonstration_world,
}


def ended(records: Sequence[BatchRecord]) -> dict[tuple[str, ...], list[tuple[int, int]]]:
    """Return rooted and stuck of batches by plant and wood, by wood, and of all."""
    found: dict[tuple[str, ...], list[tuple[int, int]]] = defaultdict(list)
    for record in records:
        if not record.counts.looks:
            continue
        came = rooted_by(record.counts, record.counts.looks[-1].on).n
        if came is not None:
            for key in ((record.kind.wood, record.kind.taxon), (record.kind.wood,), ()):
                found[key].append((came, record.counts.n_stuck))
    return found


def averages(seen: Sequence[tuple[int, int]], n_stuck: int) -> dict[str, Array]:
    """Forecasts by the plain average of some batches, and by their own shares, each as likely as another."""
    rooted, stuck = np.array(seen).T
    average = points_of_average(float(rooted.sum() / stuck.sum()), n_stuck)
    return {"average": average, "shares": at_levels(np.round(rooted / stuck * n_stuck))}


def garden_cases(records: Sequence[BatchRecord]) -> tuple[list[Case], list[Case]]:
    """Forecast the last season from those before: as stuck, and after the second look."""
    earlier = [record for record in records if record.kind.season != LAST_SEASON]
    learned = fit(earlier).learned(keep=lambda node: node[0] != "batch")
    before = ended(earlier)
    as_stuck, after = [], []
    for record in records:
        counts, kind = record.counts, record.kind
        if kind.season != LAST_SEASON or len(counts.looks) < 4:
            continue
        by_day = counts.looks[-1].on
        came = rooted_by(counts, by_day).n
        if came is None:
            continue
        seen = next(before[key] for key in ((kind.wood, kind.taxon), (kind.wood,), ()) if key in before)
        unseen = replace(record, counts=replace(counts, looks=()))
        points = _both(learned, unseen, STUCK_ON, by_day) | averages(seen, counts.n_stuck)
        as_stuck.append(Case(kind.batch, counts.n_stuck, points, came))
        second = counts.looks[1].on
        if rooted_by(counts, second).n is not None and not any(look.n_removed for look in counts.looks[2:]):
            points = _both(learned, record, second, by_day)
            after.append(Case(kind.batch, counts.n_stuck, points, came))
    return as_stuck, after


def _both(learned: Learned, record: BatchRecord, on: date, by_day: date) -> dict[str, Array]:
    ((ours, handbook),) = points_of_both(learned, record, [by_day], on=on)
    return {"learned": np.array(ours), "handbook": np.array(handbook)}


def table_cases(name: str) -> list[Case]:
    """Forecast each unit of a table from those that are not held out with it."""
    found = []
    for known, held_out in folds(units(name)):
        learned = fit([one.record for one in known]).learned(keep=lambda node: node[0] != "batch")
        for one in held_out:
            counts = one.record.counts
            unseen = replace(one.record, counts=replace(counts, looks=()))
            by_day = STUCK_ON + timedelta(days=COUNTED_DAY)
            points = _both(learned, unseen, STUCK_ON, by_day)
            for which, some in (
                ("", known),
                (" of its arm", [other for other in known if other.arm == one.arm]),
            ):
                seen = [(other.record.counts.n_rooted, other.record.counts.n_stuck) for other in some]
                if seen:
                    points |= {f"{key}{which}": at for key, at in averages(seen, counts.n_stuck).items()}
            found.append(Case(one.record.kind.batch, counts.n_stuck, points, counts.n_rooted))
    return found


def told(name: str, cases: Sequence[Case]) -> dict[str, tuple[float, float, float]]:
    """Print how far off each way of forecasting lay; return what learning improves, by the other way."""
    came = np.array([case.came for case in cases])
    batches = [case.batch for case in cases]
    ours = np.array([case.points["learned"] for case in cases])
    scores = crps_of_points(ours, came)
    ranges = reliability(ours, came, batches, np.array([case.n_stuck for case in cases]))
    print(f"{name}: {len(cases)} forecasts, learned {scores.mean():.2f}", end="; ")
    print(f"ranges held {ranges.n_held}, expected {ranges.n_expected:.0f}", end=" ")
    print(f"(8 in 10: {ranges.held_low:.0f} to {ranges.held_high:.0f})")
    found = {}
    for other in sorted({key for case in cases for key in case.points} - {"learned"}):
        have = [k for k, case in enumerate(cases) if other in case.points]
        theirs = crps_of_points(np.array([cases[k].points[other] for k in have]), came[have])
        better = better_by(
            scores[have], theirs, [batches[k] for k in have], np.random.default_rng(1), cover=COVER
        )
        found[other] = (better.share, better.low, better.high)
        print(f"    beside {other:<19} {theirs.mean():6.2f}: better by {100 * better.share:5.1f} %", end=" ")
        print(f"({100 * better.low:.1f} to {100 * better.high:.1f}), {len(have)} forecasts", flush=True)
    return found


def main() -> None:
    """Run the parts asked for."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("parts", nargs="*", default=["gardens", "tables"])
    asked.add_argument("--batches", type=int, default=300)
    asked.add_argument("--draws", type=int, default=1)
    given = asked.parse_args()
    began = time.process_time()
    if "gardens" in given.parts:
        for at, (name, world) in enumerate(GARDENS.items()):
            as_stuck: list[Case] = []
            after: list[Case] = []
            for k in range(given.draws):
                generator = np.random.default_rng([23, at, k])
                for all_cases, some in zip(
                    (as_stuck, after),
                    garden_cases(world(generator, given.batches, round(given.batches / A_TAXON))),
                    strict=True,
                ):
                    all_cases += [replace(case, batch=f"{k} {case.batch}") for case in some]
            told(f"{name}, as stuck", as_stuck)
            told(f"{name}, after the second look", after)
    if "tables" in given.parts:
        for name in TABLES:
            told(name, table_cases(name))
    print(f"{time.process_time() - began:.0f} s CPU")


if __name__ == "__main__":
    main()
