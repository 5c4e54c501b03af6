"""What a trial taught: against brute sums, at the edges, and in words."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import expit
from scipy.stats import binom, norm

from slipwright.craft.errors import BadArgument
from slipwright.rooting._trial_design import design_of
from slipwright.rooting._trial_likelihood import Likelihood
from slipwright.rooting.trial_priors import EffectPrior, SpreadPrior, spread_prior
from slipwright.rooting.trial_table import Trial
from slipwright.rooting.trials import fit_trial


def trial(n_rooted, n_stuck, units=(), **levels):
    counts = np.array(n_rooted), np.array(n_stuck)
    return Trial(*counts, {name: tuple(words) for name, words in levels.items()}, tuple(units))


FOUR = trial([7, 2, 9, 12], [12, 12, 12, 14], dip=["none", "none", "iba", "iba"])


def effect(fit, term):
    return next(one for one in fit.effects if one.term == term)


# --- against sums that anyone can check --------------------------------------------------------------


def test_one_arm_equals_a_sum_over_a_fine_grid():
    rooted, stuck = np.array([2, 9, 5, 8, 3]), np.array([12, 12, 10, 12, 11])
    prior = SpreadPrior("half-normal", 0.8)
    fit = fit_trial(trial(rooted, stuck), spread_prior=prior, effect_prior=EffectPrior(2.0))
    intercepts, spreads, scores = np.linspace(-4, 4, 81), np.linspace(0, 4, 101), np.linspace(-6, 6, 121)
    at = expit(intercepts[:, None, None] + spreads[:, None] * scores)
    log = norm.logpdf(intercepts, 0, 2.0)[:, None] + norm.logpdf(spreads, 0, 0.8)
    for y, n in zip(rooted, stuck, strict=True):
        log = log + np.log(binom.pmf(y, n, at) @ norm.pdf(scores))
    weights = np.exp(log - log.max())
    weights[:, 0] /= 2  # the edge of the trapezium
    weights /= weights.sum()
    mean = float(weights.sum(axis=1) @ intercepts)
    spread = float(weights.sum(axis=0) @ spreads)
    sd = math.sqrt(weights.sum(axis=1) @ (intercepts - mean) ** 2)
    spread_sd = math.sqrt(weights.sum(axis=0) @ (spreads - spread) ** 2)
    assert fit.effects[0].mean == pytest.approx(mean, abs=0.01 * sd)
    assert fit.effects[0].sd == pytest.approx(sd, rel=0.02)
    assert fit.spread.mean == pytest.approx(spread, abs=0.01 * spread_sd)
    assert fit.spread.sd == pytest.approx(spread_sd, rel=0.01)
    share = (weights[:, :, None] * at * (norm.pdf(scores) * 0.1)).sum()
    assert fit.cell_means[0].mean == pytest.approx(share, abs=0.002)


def test_the_likelihood_s_slopes_equal_differences():
    x = np.column_stack([np.ones(6), [0, 1, 0, 1, 0, 1]])
    units = ("a", "a", "b", "b", "c", "d")
    likelihood = Likelihood(x, np.array([3, 5, 0, 8, 2, 7]), np.array([8, 9, 8, 8, 8, 7]), units)
    beta, step = np.array([-0.4, 1.1]), 1e-5
    _, gradient, hessian, _ = likelihood.slopes(beta, 0.7)
    for k in range(2):
        ahead, behind = beta.copy(), beta.copy()
        ahead[k] += step
        behind[k] -= step
        up, down = likelihood.slopes(ahead, 0.7), likelihood.slopes(behind, 0.7)
        assert gradient[k] == pytest.approx((up[0] - down[0]) / (2 * step), rel=1e-6)
        assert hessian[k] == pytest.approx((up[1] - down[1]) / (2 * step), rel=1e-5)


def test_rows_of_one_unit_share_its_luck():
    rooted, stuck, arms = [1, 2, 9, 10], [12] * 4, ["none", "iba", "none", "iba"]
    alone = fit_trial(trial(rooted, stuck, dip=arms), [("dip",)])
    blocks = fit_trial(trial(rooted, stuck, "1122", dip=arms), [("dip",)])
    assert blocks.n_units == 2
    assert effect(blocks, "dip[iba]").sd < 0.9 * effect(alone, "dip[iba]").sd
    assert "block" in blocks.warnings[0]


def test_rows_of_one_unit_treated_alike_are_summed():
    whole = fit_trial(trial([7, 9], [12, 12], dip=["none", "iba"]), [("dip",)])
    halves = fit_trial(trial([3, 4, 4, 5], [6] * 4, "aabb", dip=["none", "none", "iba", "iba"]), [("dip",)])
    assert halves.effects == whole.effects
    assert halves.warnings == ()


def test_the_same_table_in_another_order_gives_the_same_figures():
    order = [2, 0, 3, 1]
    turned = trial(FOUR.n_rooted[order], FOUR.n_stuck[order], dip=[FOUR.levels["dip"][k] for k in order])
    again = fit_trial(turned, [("dip",)], reference={"dip": "none"})
    assert again.effects == fit_trial(FOUR, [("dip",)]).effects


def test_the_other_reference_turns_the_sign():
    one = effect(fit_trial(FOUR, [("dip",)]), "dip[iba]")
    other = effect(fit_trial(FOUR, [("dip",)], reference={"dip": "iba"}), "dip[none]")
    assert other.mean == pytest.approx(-one.mean, abs=0.01 * one.sd)


def test_a_unit_without_cuttings_changes_nothing():
    more = trial([*FOUR.n_rooted, 0], [*FOUR.n_stuck, 0], dip=[*FOUR.levels["dip"], "none"])
    fit = fit_trial(more, [("dip",)])
    assert fit.effects == fit_trial(FOUR, [("dip",)]).effects
    assert fit.n_units == 4
    assert "nothing stuck" in fit.warnings[0]


# --- extra variation ---------------------------------------------------------------------------------


def test_units_far_apart_are_seen():
    fit = fit_trial(trial([1, 11, 2, 12, 0, 12], [12] * 6, dip=["a", "a", "a", "b", "b", "b"]), [("dip",)])
    assert fit.extra_variation == "present"
    assert fit.pearson_chi2 > 3 * fit.df


def test_units_as_alike_as_chance_makes_them_are_left_alone():
    rooted = np.random.default_rng(6).binomial(40, 0.5, 30)
    fit = fit_trial(trial(rooted, [40] * 30))
    assert fit.pearson_chi2 < 1.2 * fit.df
    assert fit.extra_variation == "none_found"


def test_a_few_units_somewhat_apart_leave_it_open():
    fit = fit_trial(trial([5, 8, 4, 8, 9, 5], [12] * 6))
    assert fit.extra_variation == "cannot_tell"
    assert 1 / 3 < fit.at_no_spread < 1


def test_without_two_units_treated_alike_nothing_can_be_told():
    fit = fit_trial(trial([7, 9], [12, 12], dip=["none", "iba"]), [("dip",)])
    assert (fit.extra_variation, fit.df) == ("cannot_tell", 0)
    assert "no two units were treated alike" in fit.verdict


def test_what_is_said_of_extra_variation_does_not_hang_on_the_prior_given():
    ratios = [
        fit_trial(FOUR, [("dip",)], spread_prior=spread_prior(text)).at_no_spread
        for text in ("half-normal:0.5", "uniform:10", "inverse-gamma:0.001,0.001")
    ]
    assert ratios == pytest.approx([ratios[0]] * 3, rel=0.02)


# --- at the edges ------------------------------------------------------------------------------------


@pytest.mark.parametrize("prior", ["half-normal:0.5", "uniform:10", "inverse-gamma:0.001,0.001"])
@pytest.mark.parametrize(
    "rooted", [[12, 12, 12, 12], [0, 0, 0, 0], [0, 0, 12, 12]], ids=["all", "none", "one arm all"]
)
def test_all_or_none_rooted_is_answered_calmly(rooted, prior):
    fit = fit_trial(
        trial(rooted, [12] * 4, dip=["a", "a", "b", "b"]), [("dip",)], spread_prior=spread_prior(prior)
    )
    assert all(math.isfinite(value) for one in fit.effects for value in (one.mean, one.sd, one.q10, one.q90))
    assert all(0 <= cell.q10 <= cell.mean <= 1 for cell in fit.cell_means)
    surest = fit.contrasts[0].p_above_0
    if rooted == [0, 0, 12, 12]:
        assert surest > (0.99 if prior.startswith("half") else 0.75)
    else:
        assert surest == pytest.approx(0.5, abs=0.01)  # nothing speaks for either arm, nor for the reference


@pytest.mark.parametrize("rooted", [0, 3, 7])
def test_one_row_is_answered(rooted):
    fit = fit_trial(trial([rooted], [7]))
    assert [one.term for one in fit.effects] == ["intercept"]
    assert fit.cell_means[0].q10 <= rooted / 7 + 0.1
    assert fit.verdict.startswith(f"of 7 stuck {rooted} rooted")


def test_a_factor_of_one_level_makes_no_term():
    fit = fit_trial(trial([3, 5], [8, 8], dip=["none", "none"]), [("dip",)])
    assert [one.term for one in fit.effects] == ["intercept"]
    assert fit.contrasts == ()


def test_a_combination_without_a_row_is_left_out_and_told_of():
    three = trial([3, 5, 6], [8] * 3, dip=["no", "no", "iba"], part=["tip", "mid", "tip"])
    fit = fit_trial(three, [("dip",), ("part",), ("dip", "part")])
    assert [one.term for one in fit.effects] == ["intercept", "dip[iba]", "part[mid]"]
    assert "no row has dip iba with part mid" in fit.warnings[0]


def test_terms_that_always_come_together_are_told_of():
    both = trial([3, 5, 6, 4], [8] * 4, dip=["no", "no", "iba", "iba"], bed=["1", "1", "2", "2"])
    assert "cannot be told apart" in fit_trial(both, [("dip",), ("bed",)]).warnings[0]


def test_a_thousand_rows_are_answered():
    rng = np.random.default_rng(2)
    arms = rng.choice(["a", "b", "c"], 1000)
    eta = np.where(arms == "b", 0.6, 0.0) + rng.normal(0, 0.5, 1000)
    stuck = rng.integers(5, 20, 1000)
    fit = fit_trial(
        trial(rng.binomial(stuck, expit(eta)), stuck, arm=arms), [("arm",)], reference={"arm": "a"}
    )
    assert abs(effect(fit, "arm[b]").mean - 0.6) < 3 * effect(fit, "arm[b]").sd
    assert fit.spread.mean == pytest.approx(0.5, abs=0.15)
    assert fit.extra_variation == "present"
    assert fit.effective > 100


def test_ranges_hold_eight_times_in_ten():
    rng = np.random.default_rng(8)
    n_held, n = 0, 24
    for _ in range(n):
        spread, truth = abs(rng.normal(0, 0.5)), rng.normal(0, 1.0)
        eta = 0.3 + truth * np.repeat([0, 1], 4) + rng.normal(0, spread, 8)
        one = trial(rng.binomial(10, expit(eta)), [10] * 8, dip=list("aaaabbbb"))
        found = effect(fit_trial(one, [("dip",)]), "dip[b]")
        n_held += found.q10 < truth < found.q90
    assert 13 <= n_held <= 23  # 8 in 10 of 24; 1 in 200 either way


# --- in words, and what is refused -------------------------------------------------------------------


def test_the_verdict_names_the_better_arm_and_its_range():
    clear = trial([2, 3, 3, 10, 11, 9], [12] * 6, dip=["none"] * 3 + ["iba"] * 3)
    verdict = fit_trial(clear, [("dip",)]).verdict
    assert verdict.startswith("dip iba did better than none, by 5")
    assert "8 times in 10" in verdict
    assert verdict.count(".") == 1


def test_the_verdict_says_when_arms_cannot_be_told_apart():
    verdict = fit_trial(trial([5, 6, 6, 5], [12] * 4, dip=list("aabb")), [("dip",)]).verdict
    assert verdict.startswith("dip b and a cannot be told apart (−")


def test_contrasts_pair_every_level_and_average_the_other_factor():
    six = trial([1, 2, 5, 6, 9, 10], [12] * 6, dip=list("aabbcc"), part=["tip", "mid"] * 3)
    fit = fit_trial(six, [("dip",), ("part",)])
    assert [(c.level, c.against) for c in fit.contrasts if c.factor == "dip"] == [
        ("b", "a"),
        ("c", "a"),
        ("c", "b"),
    ]
    means = {cell.cell: cell.mean for cell in fit.cell_means}
    apart = [means[f"dip[c]:part[{part}]"] - means[f"dip[a]:part[{part}]"] for part in ("tip", "mid")]
    assert fit.contrasts[1].difference.mean == pytest.approx(sum(apart) / 2, abs=1e-9)
    assert fit.contrasts[1].odds[1] > 1


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"reference": {"dip": "naa"}}, "level of dip"),
        ({"reference": {"dose": "none"}}, "factor of --by"),
    ],
)
def test_a_reference_that_is_not_there_is_refused(given, match):
    with pytest.raises(BadArgument, match=match):
        fit_trial(FOUR, [("dip",)], **given)


def test_a_factor_of_very_many_levels_is_refused_by_name():
    many = trial([1] * 200, [2] * 200, pot=[f"P{k}" for k in range(200)])
    with pytest.raises(BadArgument, match="pot"):
        fit_trial(many, [("pot",)])


def test_nothing_stuck_at_all_is_refused():
    with pytest.raises(BadArgument, match="at least one cutting"):
        fit_trial(trial([0], [0]))


@pytest.mark.parametrize(
    "text", ["normal:1", "half-normal", "uniform:a", "uniform:-1", "inverse-gamma:1", "uniform:nan"]
)
def test_a_prior_that_is_none_is_refused(text):
    with pytest.raises(BadArgument, match="spread_prior"):
        spread_prior(text)


def test_parts_of_a_term_make_every_cell_of_equal_prior_spread():
    levels = {"dip": list("aabbcc"), "part": ["tip", "mid"] * 3}
    sets = [("dip",), ("part",), ("dip", "part")]
    design = design_of(levels, sets, {}, 6)
    covariance = np.linalg.inv(EffectPrior(1.0, 2.0).precision(design.adds))
    of_cells = design.x @ covariance @ design.x.T
    assert np.diag(of_cells) == pytest.approx([1 + 4 + 4 + 4] * 6)
    assert of_cells[0, 1] == pytest.approx(1 + 4)  # the same dip, another part
    assert of_cells[0, 3] == pytest.approx(1)  # nothing in common but the mean of all
