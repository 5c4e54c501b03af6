"""Fits against integrals done in full, against the truth of invented worlds, and against themselves."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import norm, qmc
from threadpoolctl import threadpool_info

from bench.worlds import own_world
from slipwright.rooting._running import one_thread_a_matrix
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings, Term
from slipwright.rooting.fit import Fit
from slipwright.rooting.fitting import LEAST_EFFECTIVE, fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, prior_draws
from slipwright.rooting.mode import Problem
from slipwright.rooting.spells import spells_of
from slipwright.rooting.spreads import N_SPREADS, WOOD_SD, sd_slopes, standard_deviations, together_of
from slipwright.rooting.taxon_effects import taxon_effects

ON = date(2026, 6, 1)
LIKE_ITS_ROW = Cuttings(usual=Cuttings())
ROSE = Kind("Rosa", "Rosa 'Ice Lantern'", "semi-hardwood", "2026")


def batch(name: str, n_stuck: int, n_rooted: int, n_lost: int | None = 0, day: int = 42) -> BatchRecord:
    looks = (LookCounts(ON + timedelta(days=day), n_rooted=n_rooted, n_lost=n_lost),)
    return BatchRecord(LIKE_ITS_ROW, replace(ROSE, batch=name), BatchCounts(ON, n_stuck, looks))


def levels_alone(rooting: tuple[float, float], loss: tuple[float, float]) -> list[Term]:
    """Terms that leave nothing unknown but the two intercepts: the clocks run evenly."""
    none = (0.0, 1e-5)
    return [
        Term("intercept", rooting, loss),
        Term("time", none, none, "slope"),
        Term("time_2", none, none, "bend"),
    ]


# --- against integrals ---------------------------------------------------------------------------------

PRIOR, NO_LOSS = (-3.6, 0.6), (-30.0, 1e-5)
#: so many of so many stuck had rooted by day 42
ROOTED = ((12, 3), (9, 8), (15, 13), (6, 1), (20, 11), (8, 8))
ROOTING_ALONE = [batch(f"B{k}", n, r) for k, (n, r) in enumerate(ROOTED)]
TERMS_ALONE = levels_alone(PRIOR, NO_LOSS)


def exactly(psi: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Evidence, mean and sd of the intercept by integration at some spreads, all batches of one season.

    What the batches have in common is integrated over, and within it each batch's own effect by itself.
    """
    scores = np.linspace(-6, 6, 121)
    weights = norm.pdf(scores) * (scores[1] - scores[0])
    sds = standard_deviations(psi)
    common_sd = np.sqrt(PRIOR[1] ** 2 + (sds[:, :3] ** 2).sum(axis=1) + WOOD_SD**2)
    fine = np.linspace(-22, 16, 12_000)
    common = PRIOR[0] + common_sd[:, None] * scores
    log_chance = np.zeros_like(common)
    for n, rooted in ROOTED:
        with np.errstate(divide="ignore"):
            log_one = rooted * np.log(-np.expm1(-np.exp(fine) * 42)) - (n - rooted) * np.exp(fine) * 42
        level = common[..., None] + sds[:, 3, None, None] * scores
        log_chance += np.log(np.maximum(np.exp(np.interp(level, fine, log_one)) @ weights, 1e-300))
    posterior = np.exp(log_chance) * weights
    evidence = posterior.sum(axis=1)
    posterior /= evidence[:, None]
    mean, square = posterior @ scores, posterior @ scores**2
    share = PRIOR[1] ** 2 / common_sd
    left = PRIOR[1] ** 2 - share**2
    return np.log(evidence), PRIOR[0] + share * mean, np.sqrt(left + share**2 * (square - mean**2))


@pytest.mark.parametrize("score", [-1.0, 0.0, 1.0])
def test_at_given_spreads_the_intercept_is_that_of_an_integral_and_the_shift_brings_it_there(
    score: float,
) -> None:
    psi = np.full(N_SPREADS, score)
    _, (mean,), (sd,) = exactly(psi[None])
    found = fit(ROOTING_ALONE, psi=psi, terms=TERMS_ALONE)
    told = next(one for one in found.effects() if one.term == "intercept" and one.clock == "rooting")
    problem = Problem(ROOTING_ALONE, [spells_of(one.counts) for one in ROOTING_ALONE], terms=TERMS_ALONE)
    top = float(problem.mode(psi[None]).dense[0, 0])
    assert told.sd == pytest.approx(sd, rel=0.005)
    assert abs(told.mean - mean) < 0.003 * sd
    assert abs(told.mean - mean) < 0.1 * abs(top - mean)


