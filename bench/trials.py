"""Trials: do ranges hold as often as they say, does a trial find what it was planned for, how quick is it."""

from __future__ import annotations

import os
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from slipwright.rooting.ranges import share_of_logit
from slipwright.rooting.trial_power import middle_of, power_to_tell
from slipwright.rooting.trial_table import Trial
from slipwright.rooting.trials import TrialFit, fit_trial

SEED = 1
N_TRIALS, N_HISTORIES = 200, 400
#: shares of two arms, units an arm, cuttings a unit, spread
SIZES = (((0.5, 0.7), 17, 8), ((0.5, 0.7), 6, 12), ((0.5, 0.5), 6, 12), ((0.5, 0.5), 4, 8))
SPREAD = 0.5


def fitted(n_rooted, n_stuck, sets, **levels) -> TrialFit:
    words = {name: tuple(map(str, each)) for name, each in levels.items()}
    return fit_trial(Trial(np.array(n_rooted), np.array(n_stuck), words), sets)


def found(generator: np.random.Generator) -> None:
    print(f"two arms, spread {SPREAD}, {N_TRIALS} trials each: said to do better, probably or surer, planned")
    for shares, m, c in SIZES:
        chances = []
        for _ in range(N_TRIALS):
            middles = np.repeat([middle_of(share, SPREAD) for share in shares], m)
            rooted = generator.binomial(
                c, share_of_logit(middles + SPREAD * generator.standard_normal(2 * m))
            )
            fit = fitted(rooted, [c] * 2 * m, [("arm",)], arm=["a"] * m + ["b"] * m)
            chances.append(fit.contrasts[0].p_above_0)
        above = np.array(chances)
        if shares[0] == shares[1]:
            above, planned = np.maximum(above, 1 - above), float("nan")
        else:
            planned = power_to_tell(shares, n_units_per_arm=m, n_per_unit=c, spread=SPREAD)
        print(
            f"  {shares} {m:3d} x {c:2d}",
            *(f"{one:.3f}" for one in ((above >= 0.975).mean(), (above >= 0.9).mean(), planned)),
        )


def held(generator: np.random.Generator) -> None:
    """Two factors of two levels, three pots of ten each, all drawn from the priors."""
    held_effects, held_spread, said = [], [], {}
    cells = [(i, j) for i in (0, 1) for j in (0, 1) for _ in range(3)]
    a, b = zip(*cells, strict=True)
    for _ in range(N_HISTORIES):
        spread = abs(generator.normal(0, 0.5))
        parts = generator.normal(0, 2, (3, 2))
        mean, both = generator.normal(0, 2), generator.normal(0, 2, (2, 2))
        eta = np.array([mean + parts[0][i] + parts[1][j] + both[i, j] for i, j in cells])
        rooted = generator.binomial(10, share_of_logit(eta + spread * generator.standard_normal(12)))
        fit = fitted(rooted, [10] * 12, [("a",), ("b",), ("a", "b")], a=a, b=b)
        at = eta[::3]
        truths = (at[0], at[2] - at[0], at[1] - at[0], at[3] - at[2] - at[1] + at[0])
        held_effects += [one.q10 < truth < one.q90 for one, truth in zip(fit.effects, truths, strict=True)]
        held_spread.append(fit.spread.q10 < spread < fit.spread.q90)
        said.setdefault(fit.extra_variation, []).append(spread)
    print(
        f"ranges of {N_HISTORIES} trials hold:",
        f"terms {np.mean(held_effects):.3f}, spread {np.mean(held_spread):.3f}",
    )
    for what, spreads in said.items():
        print(f"  {what}: {len(spreads)}, true spread {np.mean(spreads):.2f} in the mean")


def quick(generator: np.random.Generator) -> None:
    for n_rows, n_levels, most in ((8, 2, 12), (64, 16, 50), (1_000, 12, 12), (1_000, 100, 12)):
        arms = np.resize(np.arange(n_levels), n_rows)
        stuck = generator.integers(4, most + 1, n_rows)
        eta = generator.normal(0, 0.7, n_levels)[arms] + generator.normal(0, 0.5, n_rows)
        rooted = generator.binomial(stuck, share_of_logit(eta))
        began = time.process_time()
        fitted(rooted, stuck, [("arm",)], arm=arms)
        print(f"{n_rows:5,d} rows, {n_levels:3d} terms: {time.process_time() - began:.2f} s of one processor")


if __name__ == "__main__":
    generator = np.random.default_rng(SEED)
    fitted([3], [7], [])  # what is loaded late is loaded
    quick(generator)
    found(generator)
    held(generator)
