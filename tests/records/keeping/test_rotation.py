"""Copies make room for newer ones, and the newest never does."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from slipwright.records.keeping.rotation import to_keep

START = datetime(2025, 1, 1, 3, 0, tzinfo=UTC)


def each_day(n: int) -> list[datetime]:
    return [START + timedelta(days=day) for day in range(n)]


def test_of_a_year_of_days_a_week_five_weeks_and_twelve_months_stay() -> None:
    moments = each_day(365)
    kept = to_keep(moments)
    assert set(moments[-7:]) <= kept
    assert {at.month for at in kept} == set(range(1, 13))
    assert len({at.isocalendar()[:2] for at in kept if at >= moments[-35]}) >= 5
    assert len(kept) <= 7 + 5 + 12


def test_of_several_in_a_day_the_newest_stays() -> None:
    moments = [START + timedelta(hours=hour) for hour in range(20)]
    assert to_keep(moments) == {moments[-1]}


def test_days_without_a_copy_do_not_count() -> None:
    moments = [START + timedelta(days=3 * n) for n in range(7)]
    assert to_keep(moments) == set(moments)


@given(st.lists(st.integers(0, 2_000_000), min_size=1, max_size=60))
def test_the_newest_always_stays_and_rotating_again_changes_nothing(minutes: list[int]) -> None:
    moments = [START + timedelta(minutes=minute) for minute in minutes]
    kept = to_keep(moments)
    assert max(moments) in kept
    assert kept <= set(moments)
    assert to_keep(kept) == kept


def test_day_by_day_no_more_than_these_ever_lie_there() -> None:
    kept: set[datetime] = set()
    for at in each_day(800):
        kept = to_keep({*kept, at})
    assert len(kept) <= 7 + 5 + 12
    assert len({(at.year, at.month) for at in kept}) == 12, "a year back"