def test_the_evidence_rises_and_falls_with_the_spreads_as_an_integral_does() -> None:
    psi = np.random.default_rng(2).standard_normal((12, N_SPREADS))
    problem = Problem(ROOTING_ALONE, [spells_of(one.counts) for one in ROOTING_ALONE], terms=TERMS_ALONE)
    ours = problem.mode(psi).evidence + (psi**2).sum(axis=1) / 2
    difference = ours - exactly(psi)[0]
    assert np.ptp(ours) > 1
    np.testing.assert_allclose(difference, difference.mean(), atol=0.06)


def test_averaged_over_the_spreads_all_is_that_of_an_integral_over_them() -> None:
    psi = np.zeros((2048, N_SPREADS))
    psi[:, :4] = norm.ppf(qmc.Sobol(4, seed=1).random(2048))
    evidence, means, sds = (
        np.concatenate(some) for some in zip(*map(exactly, np.split(psi, 16)), strict=True)
    )
    weights = np.exp(evidence - evidence.max())
    weights /= weights.sum()
    mean = weights @ means
    sd = np.sqrt(weights @ (sds**2 + (means - mean) ** 2))
    found = fit(ROOTING_ALONE, terms=TERMS_ALONE, n_points=256)
    told = next(one for one in found.effects() if one.term == "intercept" and one.clock == "rooting")
    assert told.mean == pytest.approx(mean, abs=0.02 * sd)
    assert told.sd == pytest.approx(sd, rel=0.03)
    batch_sds = standard_deviations(psi)[:, 3]
    told_batch = next(one for one in found.spreads() if one.name == "batch rooting")
    expected = weights @ batch_sds
    width = np.sqrt(weights @ (batch_sds - expected) ** 2)
    assert told_batch.mean == pytest.approx(expected, abs=0.1 * width)
    assert told_batch.sd == pytest.approx(width, rel=0.08)
    before = [one for one in found.spreads() if "loss" in one.name]
    for one in before:
        assert one.mean == pytest.approx(one.prior_mean, rel=0.05)
        assert one.sd == pytest.approx(one.prior_sd, rel=0.08)


TWO_PRIORS = ((-3.6, 0.6), (-5.0, 0.8))


def both_exactly(psi: np.ndarray, n: int, rooted: int, lost: int | None) -> tuple[np.ndarray, np.ndarray]:
    """Means and sds of the intercepts of both clocks of one batch by integration over its two levels."""
    sds, together = standard_deviations(psi), float(together_of(psi))
    covariance = np.diag(
        [TWO_PRIORS[k][1] ** 2 + (sds[4 * k : 4 * k + 4] ** 2).sum() + WOOD_SD**2 for k in (0, 1)]
    )
    covariance[0, 1] = covariance[1, 0] = together * sds[3] * sds[7]
    middle = np.array([mean for mean, _ in TWO_PRIORS])
    scores = np.stack(np.meshgrid(*[np.linspace(-6, 6, 401)] * 2, indexing="ij"), axis=-1)
    level = scores @ np.linalg.cholesky(covariance).T + middle
    r, l = np.exp(level[..., 0]), np.exp(level[..., 1])  # noqa: E741
    gone = -np.expm1(-(r + l) * 42)
    p_rooted, p_lost = r / (r + l) * gone, l / (r + l) * gone
    log_chance = rooted * np.log(p_rooted)
    if lost is None:
        log_chance += (n - rooted) * np.log(p_lost + np.exp(-(r + l) * 42))
    else:
        log_chance += lost * np.log(p_lost) - (n - rooted - lost) * (r + l) * 42
    weights = np.exp(log_chance - (scores**2).sum(axis=-1) / 2)
    weights /= weights.sum()
    away = np.einsum("ij,ijk->k", weights, level - middle)
    spread = np.einsum("ij,ijk,ijl->kl", weights, level - middle - away, level - middle - away)
    prior = np.diag([sd**2 for _, sd in TWO_PRIORS])
    into = prior @ np.linalg.inv(covariance)
    return middle + into @ away, np.sqrt(np.diag(prior - into @ prior + into @ spread @ into.T))


@pytest.mark.parametrize(
    ("rooted", "lost", "within"),
    [(7, 2, 0.015), (9, 0, 0.015), (0, 1, 0.015), (8, None, 0.03), (2, None, 0.08), (0, None, 0.15)],
)
def test_the_two_clocks_of_one_batch_are_those_of_an_integral_over_both(
    rooted: int, lost: int | None, within: float
) -> None:
    psi = np.full(N_SPREADS, 0.4)
    psi[8] = 1.5
    means, sds = both_exactly(psi, 12, rooted, lost)
    found = fit([batch("B", 12, rooted, lost)], psi=psi, terms=levels_alone(*TWO_PRIORS))
    told = {one.clock: one for one in found.effects() if one.term == "intercept"}
    for k, clock in enumerate(("rooting", "loss")):
        assert told[clock].mean == pytest.approx(means[k], abs=within * sds[k])
        assert told[clock].sd == pytest.approx(sds[k], rel=min(within, 0.025))


