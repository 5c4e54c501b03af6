"""The rooting model once more, sampled by NUTS: what the engine is measured against.

    python bench/rooting_reference.py HISTORY.pickle ANSWER.pickle [N_CHAINS N_WARMUP N_SAMPLES]

Needs NumPyro, which is no part of the project's environment (``pip install numpyro``, best in one of its
own). The looks are read here anew, as fates of cuttings in stretches of days, and the log density is written
without a line of the engine's. Non-centred, float64, target acceptance .85, one thread. The answer holds
joint draws of everything, the least effective sizes, the processor time with that of compiling apart, and
the peak of memory.
"""

from __future__ import annotations

import os
import pickle
import resource
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.cells import CELLS, Cells
from slipwright.rooting.cuttings import LEVEL_SD, TERMS
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import LEVELS, Learned, Node
from slipwright.rooting.spreads import SPREADS, TOGETHER_SCALE, WOOD_SD

Array = NDArray[np.float64]
TARGET_ACCEPTANCE = 0.85
#: cumulative hazard of a stretch above which it is all the same: exp(-300)
MOST_HAZARD = 300.0


class Event(NamedTuple):
    """What may become of one cutting: rooted or lost between two days, or waiting still on the second."""

    what: Literal["rooted", "lost", "waiting"]
    after_day: int
    by_day: int


class Fate(NamedTuple):
    """So many cuttings met one of some events, which one was not told."""

    events: tuple[Event, ...]
    n_cuttings: int


def fates_of(record: BatchRecord) -> list[Fate]:
    """Read a batch's looks: full ones, of the rooted alone, and from some look on of the waiting alone."""
    counts = record.counts
    found = []
    rooted_day = lost_day = 0
    waiting = counts.n_stuck
    for look in counts.looks:
        day = (look.on - counts.stuck_on).days
        n_removed = look.n_removed or 0
        if look.n_rooted is None and look.n_waiting is not None:
            if rooted_day != lost_day:
                raise ValueError("only what waits was counted, after looks that counted less")
            gone = (Event("rooted", rooted_day, day), Event("lost", lost_day, day))
            found.append(Fate(gone, waiting - look.n_waiting - n_removed))
            rooted_day = lost_day = day
            waiting = look.n_waiting + n_removed
        if look.n_rooted is not None:
            found.append(Fate((Event("rooted", rooted_day, day),), look.n_rooted))
            rooted_day, waiting = day, waiting - look.n_rooted
        if look.n_lost is not None:
            found.append(Fate((Event("lost", lost_day, day),), look.n_lost))
            lost_day, waiting = day, waiting - look.n_lost
        found.append(Fate((Event("waiting", day, day),), n_removed))
        waiting -= n_removed
    rest = [Event("waiting", rooted_day, rooted_day)]
    if lost_day < rooted_day:
        rest.append(Event("lost", lost_day, rooted_day))
    if rooted_day:
        found.append(Fate(tuple(rest), waiting))
    return [fate for fate in found if fate.n_cuttings]


def plain_log_likelihood(records: Sequence[BatchRecord], learned: Learned) -> float:
    """Log likelihood at the first draw of ``learned``, cutting by cutting and day by day: slow and plain."""
    total = 0.0
    for record in records:
        clocks = learned.clocks(record.cuttings, record.kind)
        hazards = np.exp(clocks.log_hazards()[..., 0])
        edges = np.array(clocks.cells.edges)
        for fate in fates_of(record):
            p = 0.0
            for event in fate.events:
                waiting = rooted = lost = 1.0
                rooted = lost = 0.0
                for day in range(event.by_day):
                    rate = hazards[:, min(int(np.searchsorted(edges, day, side="right")) - 1, len(edges) - 2)]
                    left = waiting * np.exp(-rate.sum())
                    if day >= event.after_day:
                        rooted += (waiting - left) * rate[0] / rate.sum()
                        lost += (waiting - left) * rate[1] / rate.sum()
                    waiting = left
                p += {"rooted": rooted, "lost": lost, "waiting": waiting}[event.what]
            total += fate.n_cuttings * float(np.log(p))
    return total


@dataclass(frozen=True)
class Laid:
    """A history as arrays: stretches of days within one cell, and which of them each fate takes in."""

    batch: NDArray[np.int64]
    cell_time: Array
    days: Array
    first: NDArray[np.int64]
    fate: NDArray[np.int64]
    place: NDArray[np.int64]
    n_cuttings: Array


