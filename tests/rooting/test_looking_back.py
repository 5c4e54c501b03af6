"""What came is told only as far as looks tell it, and nothing is known before its day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from slipwright.rooting.came import rooted_by
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, before_records
from slipwright.rooting.looking_back import forecast_when_stuck, known_then, over_by
from slipwright.rooting.plain_average import plain_average, points_of_average

STUCK = date(2026, 6, 1)
ROSE = Kind("Rosa", "Rosa", "semi-hardwood", "2026", "A")


def day(n: int) -> date:
    return STUCK + timedelta(days=n)


def looks(*seen: tuple[int, int | None, int | None]) -> tuple[LookCounts, ...]:
    return tuple(LookCounts(day(n), rooted, lost) for n, rooted, lost in seen)


def batch(*seen: tuple[int, int | None, int | None], n_stuck: int = 10) -> BatchCounts:
    return BatchCounts(STUCK, n_stuck, looks(*seen))


@pytest.mark.parametrize(
    ("counts", "by", "n", "why"),
    [
        (batch((14, 2, 0), (28, 3, 1)), 28, 5, ""),
        (batch((14, 2, 0), (28, 3, 1)), 29, None, "no-look"),
        (batch(), 7, None, "no-look"),
        (batch((14, 2, 0), (60, 0, 1)), 40, 2, ""),  # nothing rooted between two looks far apart
        (batch((14, 2, 0), (60, 3, 1)), 40, None, "looks-apart"),
        (batch((14, 2, 0), (28, 4, 0)), 21, 4, ""),  # half of the days, half of the four
        (batch((7, 4, 0)), 2, 1, ""),
        (batch((14, 7, 3)), 100, 7, ""),  # nothing waits any more
        (batch((14, 2, 0), (21, None, 2), (28, 3, 1)), 21, 4, ""),  # lost only: the rooted are read between
        (batch((14, None, 2)), 10, None, "no-look"),
    ],
)
def test_a_number_is_known_where_looks_tell_it(counts: BatchCounts, by: int, n: int | None, why: str) -> None:
    came = rooted_by(counts, day(by))
    assert (came.n, came.why) == (n, why)


def test_what_was_read_between_two_looks_says_so() -> None:
    counts = batch((14, 2, 0), (28, 4, 0))
    assert rooted_by(counts, day(21)).is_between
    assert not rooted_by(counts, day(28)).is_between
    assert not rooted_by(batch((14, 2, 0), (28, 0, 0)), day(21)).is_between


def test_of_cuttings_taken_away_or_given_up_before_the_day_nobody_knows() -> None:
    removed = (LookCounts(day(14), 2, 0, 3), LookCounts(day(28), 1, 0))
    assert rooted_by(BatchCounts(STUCK, 10, removed), day(28)).why == "taken-away"
    assert rooted_by(BatchCounts(STUCK, 10, removed), day(14)).n == 2
    assert rooted_by(BatchCounts(STUCK, 10, removed), day(28), since=day(14)).n == 3
    assert rooted_by(BatchCounts(STUCK, 10, removed), day(28), since=day(13)).why == "taken-away"
    given_up = (LookCounts(day(40), 2, 8, cause="given-up"),)
    assert rooted_by(BatchCounts(STUCK, 10, given_up), day(41)).why == "taken-away"
    assert rooted_by(BatchCounts(STUCK, 10, given_up), day(40)).n == 2


def test_looks_in_any_order_tell_the_same() -> None:
    counts = batch((28, 4, 0), (14, 2, 0))
    assert rooted_by(counts, day(21)).n == 4


def test_then_only_what_came_before_was_known() -> None:
    record = BatchRecord(Cuttings(), ROSE, batch((14, 2, 0), (28, 3, 1)))
    (known,) = known_then([record], day(28))
    assert [look.on for look in known.counts.looks] == [day(14)]
    assert known_then([record], STUCK) == []


def test_a_batch_is_over_when_nothing_waits_or_patience_ends() -> None:
    done = BatchRecord(Cuttings(), ROSE, batch((14, 2, 0), (28, 7, 1)))
    late = BatchRecord(Cuttings(), replace(ROSE, batch="B"), batch((14, 2, 0), (50, 1, 0), (70, 1, 0)))
    open_yet = BatchRecord(Cuttings(), replace(ROSE, batch="C"), batch((14, 2, 0)))
    found = over_by([done, late, open_yet], dict.fromkeys("ABC", 42.0))
    assert [(record.kind.batch, on, n) for record, on, n in found] == [("A", day(28), 9), ("B", day(50), 3)]


def test_the_plain_average_knows_its_own_kind_first_and_only_what_is_over() -> None:
    other = Kind("Salvia", "Salvia", "semi-hardwood", "2026", "B")
    hard = Kind("Salix", "Salix", "hardwood", "2026", "C")
    ended = [
        (BatchRecord(Cuttings(), kind, batch()), day(n), rooted)
        for kind, n, rooted in ((ROSE, 20, 2), (ROSE, 40, 6), (other, 20, 10), (hard, 20, 0))
    ]
    average = plain_average(ended)
    assert average.share(ROSE, day(20)) == pytest.approx(0.2)
    assert average.share(ROSE, day(40)) == pytest.approx(0.4)
    assert average.share(replace(ROSE, taxon="Rubus"), day(40)) == pytest.approx(18 / 30)
    assert average.share(replace(ROSE, taxon="Rubus", wood="softwood"), day(40)) == pytest.approx(18 / 40)
    assert average.share(ROSE, day(19)) is None


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_points_of_an_average_lie_about_it(share: float) -> None:
    points = points_of_average(share, 20)
    assert points.tolist() == sorted(points.tolist())
    assert points[9] == round(20 * share)


def test_only_forecasts_whose_number_came_are_told_and_by_no_look_of_their_own() -> None:
    known = BatchRecord(Cuttings(), ROSE, batch((14, 2, 0), (42, 3, 1)))
    not_yet = BatchRecord(Cuttings(), replace(ROSE, batch="B"), batch((14, 2, 0)))
    patience = dict.fromkeys("AB", 42.0)
    average = plain_average([(known, day(-300), 4)])
    (one,) = forecast_when_stuck(before_records(), average, [known, not_yet], patience)
    assert (one.batch, one.came, one.by_day, one.n_looks) == ("A", 5, day(42), 0)
    assert one.ours == one.handbook
    assert one.average == tuple(points_of_average(0.4, 10).tolist())
    another = replace(known, counts=batch((14, 0, 9), (42, 0, 0)))
    (same,) = forecast_when_stuck(before_records(), average, [another], patience)
    assert same.ours == one.ours
