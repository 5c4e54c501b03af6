"""Counts on plates that differ by more than chance: ours beside lme4 and glmmTMB of R, where present."""

from __future__ import annotations

import csv
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np

from slipwright.rooting.trial_priors import EffectPrior, SpreadPrior
from slipwright.rooting.trial_table import Trial, factors_in
from slipwright.rooting.trials import fit_trial

N_PLATES, N_SEEDS, SPREAD = (20, 200, 2_000), 40, 0.4
EFFECTS = {"intercept": -0.5, "seed": 0.1, "root": 1.3, "seed:root": -0.8}
SCRIPT = """
d <- read.csv(commandArgs(TRUE)[1])
for (way in c("lme4", "glmmTMB")) {
  if (!requireNamespace(way, quietly = TRUE)) { cat(way, "is absent\\n"); next }
  formula <- cbind(rooted, stuck - rooted) ~ seed * root + (1 | plate)
  start <- proc.time()
  if (way == "lme4") {
    fit <- lme4::glmer(formula, d, binomial, nAGQ = 25)
    means <- lme4::fixef(fit); spread <- sqrt(unlist(lme4::VarCorr(fit)))
  } else {
    fit <- glmmTMB::glmmTMB(formula, d, binomial)
    means <- glmmTMB::fixef(fit)$cond; spread <- sqrt(unlist(glmmTMB::VarCorr(fit)$cond))
  }
  took <- sum((proc.time() - start)[1:2])
  means <- paste(sprintf("%.3f", means), collapse = " ")
  cat(sprintf("    %-8s %s, spread %.3f; %.2f s CPU\\n", way, means, spread, took))
}
"""


def proportion() -> None:
    """Fit plates of each number by all that is here; the priors of ours are wide, for R has none."""
    r = shutil.which("Rscript")
    if r is None:
        print("Rscript is absent: lme4 and glmmTMB are not compared")
    print("    " + " ".join(EFFECTS) + ", spread: true", *EFFECTS.values(), SPREAD)
    for n_plates in N_PLATES:
        generator = np.random.default_rng([23, n_plates])
        seed, root = generator.integers(0, 2, (2, n_plates))
        logit = np.stack([np.ones(n_plates), seed, root, seed * root]).T @ np.array(list(EFFECTS.values()))
        p = 1 / (1 + np.exp(-(logit + SPREAD * generator.standard_normal(n_plates))))
        stuck = np.full(n_plates, N_SEEDS)
        rooted = generator.binomial(stuck, p)
        levels = {name: tuple(str(k) for k in row) for name, row in (("seed", seed), ("root", root))}
        start = time.process_time()
        found = fit_trial(
            Trial(rooted, stuck, levels),
            factors_in("seed*root", ["seed", "root"]),
            reference={"seed": "0", "root": "0"},
            spread_prior=SpreadPrior("uniform", 10.0),
            effect_prior=EffectPrior(100.0, 100.0),
        )
        took = time.process_time() - start
        means = " ".join(f"{effect.mean:.3f}" for effect in found.effects)
        print(f"{n_plates} plates of {N_SEEDS}")
        print(f"    {'ours':<8} {means}, spread {found.spread.mean:.3f}; {took:.2f} s CPU", flush=True)
        if r:
            with tempfile.TemporaryDirectory() as folder:
                table = Path(folder) / "plates.csv"
                with table.open("w", newline="") as lines:
                    rows = csv.writer(lines)
                    rows.writerow(["plate", "seed", "root", "rooted", "stuck"])
                    rows.writerows(zip(range(n_plates), seed, root, rooted, stuck, strict=True))
                subprocess.run([r, "-e", SCRIPT, str(table)], check=True)
