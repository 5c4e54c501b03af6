"""What a trial taught: rooted of stuck by arm, when units of the same arm differ by more than chance.

Binomial counts, a normal effect a unit on the logit scale, and a posterior that is integrated rather than
sampled: `docs/trials.md` has the equations and what was measured.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from slipwright.craft.errors import BadArgument
from slipwright.rooting._trial_design import design_of
from slipwright.rooting._trial_likelihood import Likelihood
from slipwright.rooting._trial_posterior import Integrator
from slipwright.rooting._trial_summary import (
    CellMean,
    Contrast,
    Effect,
    Summary,
    summary_of,
)
from slipwright.rooting._trial_verdict import verdict_of
from slipwright.rooting.trial_priors import EffectPrior, SpreadPrior
from slipwright.rooting.trial_table import Trial

Extra = Literal["none_found", "present", "cannot_tell"]
#: what is said of extra variation rests on this prior, whatever prior the spread was given
DEFAULT_SPREAD = SpreadPrior("half-normal", 0.5)
DEFAULT_EFFECTS = EffectPrior()
#: Savage-Dickey ratios above and below which extra variation is said to be absent or present
_ABSENT, _PRESENT = 1.0, 1 / 3


@dataclass(frozen=True)
class TrialFit:
    """What a trial taught; ranges are 8 times in 10, effects on the logit scale, shares from 0 to 1.

    ``at_no_spread`` is the Savage-Dickey ratio at spread 0: how many times likelier a spread of 0 has
    become. ``effective`` is the number of draws the answer rests on.
    """

    n_rows: int
    n_units: int
    n_rooted: int
    n_stuck: int
    effects: tuple[Effect, ...]
    spread: Effect
    extra_variation: Extra
    at_no_spread: float
    pearson_chi2: float
    df: int
    contrasts: tuple[Contrast, ...]
    cell_means: tuple[CellMean, ...]
    verdict: str
    warnings: tuple[str, ...]
    spread_prior: SpreadPrior
    effect_prior: EffectPrior
    effective: float

    def as_json(self, *, cell_means: bool = False) -> dict[str, Any]:
        """Return what ``trial --json`` prints."""
        data = {
            "effects": [asdict(effect) for effect in self.effects],
            "spread": {name: getattr(self.spread, name) for name in ("mean", "sd", "q10", "q90")},
            "extra_variation": self.extra_variation,
            "savage_dickey": self.at_no_spread,
            "dispersion": {"pearson_chi2": self.pearson_chi2, "df": self.df},
            "contrasts": [contrast.as_json() for contrast in self.contrasts],
            "verdict": self.verdict,
            "n_rows": self.n_rows,
            "n_units": self.n_units,
            "n_rooted": self.n_rooted,
            "n_stuck": self.n_stuck,
            "priors": {"spread": str(self.spread_prior), **asdict(self.effect_prior)},
            "warnings": list(self.warnings),
        }
        if cell_means:
            data["cell_means"] = [asdict(cell) for cell in self.cell_means]
        return data


def fit_trial(
    trial: Trial,
    sets: Sequence[tuple[str, ...]] = (),
    *,
    reference: Mapping[str, str] | None = None,
    spread_prior: SpreadPrior = DEFAULT_SPREAD,
    effect_prior: EffectPrior = DEFAULT_EFFECTS,
) -> TrialFit:
    """Return what a trial taught.

    Parameters
    ----------
    trial : Trial
        Counts, levels and units by row.
    sets : sequence of tuples of str
        Terms of the formula (`slipwright.rooting.trial_table.factors_in`).
    reference : mapping of str to str, optional
        Reference level of a factor; else the level met first.
    spread_prior : SpreadPrior
        Prior of the standard deviation of the units' effects on the logit scale [-].
    effect_prior : EffectPrior
        Standard deviations of the normal priors of the mean and of what each level adds [-].

    Returns
    -------
    TrialFit
        Effects, spread, contrasts, cells, and one sentence. The same table gives the same figures.

    Raises
    ------
    BadArgument
        If a reference is no level of a factor, or the formula makes too many terms.

    Notes
    -----
    y ~ Binomial(n, p), logit p = x beta + sigma z, z ~ N(0, 1) for each unit. Each z is integrated out
    by adaptive Gauss-Hermite quadrature, beta by weighted draws about its mode, sigma on a grid. Extra
    variation is judged by the posterior density of sigma at 0 over its prior density there, under a
    half-normal prior of scale 0.5: above 1 none was found, below 1/3 it is present. Where no two rows
    were treated alike nothing can be said of it.

    References
    ----------
    Pinheiro and Bates 1995, J. Comput. Graph. Statist. 4, 12-35 (adaptive quadrature); Geweke 1989,
    Econometrica 57, 1317-1339 (weighted draws with stretched halves); Dickey 1971, Ann. Math. Statist.
    42, 204-223 (the ratio); all from memory. The priors are our own: common practice, no source.

    Examples
    --------
    >>> import numpy as np
    >>> counts = np.array([7, 9, 8, 12]), np.array([12, 12, 12, 12])
    >>> trial = Trial(*counts, {"dip": ("none", "none", "iba", "iba")})
    >>> [effect.term for effect in fit_trial(trial, [("dip",)]).effects]
    ['intercept', 'dip[iba]']
    """
    if not int(trial.n_stuck.sum()):
        raise BadArgument("rows", "hold at least one cutting that was stuck", 0)
    design = design_of(trial.levels, sets, reference or {}, len(trial.n_stuck))
    likelihood = Likelihood(design.x, trial.n_rooted, trial.n_stuck, trial.units)
    posterior = Integrator(likelihood, effect_prior.precision(design.adds)).posterior(
        spread_prior, DEFAULT_SPREAD
    )
    chi2, df = likelihood.pearson()
    summary = summary_of(trial, design, posterior)
    extra = _extra(posterior.evidence_at_0, is_told=df > 0 and likelihood.n_units > 1)
    return TrialFit(
        n_rows=len(trial.n_stuck),
        n_units=likelihood.n_units,
        n_rooted=int(trial.n_rooted.sum()),
        n_stuck=int(trial.n_stuck.sum()),
        effects=summary.effects,
        spread=summary.spread,
        extra_variation=extra,
        at_no_spread=posterior.evidence_at_0,
        pearson_chi2=chi2,
        df=df,
        contrasts=summary.contrasts,
        cell_means=summary.cell_means,
        verdict=_verdict(summary, extra, df),
        warnings=(*trial.warnings, *_emptiness(trial), *_blocks(likelihood), *design.warnings),
        spread_prior=spread_prior,
        effect_prior=effect_prior,
        effective=posterior.effective,
    )


def _extra(at_no_spread: float, *, is_told: bool) -> Extra:
    if not is_told or _PRESENT <= at_no_spread <= _ABSENT:
        return "cannot_tell"
    return "none_found" if at_no_spread > _ABSENT else "present"


def _emptiness(trial: Trial) -> tuple[str, ...]:
    n_empty = int((trial.n_stuck == 0).sum())
    if not n_empty:
        return ()
    return (f"{n_empty:,} {'row' if n_empty == 1 else 'rows'} with nothing stuck tell nothing",)


def _blocks(likelihood: Likelihood) -> tuple[str, ...]:
    if likelihood.is_single:
        return ()
    return (
        "some units hold rows that were treated differently: each is taken as one unit, a block; "
        "if pots of different arms only share a number, give each a name of its own",
    )


def _verdict(summary: Summary, extra: Extra, df: int) -> str:
    told = {
        "none_found": "no sign that units differ by more than chance",
        "present": "units treated alike differ by more than chance, which the ranges allow for",
        "cannot_tell": "whether units treated alike differ by more than chance cannot be told",
    }[extra]
    if df <= 0:
        told = "no two units were treated alike, so how far units differ by themselves is a guess"
        if summary.contrasts:
            told = f"one unit an arm cannot tell the arm from the pot: {told}"
    return verdict_of(summary, told, is_repeated=df > 0)
