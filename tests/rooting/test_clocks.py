import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.handbook import WOODS, load_handbook
from slipwright.rooting.clocks import (
    clocks_of_leaf,
    clocks_of_ranges,
    clocks_without_page,
    share_points,
    weeks_points,
)

LEAVES = [(page.key, wood) for page in load_handbook().pages for wood in page.woods]
ROSE = clocks_of_ranges((46, 68, 84), (12, 26, 48), (4, 6, 10), 112)


def leaf_of(key, wood):
    return next(page for page in load_handbook().pages if page.key == key).woods[wood]


@pytest.mark.parametrize(("key", "wood"), LEAVES)
def test_points_of_every_leaf_are_those_of_the_handbook(key, wood):
    leaf = leaf_of(key, wood)
    clocks = clocks_of_leaf(leaf)
    rooted, weeks = leaf.rooted_percent[0], leaf.weeks_to_root[0]
    assert share_points(clocks) == pytest.approx(
        (rooted.p10 / 100, rooted.p50 / 100, rooted.p90 / 100), abs=2e-3
    )
    assert weeks_points(clocks) == pytest.approx((weeks.p10, weeks.p50, weeks.p90), rel=2e-3)


@pytest.mark.parametrize(("key", "wood"), LEAVES)
def test_share_rooted_by_the_patience_limit_is_the_handbooks(key, wood):
    """The divisor G(P) puts late rooters back: the mean by the limit is that of the shares."""
    leaf = leaf_of(key, wood)
    clocks = clocks_of_leaf(leaf)
    z = np.random.default_rng(5).standard_normal((3, 40_000))
    ever, _ = clocks.draws(z)
    by_limit = ever * clocks.rooted_by(np.array([clocks.patience_days]), z)[0]
    rooted = leaf.rooted_percent[0]
    assert abs(float(np.median(by_limit)) - rooted.p50 / 100) < 0.05
    assert rooted.p10 / 100 - 0.06 < float(np.quantile(by_limit, 0.1)) < rooted.p50 / 100


@given(st.integers(0, 2**32), st.lists(st.floats(0, 400), min_size=2, max_size=6))
def test_fates_never_pass_the_whole_and_never_go_back(seed, days):
    z = np.random.default_rng(seed).standard_normal((3, 50)) * 3
    days = np.array(sorted(days))
    ever, lost = ROSE.draws(z)
    rooted = ever * ROSE.rooted_by(days, z)
    gone = lost * ROSE.lost_by(days)[:, None]
    assert np.all(np.diff(rooted, axis=0) >= -1e-9)
    assert np.all(np.diff(gone, axis=0) >= 0)
    assert np.all(rooted + gone <= 1 + 1e-9)


def test_days_of_one_cutting_have_the_handbooks_spread_over_batches():
    """Half the variance between batches, half within: together the whole."""
    z = np.random.default_rng(2).standard_normal((3, 100_000))
    by = ROSE.rooted_by(np.array([28.0, 42.0, 70.0]), z).mean(axis=1)
    assert by == pytest.approx([0.1, 0.5, 0.9], abs=0.005)


def test_odds_are_multiplied_as_odds():
    worse = share_points(ROSE.with_odds(rooted=0.5))
    assert worse[1] / (1 - worse[1]) == pytest.approx(0.5 * 0.68 / 0.32)
    assert weeks_points(ROSE.with_odds(days=2))[1] == pytest.approx(12)


@pytest.mark.parametrize("wood", WOODS)
def test_plants_without_a_page_have_wide_ranges_and_say_so(wood):
    clocks = clocks_without_page(wood)
    low, _, high = share_points(clocks)
    assert not clocks.from_page
    assert low < 0.2 < 0.85 < high


def test_hardwood_without_a_page_takes_longest():
    medians = [weeks_points(clocks_without_page(wood))[1] for wood in WOODS]
    assert medians == sorted(medians)


def test_unknown_wood_is_refused():
    with pytest.raises(ValueError, match="not 'bamboo'"):
        clocks_without_page("bamboo")


@pytest.mark.parametrize(("weeks", "patience"), [((0, 4, 6), 90), ((3, 4, 6), 0)])
def test_days_must_be_above_nought(weeks, patience):
    with pytest.raises(ValueError, match="must be above 0"):
        clocks_of_ranges((50, 60, 70), (5, 10, 20), weeks, patience)


def test_own_patience_replaces_the_handbooks():
    leaf = load_handbook().page_of("Rosa").woods["hardwood"]
    assert clocks_of_leaf(leaf, patience_days=300).patience_days == 300