def laid(records: Sequence[BatchRecord], cells: Cells = CELLS) -> Laid:
    """Lay out a history; ``place`` counts stretches with rooting, then with loss, then waiting after one."""
    stretches: list[tuple[int, float, float, int]] = []
    pairs: list[tuple[int, str, int]] = []
    numbers: list[int] = []
    for b, record in enumerate(records):
        fates = fates_of(record)
        ends = {day for fate in fates for event in fate.events for day in (event.after_day, event.by_day)}
        last = max(ends, default=0)
        cuts = sorted({0, *ends, *(int(edge) for edge in cells.edges[:-1] if edge < last)})
        first = len(stretches)
        for begin, end in pairwise(cuts):
            cell = min(int(np.searchsorted(cells.edges, begin, side="right")) - 1, len(cells.edges) - 2)
            stretches.append((b, float(cells.times[cell]), float(end - begin), first))
        for fate in fates:
            for event in fate.events:
                if event.what == "waiting":
                    pairs.append((len(numbers), event.what, first + cuts.index(event.by_day) - 1))
                    continue
                for k in range(cuts.index(event.after_day), cuts.index(event.by_day)):
                    pairs.append((len(numbers), event.what, first + k))
            numbers.append(fate.n_cuttings)
    n = len(stretches)
    after = {"rooted": 0, "lost": n, "waiting": 2 * n}
    return Laid(
        np.array([s[0] for s in stretches]),
        np.array([s[1] for s in stretches]),
        np.array([s[2] for s in stretches]),
        np.array([s[3] for s in stretches]),
        np.array([p[0] for p in pairs]),
        np.array([after[p[1]] + p[2] for p in pairs]),
        np.array(numbers, dtype=float),
    )


@dataclass(frozen=True)
class Named:
    """Coefficients and nodes of a history by name, and which of them each batch has."""

    coefficients: list[str]
    mean: Array
    sd: Array
    design: dict[str, Array]
    nodes: dict[str, list[Node]]
    member: dict[str, NDArray[np.int64]]
    offset: Array


def named(records: Sequence[BatchRecord]) -> Named:
    """Name everything unknown of a history."""
    terms = [record.cuttings.terms() for record in records]
    crossed = sorted({name for each in terms for name in each if "[" in name})
    names = [term.name for term in TERMS] + crossed
    level_sd = [LEVEL_SD[name.partition("[")[0]] for name in crossed]
    part = {term.name: term.part for term in TERMS}
    amounts = np.array([[each.get(name, 0.0) for name in names] for each in terms])
    design = {
        which: amounts * np.array([part.get(name, "level") == which for name in names])
        for which in ("level", "slope", "bend")
    }
    nodes: dict[str, list[Node]] = {}
    member: dict[str, NDArray[np.int64]] = {}
    for depth, level in enumerate(LEVELS):
        nodes[level] = sorted({record.kind.path[depth] for record in records})
        at = {node: i for i, node in enumerate(nodes[level])}
        member[level] = np.array([at[record.kind.path[depth]] for record in records])
    return Named(
        names,
        np.array([[t.rooting[0], t.loss[0]] for t in TERMS] + [[0.0, 0.0]] * len(crossed)),
        np.array([[t.rooting[1], t.loss[1]] for t in TERMS] + [[sd, sd] for sd in level_sd]),
        design,
        nodes,
        member,
        np.array([record.kind.offset for record in records]),
    )


