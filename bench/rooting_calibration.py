"""How often truth lies within the range it should lie in, 9 times in 10, over fresh histories from the prior.

And the same where the world is not the model's own.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from bench.worlds import WEEK_8, Array, World, other_world, own_world, rooted_and_lost_by
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.fitting import fit
from slipwright.rooting.learned import Kind, Learned

N_HISTORIES = 400
N_DRAWS = 4_000
#: name, batches, taxa, cuttings a batch
HISTORIES = (("30 batches", 30, 8, (5, 30)), ("3 of 8", 3, 2, (8, 8)))
OTHER_SIZES = ((30, 8, 60), (300, 40, 12))
P8 = np.array([WEEK_8])


def calibration(kept: Path) -> None:
    """Fit many histories; what is done already is kept, a line a history."""
    for name, n_batches, n_taxa, n_stuck in HISTORIES:
        at = kept / f"calibration-{n_batches}.jsonl"
        done = [json.loads(line) for line in at.read_text().splitlines()] if at.exists() else []
        with at.open("a") as lines:
            for k in range(len(done), N_HISTORIES):
                generator = np.random.default_rng([13, n_batches, k])
                world = own_world(generator, n_batches, n_taxa, n_stuck=n_stuck)
                done.append(checked(world, np.random.default_rng([17, k])))
                lines.write(json.dumps(done[-1]) + "\n")
                lines.flush()
                if len(done) % 20 == 0:
                    print(f"    {len(done)} of {N_HISTORIES} histories of {name}", flush=True)
        told(name, done)


def checked(world: World, generator: np.random.Generator) -> dict[str, object]:
    """Fit one history; by quantity, where truth ranks among the draws (0 to 1)."""
    start = time.process_time()
    try:
        found = fit(world.records)
    except (ArithmeticError, ValueError, np.linalg.LinAlgError) as error:
        return {"failed": repr(error)}
    seconds = time.process_time() - start
    learned = found.learned(n_draws=N_DRAWS, generator=generator)
    ranks: dict[str, object] = {}
    for name, (ours, true) in quantities(world, learned, {e.term for e in found.effects()}):
        ranks[name] = np.round(np.atleast_1d((ours < true).mean(-1)), 4).tolist()
    return ranks | {"seconds": seconds, "converged": found.converged}


def quantities(world: World, learned: Learned, met: set[str]) -> Iterator[tuple[str, tuple[Array, Array]]]:
    """Draws of each quantity and its true value: rooting and loss where it has both."""
    truth = world.truth
    assert truth is not None
    names = sorted(met)
    yield (
        "coefficients",
        (
            np.concatenate([learned.coefficients[name] for name in names]),
            np.concatenate([truth.coefficients[name] for name in names]),
        ),
    )
    record = world.records[0]
    taxon = record.kind.path[1]
    yield "taxon, rooting", (learned.nodes[taxon][0], truth.nodes[taxon][0])
    yield "taxon, loss", (learned.nodes[taxon][1], truth.nodes[taxon][1])
    another = replace(record.kind, season="another", batch="")
    still = [replace(one, noise=np.zeros_like(one.noise)) for one in (learned, truth)]
    for name, ours, true in (("P8 of a seen taxon", *still), ("P8 of a new batch", learned, truth)):
        yield name, (_p8(ours, record.cuttings, another), _p8(true, record.cuttings, another))
    levels = [level for level in learned.spreads if level != "wood"]
    yield (
        "spreads",
        (
            np.concatenate([learned.spreads[level] for level in levels]),
            np.concatenate([truth.spreads[level] for level in levels]),
        ),
    )


def _p8(learned: Learned, cuttings: Cuttings, kind: Kind) -> Array:
    clocks = learned.clocks(cuttings, kind)
    return np.asarray(rooted_and_lost_by(clocks.log_hazards(), P8, clocks.cells)[0, 0])


def told(name: str, done: list[dict[str, object]]) -> None:
    """Print the cover of each quantity."""
    good = [row for row in done if "failed" not in row]
    seconds = np.array([row["seconds"] for row in good], dtype=float)
    print(f"{name}: {len(done)} histories, {len(done) - len(good)} failed", end=", ")
    print(
        f"{sum(not row['converged'] for row in good)} did not come to rest, {seconds.mean():.2f} s CPU each"
    )
    for quantity in (key for key in good[0] if key not in ("seconds", "converged")):
        ranks = np.concatenate([np.array(row[quantity]) for row in good])
        within = ((ranks > 0.05) & (ranks < 0.95)).mean()
        tenths = np.histogram(ranks, 10, (0, 1))[0] / len(ranks) * 10
        print(f"    {quantity:<20} 90 % cover {within:.3f} of {len(ranks):,}", end="; ")
        print(f"by tenths {tenths.round(2).tolist()}", flush=True)


def other() -> None:
    """Fit worlds that are not the model's own: cover and error of what new batches root by weeks 8 and 16."""
    days = np.array([WEEK_8, 2 * WEEK_8])
    for n_batches, n_taxa, n_histories in OTHER_SIZES:
        rows = []
        for k in range(n_histories):
            world = other_world(np.random.default_rng([19, n_batches, k]), n_batches, n_taxa)
            learned = fit(world.records).learned(n_draws=N_DRAWS)
            for record in world.records[:: max(n_batches // 10, 1)]:
                kind = replace(record.kind, season="another", batch="")
                clocks = learned.clocks(record.cuttings, kind)
                ours = rooted_and_lost_by(clocks.log_hazards(), days, clocks.cells)[:, 0]
                true = world.shares_by(record.cuttings, kind, days)[:, 0]
                rows.append([ours.mean(1), true, (ours < true[:, None]).mean(1), ours.std(1)])
        mean, true, rank, sd = np.moveaxis(np.array(rows), 1, 0)
        print(f"{n_batches} batches, {n_histories} histories of log-normal times, some never; new batches:")
        for k, day in enumerate(days):
            within = ((rank[:, k] > 0.05) & (rank[:, k] < 0.95)).mean()
            off = mean[:, k] - true[:, k]
            print(f"    day {day:.0f}: 90 % cover {within:.3f} of {len(off)}", end="; ")
            print(f"mean too high by {off.mean():+.3f}, off by {np.sqrt((off**2).mean()):.3f}", end=" ")
            print(f"(told sd {np.sqrt((sd[:, k] ** 2).mean()):.3f})", flush=True)
