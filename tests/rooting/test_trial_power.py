"""How large a trial must be: power against simulation, and sizes that reach what was wished."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import stdtrit

from slipwright.craft.errors import BadArgument
from slipwright.rooting.ranges import share_of_logit
from slipwright.rooting.trial_arms import chance_of_false_alarm, power_of_all
from slipwright.rooting.trial_layout import trial_layout
from slipwright.rooting.trial_power import middle_of, power_to_tell, simulated_power
from slipwright.rooting.trial_sizes import BATCH_SPREAD, plan_trial


@pytest.mark.parametrize(
    ("shares", "n_units_per_arm", "n_per_unit", "spread"),
    [
        ((0.5, 0.7), 3, 24, 0.5),
        ((0.5, 0.7), 17, 8, 0.5),
        ((0.7, 0.5), 8, 12, 0.3),
        ((0.3, 0.5), 12, 4, 1.0),
        ((0.1, 0.3), 10, 8, 0.5),
        ((0.8, 0.9), 20, 8, 0.3),
    ],
)
def test_power_equals_that_of_invented_trials(shares, n_units_per_arm, n_per_unit, spread):
    size = {"n_units_per_arm": n_units_per_arm, "n_per_unit": n_per_unit, "spread": spread}
    invented = simulated_power(shares, **size, generator=np.random.default_rng(3), n_draws=10_000)
    assert power_to_tell(shares, **size) == pytest.approx(invented, abs=0.025)


def test_units_that_differ_cost_power_and_more_arms_tell_how_far_they_differ():
    size = {"n_units_per_arm": 4, "n_per_unit": 12}
    alike = power_to_tell((0.5, 0.7), **size, spread=0)
    differ = power_to_tell((0.5, 0.7), **size, spread=0.5)
    assert differ < alike - 0.2
    assert differ < power_to_tell((0.5, 0.7), **size, spread=0.5, n_arms=4)
    assert power_to_tell((0.5, 0.7), n_units_per_arm=1, n_per_unit=400, spread=0.5) == 0


def test_the_middle_unit_lies_further_out_than_the_share_of_all():
    rng = np.random.default_rng(1)
    scores = middle_of(0.8, 1.2) + 1.2 * rng.standard_normal(200_000)
    assert float((1 / (1 + np.exp(-scores))).mean()) == pytest.approx(0.8, abs=0.002)
    assert middle_of(0.8, 1.2) > np.log(4)


def test_the_plan_is_the_least_that_reaches_the_power():
    plan = plan_trial({"none": 0.5, "iba": 0.7, "talc": 0.75}, power=0.8, spread=0.4, n_per_unit=8)
    size = plan.size
    both = [
        power_to_tell((0.5, 0.7), n_units_per_arm=n, n_per_unit=8, spread=0.4, n_arms=3)
        for n in (size.n_units_per_arm, size.n_units_per_arm - 1)
    ]
    assert both[1] < 0.8 <= both[0] == size.power
    assert size.n_cuttings == 3 * 8 * size.n_units_per_arm
    assert [(arm, round(power, 3) >= 0.8) for _, arm, power in plan.pairs] == [("iba", True), ("talc", True)]


def test_more_units_of_fewer_cuttings_need_fewer_cuttings():
    plan = plan_trial({"none": 0.5, "iba": 0.7}, spread=BATCH_SPREAD, n_per_unit=8)
    sizes = sorted((plan.size, *plan.alternatives), key=lambda size: size.n_per_unit)
    assert all(size.power >= 0.8 for size in sizes)
    units = [size.n_units_per_arm for size in sizes]
    assert units == sorted(units, reverse=True)
    assert sizes[0].n_cuttings < sizes[-1].n_cuttings / 2


@pytest.mark.parametrize(
    ("shares", "given", "match"),
    [
        ({"none": 0.5}, {}, "2 to 24 arms"),
        ({"none": 0.5, "iba": 0.5}, {}, "share of iba must differ"),
        ({"none": 0.5, "iba": 0.501}, {}, "at most 1,000 units"),
        ({"none": 0.5, "iba": 1.2}, {}, "share must lie"),
        ({"none": 0.5, "iba": float("nan")}, {}, "share must lie"),
        ({"none": 0.5, "iba": 0.7}, {"power": 1.0}, "power must"),
        ({"none": 0.5, "iba": 0.7}, {"spread": -1}, "spread must"),
        ({"none": 0.5, "iba": 0.7}, {"n_per_unit": 0}, "n_per_unit must"),
    ],
)
def test_a_trial_that_cannot_be_is_refused(shares, given, match):
    with pytest.raises(BadArgument, match=match):
        plan_trial(shares, **given)


def lay(seed: int, n_blocks: int = 6):
    rng = np.random.default_rng(seed)
    return trial_layout(["none", "iba", "talc"], n_units_per_arm=n_blocks, n_per_unit=8, generator=rng)


def test_each_block_holds_every_arm_once_in_its_own_order():
    units = lay(1)
    orders = [tuple(unit.arm for unit in units if unit.block == block) for block in range(1, 7)]
    assert all(sorted(order) == ["iba", "none", "talc"] for order in orders)
    assert len(set(orders)) > 1
    assert [unit.position for unit in units[:3]] == [1, 2, 3]
    assert len({unit.unit for unit in units}) == 18


def test_a_seed_draws_the_same_layout_again_and_another_seed_another():
    assert lay(5) == lay(5)
    assert lay(5) != lay(6)


def test_an_arm_stands_first_as_often_as_another():
    firsts = [unit.arm for unit in lay(2, 300) if unit.position == 1]
    assert min(firsts.count(arm) for arm in ("none", "iba", "talc")) > 70


def test_arms_of_one_name_are_refused():
    with pytest.raises(BadArgument, match="arms must"):
        trial_layout(["none", "none "], n_units_per_arm=2, n_per_unit=8, generator=np.random.default_rng(1))


# --- several arms --------------------------------------------------------------------------------------

FIVE = {"none": 0.4, "a": 0.6, "b": 0.6, "c": 0.6, "d": 0.6}


def told(shares, n_units, n_per_unit, spread, n_trials=8_000):
    """In invented trials: which arms are told from the first, (n_arms - 1, n_trials), and on which side."""
    rng, means, variances = np.random.default_rng(2), [], []
    for share in shares:
        each = share_of_logit(middle_of(share, spread) + spread * rng.standard_normal((n_trials, n_units)))
        seen = rng.binomial(n_per_unit, each) / n_per_unit
        means.append(seen.mean(axis=1))
        variances.append(seen.var(axis=1, ddof=1))
    error = np.sqrt(2 * np.mean(variances, axis=0) / n_units)
    away = (np.array(means[1:]) - means[0]) / error
    return np.where(np.abs(away) > stdtrit(len(shares) * (n_units - 1), 0.975), np.sign(away), 0)


def test_the_chance_of_all_arms_is_that_of_invented_trials():
    plan = plan_trial(FIVE, power=0.8, spread=0.5, n_per_unit=8)
    found = told(list(FIVE.values()), plan.size.n_units_per_arm, 8, 0.5)
    right = found == 1
    assert plan.size.power == pytest.approx(right[0].mean(), abs=0.02)
    assert plan.size.power_all == pytest.approx(right.all(axis=0).mean(), abs=0.02)
    assert plan.size.power_all < plan.size.power - 0.15


def test_a_better_and_a_worse_arm_are_seldom_both_told():
    """The first arm's luck helps the one and harms the other."""
    size = {"n_units_per_arm": 16, "n_per_unit": 8, "spread": 0.5}
    found = told([0.5, 0.7, 0.3], 16, 8, 0.5)
    both = float(((found[0] == 1) & (found[1] == -1)).mean())
    assert power_of_all((0.5, 0.7, 0.3), **size) == pytest.approx(both, abs=0.03)
    assert power_of_all((0.5, 0.7, 0.3), **size) < power_of_all((0.5, 0.7, 0.7), **size) - 0.03


