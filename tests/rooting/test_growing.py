"""Growing on as a whole: the handbook where nothing is known, and what pottings and outcomes teach."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.handbook import load_handbook
from slipwright.rooting.growing import Growth, group_of, learn_growing
from slipwright.rooting.grown import STAGES, Became, Grown

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")
WOOD = "semi-hardwood"
POTTED = date(2025, 11, 1)


def batch(name: str, lived: int, lost: int, *, taxon="Rosa", weaned=14, finished=400) -> Grown:
    return Grown(
        name,
        taxon,
        WOOD,
        date(2025, 9, 1),
        ((POTTED, lived + lost),),
        (
            Became(POTTED + timedelta(days=weaned), "weaned", lived + lost, 0),
            Became(date(2025, 9, 1) + timedelta(days=finished), "finished", lived, lost, gone=True),
        ),
    )


def learned(*batches: Grown, taxon="Rosa"):
    pages = {one.taxon: HANDBOOK.page_of(one.taxon) for one in batches}
    return learn_growing(batches, pages).of(taxon, HANDBOOK.page_of(taxon))


@pytest.mark.parametrize("page", HANDBOOK.pages, ids=lambda page: page.key)
def test_the_prior_alone_is_the_handbooks_points(page) -> None:
    known = Growth().of(page.taxa[0], page)
    if survive := page.survive_percent:
        assert known.living() == pytest.approx((survive.p10 / 100, survive.p50 / 100, survive.p90 / 100))
    for wood, leaf in page.woods.items():
        wean = leaf.weaning_days
        assert known.days("weaned", wood) == pytest.approx((wean.p10, wean.p50, wean.p90))
        assert known.days("finished", wood)[1] == pytest.approx(leaf.months_to_finished.p50 * 30.4375)
    assert known.n_batches == 0
    assert known.prior_share("survive") == 1.0


def test_a_genus_nobody_grew_here_learns_nothing_from_another() -> None:
    known = learned(batch("A", 0, 20), taxon="Ribes nigrum")
    assert known.n_batches == 0
    assert known.living()[1] == pytest.approx(HANDBOOK.page_of("Ribes nigrum").survive_percent.p50 / 100)


def test_heavy_losses_lower_what_lives_and_the_handbook_says_less() -> None:
    few, many = learned(batch("A", 2, 8)), learned(*(batch(str(k), 2, 8) for k in range(6)))
    prior = Growth().of("Rosa", ROSE)
    assert many.living()[1] < few.living()[1] < prior.living()[1]
    assert many.prior_share("survive") < few.prior_share("survive") < 1
    assert (many.n_plants, many.n_batches) == (60, 6)


def test_another_rose_learns_from_its_kin_but_less() -> None:
    batches = [batch(str(k), 1, 9) for k in range(5)]
    own, kin = learned(*batches), learned(*batches, taxon="Rosa 'Pale Ferry'")
    assert own.living()[1] < kin.living()[1] < Growth().of("Rosa", ROSE).living()[1]
    assert kin.n_batches == 5


def test_slow_plants_are_told_later_whatever_their_wood() -> None:
    known = learned(*(batch(str(k), 9, 1, finished=700) for k in range(4)))
    prior = Growth().of("Rosa", ROSE)
    for wood in ROSE.woods:
        assert known.days("finished", wood)[1] > prior.days("finished", wood)[1]
    assert known.days("finished", WOOD)[1] < 700


def test_a_plant_without_a_page_is_told_its_weaning_and_what_was_learned_of_living() -> None:
    known = learned(batch("A", 9, 1, taxon="Acer campestre"), taxon="Acer campestre")
    assert known.days("finished", WOOD) is None
    assert known.days_drawn("finished", WOOD, np.random.default_rng(1), 10) is None
    assert known.n_batches == 1
    assert group_of("Acer campestre", None) == "Acer"


def test_hybrids_of_other_genera_do_not_teach_each_other() -> None:
    """The sign of a hybrid before the genus is no genus."""
    batches = [batch(str(k), 1, 19, taxon="\u00d7 Fatshedera lizei") for k in range(4)]
    assert group_of("\u00d7 Fatshedera lizei", None) == "Fatshedera"
    assert learned(*batches, taxon="\u00d7 Fatshedera lizei").n_batches == 4
    other = learned(*batches, taxon="\u00d7 Chitalpa tashkentensis")
    assert other.n_batches == 0
    assert other.living() == Growth().of("\u00d7 Chitalpa tashkentensis", None).living()


def silent(name: str, *, taxon="Rosa", potted=POTTED) -> Grown:
    """A batch that was potted and never written about."""
    return Grown(name, taxon, WOOD, potted - timedelta(days=61), ((potted, 20),))


def test_quick_batches_do_not_decide_where_as_many_again_were_never_written_about() -> None:
    quick = [batch(str(k), 18, 2, finished=200) for k in range(5)]
    all_told = learned(*quick)
    few_told = learned(*quick, *(silent(f"s{k}") for k in range(20)))
    handbook = Growth().of("Rosa", ROSE).days("finished", WOOD)
    told, held = all_told.days("finished", WOOD), few_told.days("finished", WOOD)
    assert told[1] < held[1] < handbook[1]
    assert told[1] < held[1] * 0.85
    assert all_told.prior_share("finished") < few_told.prior_share("finished") / 2
    assert all_told.prior_share("survive") < few_told.prior_share("survive")
    assert (few_told.n_batches, few_told.n_potted_batches) == (5, 25)


def test_batches_too_young_to_be_written_about_take_nothing_off() -> None:
    quick = [batch(str(k), 18, 2, finished=200) for k in range(3)]
    young = silent("young", potted=date(2025, 9, 1) + timedelta(days=195))
    both = learned(*quick, young)
    assert both.days("finished", WOOD) == learned(*quick).days("finished", WOOD)
    assert both.living() == learned(*quick).living()
    assert both.n_potted_batches == 4


def test_a_plant_nobody_wrote_about_takes_nothing_off_its_kin() -> None:
    quick = [batch(str(k), 18, 2, finished=200) for k in range(3)]
    both = learned(*quick, silent("s", taxon="Rosa 'Pale Ferry'"))
    assert both.days("finished", WOOD) == learned(*quick).days("finished", WOOD)


def test_potted_and_never_written_about_is_the_handbook_alone() -> None:
    known = learned(silent("s"))
    assert known.n_batches == 0
    assert known.days("finished", WOOD) == Growth().of("Rosa", ROSE).days("finished", WOOD)


def test_fewer_plants_live_to_every_later_stage() -> None:
    known = learned(batch("A", 7, 3))
    shares = [known.mean_living(stage) for stage in STAGES]
    assert shares[0] == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)
    assert known.living("rooted") == (1.0, 1.0, 1.0)


def test_draws_of_shares_and_days_have_the_points_that_are_told() -> None:
    known, generator = learned(batch("A", 7, 3), batch("B", 9, 1)), np.random.default_rng(5)
    for stage in ("weaned", "established", "finished"):
        drawn = known.survivors(stage, generator, 20_000)
        assert np.quantile(drawn, [0.1, 0.5, 0.9]) == pytest.approx(known.living(stage), abs=0.015)
        days = known.days_drawn(stage, WOOD, generator, 20_000)
        assert np.quantile(days, [0.1, 0.5, 0.9]) == pytest.approx(known.days(stage, WOOD), rel=0.04)
    assert (known.survivors("potted", generator, 5) == 1).all()
    assert (known.days_drawn("potted", WOOD, generator, 5) == 0).all()


kept = st.builds(
    batch,
    st.uuids().map(str),
    st.integers(0, 20),
    st.integers(0, 20),
    taxon=st.sampled_from(["Rosa", "Rosa 'Pale Ferry'", "Salvia rosmarinus"]),
    weaned=st.integers(1, 60),
    finished=st.integers(70, 900),
)


@settings(max_examples=15, deadline=None)
@given(st.lists(kept, min_size=1, max_size=6), st.randoms())
def test_the_order_of_records_does_not_matter(batches, order) -> None:
    before = learned(*batches)
    order.shuffle(batches)
    after = learned(*batches)
    assert after.mean_living() == pytest.approx(before.mean_living(), rel=1e-9)
    assert after.days("finished", WOOD) == pytest.approx(before.days("finished", WOOD), rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.lists(kept, max_size=4))
def test_a_batch_of_one_that_lived_never_lowers_what_is_expected_to_live(batches) -> None:
    before = learned(*batches).mean_living()
    one = Grown(
        "one", "Rosa", WOOD, date(2025, 9, 1), ((POTTED, 1),), (Became(date(2027, 1, 1), "finished", 1),)
    )
    assert learned(*batches, one).mean_living() >= before - 1e-9