# --- against the truth ---------------------------------------------------------------------------------

WORLD = own_world(np.random.default_rng(11), 60, 8)
COLD = fit(WORLD.records)


def by_name(found: Fit) -> dict[tuple[str, str], tuple[float, float]]:
    return {(one.term, one.clock): (one.mean, one.sd) for one in found.effects()}


def apart(one: Fit, other: Fit) -> float:
    """Largest difference of a coefficient's means in its standard deviation."""
    theirs = by_name(other)
    return max(abs(mean - theirs[name][0]) / sd for name, (mean, sd) in by_name(one).items())


def test_true_coefficients_lie_where_they_are_said_to_lie() -> None:
    assert COLD.converged
    assert WORLD.truth is not None
    scores, inside = [], []
    for one in COLD.effects():
        true = WORLD.truth.coefficients[one.term][int(one.clock == "loss"), 0]
        scores.append((true - one.mean) / one.sd)
        inside.append(one.q10 <= true <= one.q90)
    assert len(scores) > 60
    assert np.mean(inside) == pytest.approx(0.8, abs=0.1)
    assert np.mean(np.square(scores)) == pytest.approx(1, abs=0.35)


def test_records_say_more_than_the_prior_and_most_of_what_they_bear_on_most() -> None:
    effects = {(one.term, one.clock): one for one in COLD.effects()}
    assert all(one.sd < 1.05 * one.prior_sd for one in effects.values())
    assert effects["time", "rooting"].sd < 0.5 * effects["time", "rooting"].prior_sd
    assert effects["intercept", "rooting"].sd < 0.9 * effects["intercept", "rooting"].prior_sd


# --- against themselves --------------------------------------------------------------------------------


@pytest.mark.parametrize("records", [[], [batch("B", 10, 0)]], ids=["none", "nothing counted"])
def test_without_records_the_prior_is_what_is_known(records: Sequence[BatchRecord]) -> None:
    empty = [replace(one, counts=BatchCounts(ON, 10, (LookCounts(ON),))) for one in records]
    found = fit(empty)
    assert (found.n_batches, found.n_looks, found.converged, found.points) == (0, 0, True, ())
    assert (found.effects(), taxon_effects(found), found.spreads(), found.n_effective) == ([], [], [], 0)
    learned, before = found.learned(n_draws=50), prior_draws(np.random.default_rng(7), 50)
    for name, drawn in before.coefficients.items():
        np.testing.assert_array_equal(learned.coefficients[name], drawn)
    assert not learned.nodes
    assert fit([batch("B", 10, 4)], start=found.start(), n_points=16).n_batches == 1


def test_one_cutting_in_one_batch_hardly_moves_anything() -> None:
    found = fit([batch("B", 1, 1)], n_points=64)
    assert found.converged
    for one in found.effects():
        assert one.mean == pytest.approx(one.prior_mean, abs=0.6 * one.prior_sd)
        assert one.sd == pytest.approx(one.prior_sd, rel=0.15)
    for spread in found.spreads():
        assert spread.mean == pytest.approx(spread.prior_mean, abs=0.15 * spread.prior_sd + 0.02)
        assert spread.sd == pytest.approx(spread.prior_sd, rel=0.15)


def test_batches_without_counts_change_nothing() -> None:
    silent = replace(WORLD.records[0], counts=BatchCounts(ON, 10), kind=replace(ROSE, batch="silent"))
    found = fit([silent, *WORLD.records], n_points=64)
    assert found.n_batches == 60
    assert silent.kind.path[-1] not in found.told
    assert apart(found, COLD) < 1e-6


def test_the_order_of_the_records_does_not_matter_and_the_same_records_give_the_same_fit() -> None:
    shuffled = [WORLD.records[k] for k in np.random.default_rng(1).permutation(60)]
    found = fit(shuffled)
    assert apart(found, COLD) < 1e-6
    np.testing.assert_allclose(found.weights, COLD.weights, atol=1e-6)
    assert list(found.told) == list(COLD.told)


def test_a_batch_that_comes_twice_or_has_no_name_is_refused() -> None:
    one = batch("B", 10, 4)
    with pytest.raises(ValueError, match="once"):
        fit([one, batch("C", 10, 2), one])
    with pytest.raises(ValueError, match="name"):
        fit([one, replace(one, kind=replace(one.kind, batch=""))])