def model(names: Named, data: Laid) -> None:
    """Say the model as NumPyro reads it."""
    import jax.numpy as jnp
    import numpyro
    from jax.ops import segment_max, segment_sum
    from numpyro.distributions import HalfNormal, Normal

    def score(name: str, *shape: int) -> Any:
        return numpyro.sample(name, Normal(0.0, 1.0).expand(shape).to_event(len(shape)))

    coefficient = names.mean + names.sd * score("coefficient", *names.mean.shape)
    scales = jnp.array([SPREADS[level] for level in SPREADS])
    spread = numpyro.sample("spread", HalfNormal(scales).to_event(2))
    together = jnp.tanh(TOGETHER_SCALE * score("together"))
    sd = {level: spread[i] for i, level in enumerate(SPREADS)} | {"wood": jnp.full(2, WOOD_SD)}
    level = names.offset + names.design["level"] @ coefficient
    for depth in LEVELS:
        effect = score(depth, len(names.nodes[depth]), 2)
        if depth == "batch":
            second = together * effect[:, 0] + jnp.sqrt(1 - together**2) * effect[:, 1]
            effect = jnp.stack([effect[:, 0], second], 1)
        level = level + (sd[depth] * effect)[names.member[depth]]
    slope = names.design["slope"] @ coefficient
    bend = names.design["bend"] @ coefficient

    a = data.cell_time[:, None]
    of = data.batch
    log_hazard = level[of] + slope[of] * a + bend[of] * a**2
    log_both = jnp.logaddexp(log_hazard[:, 0], log_hazard[:, 1])
    spent = jnp.clip(jnp.exp(log_both) * data.days, 1e-300, MOST_HAZARD)
    ended = jnp.cumsum(spent)
    begun = ended - spent
    begun = begun - begun[data.first]
    log_gone = -begun - log_both + jnp.log(-jnp.expm1(-spent))
    log_p = jnp.concatenate([log_hazard[:, 0] + log_gone, log_hazard[:, 1] + log_gone, -begun - spent])
    log_p = log_p[data.place]
    n = len(data.n_cuttings)
    most = segment_max(log_p, data.fate, n, indices_are_sorted=True)
    p = segment_sum(jnp.exp(log_p - most[data.fate]), data.fate, n, indices_are_sorted=True)
    numpyro.factor("looks", (data.n_cuttings * (most + jnp.log(p))).sum())


def learned_of(names: Named, draws: dict[str, Array], generator: np.random.Generator) -> Learned:
    """Put draws of the scores together as the joint draws the engine gives."""
    coefficients = names.mean + names.sd * draws["coefficient"]
    n = len(coefficients)
    together = np.tanh(TOGETHER_SCALE * draws["together"].reshape(n))
    spreads = {level: draws["spread"][:, i].T for i, level in enumerate(SPREADS)}
    spreads["wood"] = np.full((2, n), WOOD_SD)
    nodes: dict[Node, Array] = {}
    for depth, level in enumerate(LEVELS):
        for i, node in enumerate(names.nodes[level]):
            score = draws[level][:, i].T
            if level == "batch":
                score = np.stack([score[0], together * score[0] + np.sqrt(1 - together**2) * score[1]])
            above = nodes[(LEVELS[depth - 1], *node[1:-1])] if depth else 0.0
            nodes[node] = above + spreads[level] * score
    by_name = {name: coefficients[:, i].T for i, name in enumerate(names.coefficients)}
    return Learned(by_name, spreads, together, generator.standard_normal((len(LEVELS), 2, n)), nodes)


@dataclass(frozen=True)
class Reference:
    """What NUTS found, and what it took; seconds are of the processor."""

    learned: Learned
    n_chains: int
    n_warmup: int
    n_samples: int
    least_ess: dict[str, float]
    worst_r_hat: float
    n_diverging: int
    #: of the last chain, which finds everything compiled
    warmup_seconds: float
    sample_seconds: float
    steps_each: float
    #: what the first chain took beyond the last, a step for a step
    compile_seconds: float
    peak_mb: float

    @property
    def least(self) -> float:
        """Least effective size of a coefficient or of what a taxon adds."""
        return min(self.least_ess["coefficients"], self.least_ess["taxa"])

    def seconds_for(self, ess: float) -> float:
        """Warm-up of one chain, and draws enough for an effective size."""
        return self.warmup_seconds + self.sample_seconds * self.n_chains * ess / self.least


