"""The engine against NUTS: differences in posterior standard deviations, and processor time for the same."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from bench.rooting_reference import Reference
from bench.worlds import WEEK_8, Array, own_world, rooted_and_lost_by
from slipwright.rooting.cuttings import CLOCKS
from slipwright.rooting.fit import Fit
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned
from slipwright.rooting.spreads import SPREADS

#: batches, taxa; chains, warm-up and draws of NUTS
SIZES = ((30, 10, 2, 1_000, 1_500), (300, 40, 2, 700, 1_300))
N_HISTORIES = 6
ENOUGH_ESS = 1_000
N_NEW = 12
N_TIMED = 3
N_DRAWS = 8_000


def accuracy(kept: Path) -> None:
    """Compare on fresh histories of each size; NUTS answers are kept in a folder."""
    for n_batches, n_taxa, *size in SIZES:
        for k in range(N_HISTORIES):
            records = own_world(np.random.default_rng([7, n_batches, k]), n_batches, n_taxa).records
            reference = reference_of(records, kept / f"nuts-{n_batches}-{k}", size)
            if reference is None:
                return
            compare(records, reference, f"{n_batches} batches, history {k + 1}")


def reference_of(records: Sequence[BatchRecord], at: Path, size: Sequence[int]) -> Reference | None:
    """Ask NUTS, in a process of its own, or take its kept answer; nothing where NumPyro is absent."""
    answer = at.with_suffix(".answer")
    if not answer.exists():
        python = os.environ.get("SLIPWRIGHT_NUTS_PYTHON", sys.executable)
        if subprocess.run([python, "-c", "import numpyro"], capture_output=True).returncode:
            print(
                "NumPyro is absent: pip install numpyro, and name its interpreter in SLIPWRIGHT_NUTS_PYTHON"
            )
            return None
        history = at.with_suffix(".history")
        history.write_bytes(pickle.dumps(list(records)))
        here = Path(__file__).parents[1]
        paths = os.pathsep.join([str(here), str(here / "src")])
        script = here / "bench" / "rooting_reference.py"
        asked = [python, str(script), str(history), str(answer), *(str(number) for number in size)]
        subprocess.run(asked, check=True, env=os.environ | {"PYTHONPATH": paths})
    return Reference(**pickle.loads(answer.read_bytes()))


def compare(records: Sequence[BatchRecord], reference: Reference, title: str) -> dict[str, float]:
    """Print and return how far the engine is from NUTS."""
    took = []
    for _ in range(N_TIMED):
        start = time.process_time()
        found = fit(records)
        took.append(time.process_time() - start)
    ours, nuts = found.learned(n_draws=N_DRAWS), reference.learned
    figures = coefficients(found, nuts) | taxa(ours, nuts) | spreads(found, nuts)
    figures |= new_batches(ours, nuts, records)
    print(f"{title}: largest difference of a mean [sd], ratios of sds, differences of chances")
    for name, value in figures.items():
        print(f"    {name:<44} {value:.3f}")
    cpu = min(took)
    needed = reference.seconds_for(ENOUGH_ESS)
    whole = needed + reference.compile_seconds
    print(f"    engine {cpu:.2f} s CPU (best of {N_TIMED}); NUTS least effective size {reference.least:.0f}")
    print(f"    NUTS for {ENOUGH_ESS}: {needed:.1f} s CPU, ratio {needed / cpu:.0f}; ", end="")
    print(f"with compiling {whole:.1f} s, ratio {whole / cpu:.0f}; {reference.peak_mb:,.0f} MB", flush=True)
    return figures | {"seconds": cpu, "ratio": needed / cpu, "ratio with compiling": whole / cpu}


def _apart(name: str, mean: Array, sd: Array, mean_nuts: Array, sd_nuts: Array) -> dict[str, float]:
    off, ratio = np.abs(mean - mean_nuts) / sd_nuts, sd / sd_nuts
    return {
        f"{name}: mean, largest": float(off.max()),
        f"{name}: mean, on average": float(off.mean()),
        f"{name}: sd ratio, least": float(ratio.min()),
        f"{name}: sd ratio, most": float(ratio.max()),
        f"{name}: sd ratio, on average": float(ratio.mean()),
    }


def coefficients(found: Fit, nuts: Learned) -> dict[str, float]:
    """Compare every coefficient that some batch has."""
    rows = []
    for effect in found.effects():
        draws = nuts.coefficients[effect.term][CLOCKS.index(effect.clock)]
        rows.append((effect.mean, effect.sd, draws.mean(), draws.std()))
    return _apart("coefficients", *np.array(rows).T)


def taxa(ours: Learned, nuts: Learned) -> dict[str, float]:
    """Compare what each taxon and each of its woods adds, genus included."""
    rows = []
    for node, draws in ours.nodes.items():
        if node[0] in ("taxon", "wood"):
            theirs = nuts.nodes[node]
            rows += [(draws[k].mean(), draws[k].std(), theirs[k].mean(), theirs[k].std()) for k in (0, 1)]
    return _apart("taxa and their woods", *np.array(rows).T)


def spreads(found: Fit, nuts: Learned) -> dict[str, float]:
    """Compare the standard deviations of the effects, and the correlation of a batch's."""
    draws = [nuts.spreads[level][k] for k in (0, 1) for level in SPREADS] + [nuts.batch_together]
    rows = [(one.mean, one.sd, d.mean(), d.std()) for one, d in zip(found.spreads(), draws, strict=True)]
    return _apart("spreads", *np.array(rows).T)


def new_batches(ours: Learned, nuts: Learned, records: Sequence[BatchRecord]) -> dict[str, float]:
    """Compare the chance of having rooted by week 8 of new batches like some in the history."""
    apart = []
    for record in records[:: max(len(records) // N_NEW, 1)]:
        kind = replace(record.kind, batch="")
        points = []
        for learned in (ours, nuts):
            clocks = learned.clocks(record.cuttings, kind)
            p = rooted_and_lost_by(clocks.log_hazards(), np.array([WEEK_8]), clocks.cells)[0, 0]
            points.append(np.quantile(p, [0.05, 0.5, 0.95]))
        apart.append(np.abs(points[0] - points[1]))
    means = np.mean(apart, 0)
    return {f"P8 of a new batch, {at} % point": float(m) for at, m in zip((5, 50, 95), means, strict=True)}
