"""Sixty cuttings at five rounds, worked by hand and by a survival program."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.empirical import empirical_curve

STUCK_ON = date(2026, 6, 1)
ROUNDS = ((10, 2, 4, 0), (17, 9, 5, 0), (24, 14, 3, 3), (31, 8, 2, 0), (38, 3, 1, 6))
BATCH = BatchCounts(
    STUCK_ON,
    60,
    tuple(LookCounts(STUCK_ON + timedelta(days=day), *numbers) for day, *numbers in ROUNDS),
)


def test_shares_are_those_worked_by_hand() -> None:
    curve = empirical_curve([BATCH])
    assert curve.p_rooted == pytest.approx([2 / 60, 11 / 60, 25 / 60, 0.57, 0.6275], abs=1e-12)
    assert curve.p_lost == pytest.approx([4 / 60, 0.15, 0.20, 0.23 + 1 / 120, 0.2575], abs=1e-12)
    assert curve.p_waiting == pytest.approx([0.9, 2 / 3, 23 / 60, 0.23 / 1.2, 0.115], abs=1e-12)


def test_standard_errors_are_those_of_survfit() -> None:
    # R 4.2.2, survival 3.5-3, survfit of the two fates
    published = [0.0231740596, 0.0499536823, 0.0636468847, 0.0656886596, 0.0642877645]
    assert empirical_curve([BATCH]).se_rooted == pytest.approx(published, abs=1e-9)


def test_without_censoring_it_is_a_plain_share_with_its_binomial_error() -> None:
    whole = BatchCounts(STUCK_ON, 60, BATCH.looks[:2])
    curve = empirical_curve([whole])
    assert curve.p_lost[-1] == pytest.approx(9 / 60)
    assert curve.se_lost[-1] == pytest.approx(np.sqrt(0.15 * 0.85 / 60))


def test_two_batches_are_one_of_both_where_the_looks_fall_together() -> None:
    half = BatchCounts(STUCK_ON, 60, BATCH.looks)
    both, one = empirical_curve([half, half]), empirical_curve([half])
    assert both.p_rooted == pytest.approx(one.p_rooted)
    assert both.se_rooted == pytest.approx(one.se_rooted / np.sqrt(2))


def test_a_batch_counts_until_its_last_look_only() -> None:
    short = BatchCounts(STUCK_ON, 40, BATCH.looks[:2])
    assert empirical_curve([BATCH, short]).n_at_risk.tolist() == [100, 88, 40, 20, 10]


def test_what_a_look_left_uncounted_waits_for_the_next() -> None:
    on = STUCK_ON + timedelta(days=20)
    looks = (LookCounts(on, n_rooted=3), LookCounts(on + timedelta(days=7), n_rooted=2, n_lost=4))
    curve = empirical_curve([BatchCounts(STUCK_ON, 10, looks)])
    assert (curve.days.tolist(), curve.p_rooted.tolist(), curve.p_lost.tolist()) == ([27.0], [0.5], [0.4])


def test_what_waits_gives_the_number_lost() -> None:
    on = STUCK_ON + timedelta(days=20)
    curve = empirical_curve([BatchCounts(STUCK_ON, 10, (LookCounts(on, n_rooted=3, n_waiting=5),))])
    assert curve.p_lost.tolist() == [0.2]


def test_numbers_that_do_not_add_up_are_cut_to_what_was_there() -> None:
    on = STUCK_ON + timedelta(days=20)
    curve = empirical_curve([BatchCounts(STUCK_ON, 10, (LookCounts(on, n_rooted=8, n_lost=7),))])
    assert (curve.p_rooted.tolist(), curve.p_lost.tolist()) == ([0.8], [0.2])


def test_nothing_seen_is_no_curve() -> None:
    assert empirical_curve([BatchCounts(STUCK_ON, 10)]).days.size == 0