def sampled(records: Sequence[BatchRecord], n_chains: int, n_warmup: int, n_samples: int) -> Reference:
    """Sample a history by NUTS, one chain after the other."""
    import jax
    import numpyro
    from numpyro.diagnostics import effective_sample_size, gelman_rubin
    from numpyro.infer import MCMC, NUTS, init_to_median

    numpyro.enable_x64()
    names, data = named(records), laid(records)
    kernel = NUTS(model, target_accept_prob=TARGET_ACCEPTANCE, init_strategy=init_to_median())
    mcmc = MCMC(kernel, num_warmup=n_warmup, num_samples=n_samples, num_chains=1, progress_bar=False)
    chains, took, steps, n_diverging = [], [], [], 0
    for chain in range(n_chains):
        moments = [time.process_time()]
        mcmc.warmup(jax.random.PRNGKey(chain), names, data)
        jax.block_until_ready(mcmc.last_state)
        moments.append(time.process_time())
        mcmc.run(jax.random.PRNGKey(100 + chain), names, data, extra_fields=("num_steps", "diverging"))
        chains.append({name: np.array(value) for name, value in mcmc.get_samples().items()})
        moments.append(time.process_time())
        extra = mcmc.get_extra_fields()
        n_diverging += int(extra["diverging"].sum())
        took.append(np.diff(moments))
        steps.append(float(extra["num_steps"].mean()))
        print(f"chain {chain + 1}: {took[-1].round(1).tolist()} s, {steps[-1]:.0f} steps each", flush=True)
    generator = np.random.default_rng(1)
    together = {name: np.concatenate([chain[name] for chain in chains]) for name in chains[0]}
    learned = learned_of(names, together, generator)

    def by_chain(values: Array) -> Array:
        return np.moveaxis(values.reshape(2, n_chains, n_samples), 0, -1)

    followed = {
        "coefficients": list(learned.coefficients.values()),
        "taxa": [draws for node, draws in learned.nodes.items() if node[0] in ("taxon", "wood")],
        "spreads": [draws for level, draws in learned.spreads.items() if level != "wood"],
    }
    ess = {
        name: min(float(effective_sample_size(by_chain(draws)).min()) for draws in values)
        for name, values in followed.items()
    }
    r_hat = max(
        float(gelman_rubin(by_chain(draws)).max()) if n_chains > 1 else float("nan")
        for name in ("coefficients", "taxa")
        for draws in followed[name]
    )
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    warm, sampling = took[-1].tolist()
    compiling = max(float(took[0].sum() - took[-1].sum() * steps[0] / steps[-1]), 0.0)
    return Reference(
        learned, n_chains, n_warmup, n_samples, ess, r_hat, n_diverging, warm, sampling, steps[-1],
        compiling, peak,
    )  # fmt: skip


def check(records: Sequence[BatchRecord]) -> float:
    """Largest difference of the two log likelihoods from one another over draws of the prior [-]."""
    import jax
    import numpyro
    from numpyro.infer.util import log_density

    numpyro.enable_x64()
    names, data = named(records), laid(records)
    generator = np.random.default_rng(3)
    worst = 0.0
    for _ in range(5):
        draws = {
            "coefficient": generator.standard_normal((1, *names.mean.shape)),
            "spread": np.abs(generator.standard_normal((1, 4, 2))) * 0.5,
            "together": generator.standard_normal((1,)),
            **{level: generator.standard_normal((1, len(names.nodes[level]), 2)) for level in LEVELS},
        }
        values = {name: jax.numpy.asarray(value[0]) for name, value in draws.items()}
        whole = float(log_density(model, (names, data), {}, values)[0])
        scores = np.concatenate([value.ravel() for name, value in draws.items() if name != "spread"])
        prior = -0.5 * (scores**2).sum() - scores.size * np.log(2 * np.pi) / 2
        scales = np.array(list(SPREADS.values()))
        halves = -0.5 * (draws["spread"][0] / scales) ** 2 - np.log(scales) + np.log(2 / np.pi) / 2
        plain = plain_log_likelihood(records, learned_of(names, draws, generator))
        worst = max(worst, abs(whole - prior - float(halves.sum()) - plain))
    return worst


def main(history: Path, answer: Path, n_chains: int = 2, n_warmup: int = 1000, n_samples: int = 1500) -> None:
    """Sample a stored history, and store the answer."""
    records = pickle.loads(history.read_bytes())
    print(f"log likelihoods differ by {check(records[:12]):.1e} at most", flush=True)
    reference = sampled(records, n_chains, n_warmup, n_samples)
    answer.write_bytes(pickle.dumps(vars(reference)))
    print(f"{len(records)} batches: {n_chains} x ({n_warmup} + {n_samples})", end="; ")
    print(f"processor {reference.warmup_seconds:.1f} + {reference.sample_seconds:.1f} s", end="; ")
    print(f"compiling {reference.compile_seconds:.1f} s; {reference.steps_each:.0f} steps each", end="; ")
    print("least effective", {name: round(ess) for name, ess in reference.least_ess.items()}, end="; ")
    print(f"R-hat {reference.worst_r_hat:.3f}; {reference.n_diverging} diverging", end="; ")
    print(f"{reference.peak_mb:.0f} MB", flush=True)


if __name__ == "__main__":
    os.environ["XLA_FLAGS"] = "--xla_cpu_multi_thread_eigen=false intra_op_parallelism_threads=1"
    main(Path(sys.argv[1]), Path(sys.argv[2]), *(int(word) for word in sys.argv[3:]))