def test_a_false_alarm_is_as_likely_as_in_invented_trials():
    plan = plan_trial(FIVE, power=0.8, spread=0.5, n_per_unit=8)
    found = told([0.4] * 5, plan.size.n_units_per_arm, 8, 0.5)
    assert plan.p_false_alarm == pytest.approx((found != 0).any(axis=0).mean(), abs=0.02)


@pytest.mark.parametrize("spread", [0.0, 0.5])
def test_of_two_arms_the_chance_of_all_is_that_of_the_one(spread):
    size = {"n_units_per_arm": 9, "n_per_unit": 8, "spread": spread}
    for shares in ((0.5, 0.7), (0.8, 0.5)):
        assert power_of_all(shares, **size) == pytest.approx(power_to_tell(shares, **size), abs=0.003)
    assert chance_of_false_alarm(0.5, 2, **size) == pytest.approx(0.05, abs=0.002)


def test_one_unit_an_arm_tells_nothing_where_units_differ():
    size = {"n_units_per_arm": 1, "n_per_unit": 8, "spread": 0.5}
    assert power_of_all((0.5, 0.7, 0.9), **size) == 0
    assert chance_of_false_alarm(0.5, 3, **size) == 0


def test_with_several_arms_it_says_each_and_all_and_warns_of_false_alarms():
    many, two = plan_trial(FIVE), plan_trial({"none": 0.5, "a": 0.7})
    assert "tell each arm from the first 8" in many.verdict
    assert "and all of them" in many.verdict
    assert "though none differs" in many.warnings[0]
    assert "tell the arms apart" in two.verdict
    assert two.warnings == ()
    assert two.size.power_all == two.size.power
