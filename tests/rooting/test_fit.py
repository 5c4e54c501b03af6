"""What is told of a fit agrees with itself: draws, effects, taxa, spreads, and where the next one starts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bench.worlds import own_world
from slipwright.rooting.cuttings import LEVEL_SD, TERMS, Cuttings
from slipwright.rooting.fit import Fit
from slipwright.rooting.fitting import fit
from slipwright.rooting.learned import LEVELS, Kind, Learned, Node, Seen
from slipwright.rooting.ranges import Z90
from slipwright.rooting.spreads import SPREADS, WOOD_SD, standard_deviations

WORLD = own_world(np.random.default_rng(21), 30, 6)
FOUND: Fit = fit(WORLD.records)
N = 8000
DRAWN: Learned = FOUND.learned(n_draws=N)
RECORD = max(WORLD.records, key=lambda one: one.counts.n_stuck)


def names(level: str) -> set[Node]:
    depth = LEVELS.index(level)
    return {one.kind.path[depth] for one in WORLD.records}


def test_draws_of_coefficients_have_the_means_and_spreads_that_are_told() -> None:
    effects = FOUND.effects()
    assert {one.term for one in effects} >= {"intercept", "time", "time_2"}
    for one in effects:
        drawn = DRAWN.coefficients[one.term][int(one.clock == "loss")]
        assert drawn.mean() == pytest.approx(one.mean, abs=0.06 * one.sd)
        assert drawn.std() == pytest.approx(one.sd, rel=0.05)


def test_eight_times_in_ten_is_from_the_tenth_to_the_ninetieth() -> None:
    priors = {term.name: (term.rooting, term.loss) for term in TERMS}
    for one in FOUND.effects():
        assert (one.q10 + one.q90) / 2 == pytest.approx(one.mean)
        assert one.q90 - one.q10 == pytest.approx(2 * Z90 * one.sd)
        told = priors.get(
            one.term, ((0.0, LEVEL_SD[one.term.partition("[")[0]]),) * 2 if "[" in one.term else None
        )
        assert (one.prior_mean, one.prior_sd) == pytest.approx(told[int(one.clock == "loss")])


def test_terms_no_batch_bears_on_are_drawn_from_their_priors() -> None:
    bare = fit([replace(WORLD.records[0], cuttings=Cuttings())], n_points=16)
    assert "tent" not in {one.term for one in bare.effects()}
    drawn = bare.learned(n_draws=4000).coefficients["tent"]
    assert drawn.std(axis=1) == pytest.approx([0.25, 0.30], rel=0.06)
    assert set(bare.learned(n_draws=10).coefficients) >= {term.name for term in TERMS}


def test_terms_of_ones_own_are_drawn_from_their_own_priors() -> None:
    terms = [replace(TERMS[0], rooting=(-9.0, 0.1)), *TERMS[1:]]
    drawn = fit([], terms=terms).learned(n_draws=400).coefficients["intercept"][0]
    assert (drawn.mean(), drawn.std()) == pytest.approx((-9, 0.1), rel=0.1)


def test_every_node_is_drawn_and_a_batch_only_where_it_is_kept() -> None:
    for level in LEVELS:
        assert {node for node in DRAWN.nodes if node[0] == level} == names(level)
    mine = RECORD.kind.path[-1]
    kept = FOUND.learned(keep=lambda node: node == mine, n_draws=20)
    assert {node for node in kept.nodes if node[0] == "batch"} == {mine}
    assert {node for node in kept.nodes if node[0] == "season"} == names("season")
    assert {node: seen.counts for node, seen in kept.seen.items()} == {mine: RECORD.counts.informing}
    assert not any(node[0] == "batch" for node in FOUND.learned(keep=lambda node: False, n_draws=20).nodes)


def test_draws_know_what_they_were_told_of_every_batch() -> None:
    assert dict(DRAWN.seen) == {
        one.kind.path[-1]: Seen(one.counts.informing, one.cuttings.terms(), one.kind.offset)
        for one in WORLD.records
    }
    assert FOUND.n_looks == sum(len(one.counts.looks) for one in WORLD.records)
    assert FOUND.n_batches == len(WORLD.records)


def test_draws_of_nodes_have_the_means_over_all_settings_and_the_sum_of_those_above() -> None:
    for depth, level in enumerate(LEVELS):
        for node in list(names(level))[:4]:
            record = next(one for one in WORLD.records if one.kind.path[depth] == node)
            mean = np.zeros(2)
            for point in FOUND.points:
                for above, name in enumerate(record.kind.path[: depth + 1]):
                    assert FOUND.tree is not None
                    mean += point.weight * point.nodes[above][FOUND.tree.names[above].index(name)]
            drawn = DRAWN.nodes[node]
            np.testing.assert_allclose(drawn.mean(axis=1), mean, atol=0.06 * drawn.std())


def test_what_a_batch_adds_to_its_season_is_drawn_as_wide_as_it_is_known() -> None:
    found = fit(WORLD.records, psi=np.zeros(9))
    drawn = found.learned(n_draws=N)
    covariances = found.points[0].elimination.covariances().nodes[4][0]
    assert found.tree is not None
    for row, node in enumerate(found.tree.names[4]):
        path = next(one.kind.path for one in WORLD.records if one.kind.path[4] == node)
        own = drawn.nodes[node] - drawn.nodes[path[3]]
        np.testing.assert_allclose(own.std(axis=1), np.sqrt(np.diag(covariances[row])), rtol=0.05)


def test_a_taxon_never_seen_is_less_sure_than_one_of_many_batches() -> None:
    seen = max(names("taxon"), key=lambda node: sum(one.kind.path[1] == node for one in WORLD.records))
    kind = next(one.kind for one in WORLD.records if one.kind.path[1] == seen)
    strange = replace(kind, taxon="never seen", batch="")
    stranger = replace(strange, genus="never seen")
    spread = {
        name: DRAWN.clocks(Cuttings(), one).level.std(axis=1)
        for name, one in (
            ("seen", replace(kind, season="2031", batch="")),
            ("taxon", strange),
            ("genus", stranger),
        )
    }
    assert (spread["seen"] < 0.95 * spread["taxon"]).all()
    assert (spread["taxon"] < spread["genus"]).all()


def test_spreads_are_drawn_in_the_settings_of_the_fit() -> None:
    told = {one.name: one for one in FOUND.spreads()}
    for level in SPREADS:
        for clock, name in enumerate(("rooting", "loss")):
            drawn = DRAWN.spreads[level][clock]
            assert drawn.mean() == pytest.approx(told[f"{level} {name}"].mean, rel=0.01)
            assert drawn.std() == pytest.approx(told[f"{level} {name}"].sd, rel=0.03)
    assert DRAWN.batch_together.mean() == pytest.approx(told["batch together"].mean, abs=0.01)
    assert (DRAWN.spreads["wood"] == WOOD_SD).all()


def test_of_one_setting_that_stands_for_all_spreads_are_told_about_as_widely_as_of_many() -> None:
    one = {each.name: each for each in fit(WORLD.records, integrate_up_to=0).spreads()}
    for many in FOUND.spreads():
        assert 0.5 * many.sd < one[many.name].sd < 2 * many.sd
    given = fit(WORLD.records, psi=np.zeros(9)).spreads()
    assert [each.sd for each in given] == [0] * 9


def test_what_is_told_of_spreads_before_any_record_is_their_prior() -> None:
    psi = np.random.default_rng(1).standard_normal((40_000, 9))
    sds = standard_deviations(psi)
    for k, one in enumerate(FOUND.spreads()[:-1]):
        assert one.prior_mean == pytest.approx(sds[:, k].mean(), rel=0.02)
        assert one.prior_sd == pytest.approx(sds[:, k].std(), rel=0.02)
    together = FOUND.spreads()[-1]
    assert (together.name, together.prior_mean) == ("batch together", 0)
    assert together.prior_sd == pytest.approx(np.tanh(psi[:, 8] / 2).std(), abs=0.01)


def test_any_part_of_the_draws_stands_for_all() -> None:
    for half in (slice(0, N // 2), slice(N // 2, N)):
        for level in SPREADS:
            mine, theirs = DRAWN.spreads[level][:, half], DRAWN.spreads[level]
            np.testing.assert_allclose(mine.mean(axis=1), theirs.mean(axis=1), atol=0.05 * theirs.std())
    first_tenth = {float(sd) for sd in DRAWN.spreads["taxon"][0, : N // 10]}
    assert len(first_tenth) > FOUND.n_effective


def test_draws_of_one_setting_stay_together() -> None:
    psi = {float(standard_deviations(point.psi)[1]): point for point in FOUND.points}
    drawn = np.array([[psi[float(sd)].dense[0] for sd in DRAWN.spreads["taxon"][0]]])
    assert np.ptp(drawn) > 0
    assert FOUND.design is not None
    away = DRAWN.coefficients[FOUND.design.names[0]][0] - drawn[0]
    heaviest = max(FOUND.points, key=lambda point: point.weight)
    mine = DRAWN.spreads["taxon"][0] == standard_deviations(heaviest.psi)[1]
    assert mine.sum() == pytest.approx(heaviest.weight * N, abs=1)
    of_nodes = np.mean([DRAWN.nodes[node][0][mine] for node in names("genus")], axis=0)
    middle = np.mean([one[0] for one in heaviest.nodes[0]])
    assert of_nodes.mean() == pytest.approx(middle, abs=4 * of_nodes.std() / np.sqrt(mine.sum()))
    assert away[mine].mean() == pytest.approx(0, abs=4 * away[mine].std() / np.sqrt(mine.sum()))


def test_the_same_question_gets_the_same_draws_and_another_generator_others() -> None:
    ours, again = FOUND.learned(n_draws=100), FOUND.learned(n_draws=100)
    for name, drawn in ours.coefficients.items():
        np.testing.assert_array_equal(drawn, again.coefficients[name])
    np.testing.assert_array_equal(ours.noise, again.noise)
    other = FOUND.learned(n_draws=100, generator=np.random.default_rng(99))
    assert (other.coefficients["intercept"] != ours.coefficients["intercept"]).any()


@pytest.mark.parametrize("n_draws", [1, 7, 64, 1000])
def test_there_are_as_many_draws_as_are_asked_for(n_draws: int) -> None:
    drawn = FOUND.learned(n_draws=n_draws)
    assert drawn.n_draws == n_draws
    arrays = [*drawn.coefficients.values(), *drawn.nodes.values(), *drawn.spreads.values()]
    assert {one.shape for one in arrays} == {(2, n_draws)}
    assert drawn.batch_together.shape == (n_draws,)


def test_the_start_of_the_next_fit_is_where_this_one_ended() -> None:
    start = FOUND.start()
    for one in FOUND.effects():
        assert start.coefficients[one.term][int(one.clock == "loss")] == pytest.approx(one.mean)
    assert set(start.nodes) == {node for level in LEVELS for node in names(level)}
    assert start.psi == pytest.approx(FOUND.weights @ np.array([point.psi for point in FOUND.points]))


def test_a_fit_at_given_spreads_draws_with_them() -> None:
    psi = np.linspace(-1, 1, 9)
    found = fit(WORLD.records, psi=psi)
    assert len(found.points) == 1
    assert found.learned(n_draws=5).spreads["taxon"][1].tolist() == pytest.approx(
        [standard_deviations(psi)[5]] * 5
    )


def test_draws_of_one_batch_bear_out_what_was_seen_of_it() -> None:
    counts = RECORD.counts
    clocks = DRAWN.clocks(RECORD.cuttings, RECORD.kind)
    blind = DRAWN.clocks(RECORD.cuttings, Kind("", "", "", ""))
    assert (clocks.level.std(axis=1) < blind.level.std(axis=1)).all()
    assert counts.n_stuck > 20
