"""How good, how honest and how quick the season's programme is.

    python bench/season.py [SIZE ...] [--seed N] [--seasons N]

SIZE is a number of wants; unless said 10, 50 and 300. For each size a season of `bench/season_worlds.py` is
invented, planned without limits but wood, and then with the room of bench, nursery and hours set to shares of
what that took at its peak: moderate .85 .90 .85, tight .60 .70 .60. Each room is planned twice, first with
nothing kept, then with the lists of plans kept (a re-plan). Printed are

    seconds      on the wall: listing, solving, promising on 20,000 fresh draws, explaining; two workers
    gap          (cost + penalty - bound) / (cost + penalty) of the programme as promised; the bound is that
                 of the linear programme over all plans listed, on 4,000 scenarios
    honesty      promised - wished of wants that are not short
    played       promised against N seasons played cutting by cutting (40,000 unless said)
    rooms        the largest excess of a row, added up from the lines
    memory       peak of this process and of the largest other
    flat rule    wanted / assumed rate x factor in the first open week, against ours, both without limits
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.season_checks import flat_rule, played, worst_excess
from bench.season_worlds import KINDS, World
from slipwright.season.asked import Season
from slipwright.season.planning import N_FRESH, programme_of
from slipwright.season.programme import Programme

ROOMS = {"moderate": (0.85, 0.90, 0.85), "tight": (0.60, 0.70, 0.60)}


def timed(season: Season, world: World, kept: dict[str, bytes], label: str) -> Programme:
    start, cpu = time.perf_counter(), processor()
    programme = programme_of(season, world.draws, kept=kept)
    wall, cpu = time.perf_counter() - start, processor() - cpu
    parts = programme.seconds
    print(
        f"  {label}: {wall:.1f} s wall, {cpu:.1f} s CPU "
        f"(listing {parts.listing:.1f}, solving {parts.solving:.1f}, promising "
        f"{parts.promising:.1f}, explaining {parts.explaining:.1f}); {programme.n_plans:,} plans",
        flush=True,
    )
    return programme


def processor() -> float:
    """Return the seconds of the processor of this process and those that have ended."""
    return sum(sum(resource.getrusage(who)[:2]) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))


def told(season: Season, programme: Programme) -> None:
    short = [want for want in programme.wants if want.short_by]
    of_cost = (programme.cost + programme.penalty - programme.bound) / programme.cost
    off = np.array([want.promised - want.assurance for want in programme.wants if not want.short_by])
    print(
        f"    gap {100 * programme.gap:.2f} % ({100 * of_cost:.2f} % of the cost alone); "
        f"cost {programme.cost:,.0f}, penalty {programme.penalty:,.0f}, "
        f"bound {programme.bound:,.0f}; short {len(short)}, of them with nothing "
        f"{sum(want.planned == 0 for want in short)}, stopped alone "
        f"{sum(any(stop.alone for stop in want.stopped_by) for want in short)}"
    )
    print(
        f"    promised - wished: least {off.min():+.4f}, mean {off.mean():+.4f}, below -.01 "
        f"{(off < -0.01).mean():.1%}, below -.02 {(off < -0.02).mean():.1%}; "
        f"largest excess over a room {max(worst_excess(season, programme), 0):.1e}"
    )


def against_played(world: World, season: Season, programme: Programme, n_seasons: int) -> None:
    errors, spreads = [], []
    for want, plan in zip(season.wants, programme.wants, strict=True):
        lines = [line for line in programme.lines if line.want == want.want]
        if lines:
            errors.append(plan.promised - played(world, want, lines, n_seasons, 99))
            spreads.append((plan.promised * (1 - plan.promised) * (1 / N_FRESH + 1 / n_seasons)) ** 0.5)
    off = np.array(errors)
    print(
        f"    promised - played: mean {off.mean():+.4f}, largest {np.abs(off).max():.4f} of {len(off)}, "
        f"over .01 {np.sum(np.abs(off) > 0.01)}; "
        f"largest in standard errors {np.max(np.abs(off) / np.maximum(spreads, 1e-4)):.1f}",
        flush=True,
    )


def peak_mb() -> str:
    ours, others = (
        resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return f"peak memory {ours:,.0f} MB, largest other process {others:,.0f} MB"


def bench(n_wants: int, seed: int, n_seasons: int) -> None:
    world = World(n_wants, seed)
    n_options = [len(want.options) for want in world.season.wants]
    print(f"{n_wants} wants, seed {seed}, {np.mean(n_options):.1f} options each")
    free = timed(world.season, world, {}, "without limits but wood")
    told(world.season, free)
    whole = {want.want for want in free.wants if not want.short_by}
    ours = sum(line.cost for line in free.lines if line.want in whole)
    flat = flat_rule(world, [want for want in world.season.wants if want.want in whole])
    print(
        f"    ours {ours:,.0f}; flat rule x {flat.factor:.2f}, honest for {flat.share_honest:.0%} of wants: "
        f"{flat.cost:,.0f}, ours {1 - ours / flat.cost:.1%} lower; with a factor of each want's own "
        f"{flat.cost_of_own:,.0f}, ours {1 - ours / flat.cost_of_own:.1%} lower",
        flush=True,
    )
    peak = {kind: max(load.used for load in free.loads if load.kind == kind) for kind in KINDS}
    for name, shares in ROOMS.items():
        share = dict(zip(KINDS, shares, strict=True))
        rows = tuple(
            replace(row, room=share[row.kind] * peak[row.kind]) if row.kind in share else row
            for row in world.season.rows
        )
        season = Season(world.season.wants, rows)
        kept: dict[str, bytes] = {}
        programme = timed(season, world, kept, name)
        told(season, programme)
        again = timed(season, world, kept, f"{name}, lists kept")
        print(f"    the same programme: {replace(again, seconds=programme.seconds) == programme}")
        if n_seasons:
            against_played(world, season, programme, n_seasons)
    print(f"  {peak_mb()}", flush=True)


def main(arguments: Sequence[str]) -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("sizes", nargs="*", type=int, default=[10, 50, 300])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seasons", type=int, default=40_000)
    asked = parser.parse_args(arguments)
    for size in asked.sizes or [10, 50, 300]:
        bench(size, asked.seed, asked.seasons)


if __name__ == "__main__":
    main(sys.argv[1:])
