"""What a forecast rests on: looks that counted, and how much is still what was believed before."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from slipwright.rooting.belief_left import prior_share, share_in_words, share_left, share_of_prior
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.forecast import forecast_batch
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Learned, before_records, prior_draws
from slipwright.rooting.resting import RestsOn

STUCK = date(2026, 9, 1)
ROSE = Kind("Rosa", "Rosa 'Salt Letter'", "semi-hardwood", "2026", "K7Q2M9T3")
PATIENCE = 112


def rests(*looks: LookCounts, learned: Learned | None = None, **options: Any) -> RestsOn:
    told = forecast_batch(
        learned or before_records(),
        BatchRecord(Cuttings(), ROSE, BatchCounts(STUCK, 20, looks)),
        on=STUCK + timedelta(days=40),
        generator=np.random.default_rng(1),
        patience_days=PATIENCE,
        ahead=[0],
        **options,
    )
    return told.rests_on


def seen(day: int, **counts: Any) -> LookCounts:
    return LookCounts(STUCK + timedelta(days=day), **counts)


def draws(mean: float, sd: float) -> np.ndarray:
    """Shares rooted with such log odds."""
    score = np.random.default_rng(3).standard_normal(4000)
    return 1 / (1 + np.exp(-(mean + sd * score)))


# --- how much is still believed ---------------------------------------------------------------------


def test_all_is_left_of_what_did_not_change() -> None:
    assert share_left(0.7, 0.7, 0.0) == 1.0
    assert prior_share(before_records().clocks(Cuttings(), ROSE), Cuttings(), ROSE, PATIENCE) == 1.0


def test_other_draws_of_the_prior_leave_nearly_all() -> None:
    other = prior_draws(np.random.default_rng(8), 1000).clocks(Cuttings(), ROSE)
    assert prior_share(other, Cuttings(), ROSE, PATIENCE) > 0.85


def test_less_is_left_where_the_range_narrows_and_where_the_middle_moves() -> None:
    whole = share_left(1.0, 1.0, 0.0)
    assert share_left(0.5, 1.0, 0.0) < share_left(0.8, 1.0, 0.0) < whole
    assert share_left(1.0, 1.0, 2.0) < share_left(1.0, 1.0, -1.0) < whole
    assert share_left(1.5, 1.0, 2.0) < 0.2
    assert share_left(0.0, 1.0, 0.0) == 0


def test_a_middle_far_off_is_hardly_the_priors_though_as_wide() -> None:
    """By hand: two of the prior's sd off, e^-2 is left."""
    odds = np.array([np.log(share / (1 - share)) for share in _believed()])
    near, off = draws(odds.mean(), odds.std()), draws(odds.mean() - 2 * odds.std(), odds.std())
    assert share_of_prior(near, Cuttings(), ROSE, PATIENCE) > 0.9
    assert share_of_prior(off, Cuttings(), ROSE, PATIENCE) < 0.3


def _believed() -> Any:
    return np.clip(fates(before_records().clocks(Cuttings(), ROSE), [PATIENCE])[0, 0], 0.002, 0.998)


def test_a_batch_that_failed_leaves_less_of_the_prior_than_one_that_went_as_believed() -> None:
    failed = rests(seen(38, n_rooted=0, n_lost=15)).prior_share
    usual = rests(seen(38, n_rooted=8, n_lost=2)).prior_share
    assert failed < 0.6 * usual
    assert usual < 0.5


# --- what was learned of other plants ---------------------------------------------------------------


def test_other_plants_that_taught_something_are_reckoned_with() -> None:
    """No node of this plant is known: what all have in common moved all the same."""
    prior = before_records()
    slower = dict(prior.coefficients) | {"intercept": 0.3 * prior.coefficients["intercept"] - 3.5}
    learned = replace(prior, coefficients=slower, behind={(): (40, 80)})
    told = rests(learned=learned)
    clocks = learned.clocks(Cuttings(), ROSE)
    assert told.prior_share == pytest.approx(prior_share(clocks, Cuttings(), ROSE, PATIENCE))
    assert told.prior_share < 0.9
    assert "your 40 batches of other plants" in told.text


# --- looks ------------------------------------------------------------------------------------------


def test_looks_that_counted_nothing_are_no_grounds() -> None:
    told = rests(seen(10), seen(20, signs=("callus",)), seen(30, n_tried=0))
    assert told.n_looks == 0
    assert told.text == "Rests on the handbook alone."
    assert told.prior_share == 1.0
    one = rests(seen(10), seen(20, n_rooted=3, n_lost=1), seen(30))
    assert one.n_looks == 1
    assert "1 look at this batch" in one.text


@pytest.mark.parametrize(
    ("counts", "says"),
    [
        ({}, False),
        ({"cause": "mould", "n_lost_rooted": 2}, False),
        ({"n_removed": 0}, False),
        ({"n_removed": 2}, True),
        ({"n_rooted": 0}, True),
        ({"n_waiting": 9}, True),
        ({"n_tried": 4, "n_tried_rooted": 0}, True),
    ],
)
def test_a_look_counts_where_it_says_what_rooted_was_lost_or_waited(
    counts: dict[str, Any], says: bool
) -> None:
    assert seen(10, **counts).counts_anything is says
    assert BatchCounts(STUCK, 20, (seen(10, **counts), seen(12))).n_looks == int(says)


# --- words ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
def test_without_a_page_nothing_is_said_to_be_the_handbooks(share: float) -> None:
    assert "the handbook" in share_in_words(share)
    assert "what holds for any plant" in share_in_words(share, from_page=False)
    assert "handbook" not in share_in_words(share, from_page=False)


def test_a_forecast_without_a_page_speaks_of_any_plant() -> None:
    told = rests(seen(38, n_rooted=0, n_lost=4), from_page=False)
    assert "what holds for any plant." in told.text
    assert "what the handbook holds likely" not in told.text


def test_where_woods_are_mixed_it_says_how_many_batches_are_of_this_wood() -> None:
    taxon, wood = ROSE.path[1], ROSE.path[2]
    mixed = replace(before_records(), behind={(): (40, 80), taxon: (21, 50), wood: (8, 20)})
    assert "your 21 batches of Rosa 'Salt Letter' (8 of them semi-hardwood)" in rests(learned=mixed).text
    alone = replace(mixed, behind={(): (40, 80), taxon: (21, 50), wood: (21, 50)})
    assert "of them" not in rests(learned=alone).text