def test_enough_settings_of_the_spreads_count_after_weighing() -> None:
    assert len(COLD.points) >= 64
    assert COLD.n_effective >= LEAST_EFFECTIVE
    assert COLD.weights.sum() == pytest.approx(1)
    few = fit(WORLD.records[:10], n_points=4)
    assert len(few.points) >= 32
    assert few.n_effective >= LEAST_EFFECTIVE


def test_more_settings_of_the_spreads_change_little() -> None:
    some = WORLD.records[:30]
    assert apart(fit(some, n_points=256), fit(some)) < 0.1


def test_a_large_history_has_one_setting_near_the_middle_of_the_many() -> None:
    found = fit(WORLD.records, integrate_up_to=59)
    assert found.converged
    assert len(found.points) == 1
    assert apart(found, COLD) < 0.3
    middle, sds = (
        COLD.weights @ standard_deviations(np.array([point.psi for point in COLD.points])),
        standard_deviations(found.points[0].psi),
    )
    np.testing.assert_allclose(sds, middle, rtol=0.5)


def test_a_warm_refit_with_spreads_held_is_close_to_a_cold_fit() -> None:
    before = fit(WORLD.records[:-2], integrate_up_to=0)
    held = fit(WORLD.records, start=before.start(), hold_spreads=True, integrate_up_to=0)
    cold = fit(WORLD.records, integrate_up_to=0)
    np.testing.assert_array_equal(held.points[0].psi, before.points[0].psi)
    assert held.n_batches == 60
    assert apart(held, cold) < 0.2
    assert held.seconds < cold.seconds


def test_where_a_fit_starts_does_not_matter_for_where_it_ends() -> None:
    again = fit(WORLD.records, start=COLD.start())
    assert again.converged
    assert apart(again, COLD) < 0.1
    one_setting = fit(WORLD.records, integrate_up_to=0)
    assert apart(fit(WORLD.records, start=COLD.start(), integrate_up_to=0), one_setting) < 0.1


def test_a_start_from_another_history_lends_only_what_has_the_same_name() -> None:
    other = own_world(np.random.default_rng(12), 20, 5).records
    found = fit(other, start=COLD.start())
    assert found.converged
    assert apart(found, fit(other)) < 0.1


def test_two_fits_at_once_are_those_done_one_by_one_and_leave_the_threads_as_they_were() -> None:
    halves = [WORLD.records[:20], WORLD.records[20:]]
    before = [one["num_threads"] for one in threadpool_info()]
    with ThreadPoolExecutor(2) as pool:
        together = list(pool.map(lambda records: fit(records, integrate_up_to=0), halves))
    assert [one["num_threads"] for one in threadpool_info()] == before
    for found, records in zip(together, halves, strict=True):
        assert apart(found, fit(records, integrate_up_to=0)) < 1e-6


def test_matrices_keep_to_one_thread_until_the_last_fit_is_done() -> None:
    def threads() -> list[int]:
        return [one["num_threads"] for one in threadpool_info()]

    before = threads()
    with one_thread_a_matrix():
        with one_thread_a_matrix():
            assert set(threads()) == {1}
        assert set(threads()) == {1}
    assert threads() == before


def test_one_setting_is_the_likeliest_on_the_logarithm_of_the_standard_deviations() -> None:
    found = fit(WORLD.records, integrate_up_to=0)
    psi = found.points[0].psi
    ordered = sorted(WORLD.records, key=lambda one: one.kind.path[-1][1:])
    problem = Problem(ordered, [spells_of(one.counts) for one in ordered])

    def log_density(scores: np.ndarray) -> np.ndarray:
        return problem.mode(scores, enough=1e-10).evidence - np.log(sd_slopes(scores)).sum(axis=1)

    here = log_density(psi[None])[0]
    step = 0.05
    around = log_density(psi + step * np.concatenate([np.eye(N_SPREADS), -np.eye(N_SPREADS)]))
    # the search stops where the slope is below 0.3 of its own width
    assert (around < here + 0.3 * step).all()
    assert np.abs(around[:N_SPREADS] - around[N_SPREADS:]).max() / (2 * step) < 0.5


def test_it_tells_how_far_it_is_and_never_goes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("slipwright.rooting.fitting._BATCHES_AT_ONCE", 1)
    heard: list[tuple[float, str]] = []
    found = fit(WORLD.records[:10], n_points=16, said=lambda share, words: heard.append((share, words)))
    assert len(found.points) > 16
    shares = [share for share, _ in heard]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1], shares.count(1)) == (0, 1, 1)
    assert len({words for _, words in heard}) == 4
