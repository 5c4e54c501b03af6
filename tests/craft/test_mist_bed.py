"""What a bed teaches of its own mist."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.mist_bed import LEAST, MOST, bed_factor, bed_history

NOON = datetime(2026, 7, 1, 12, tzinfo=UTC)
SEEN = st.lists(
    st.tuples(
        st.datetimes(datetime(2026, 3, 1), datetime(2026, 10, 1), timezones=st.just(UTC)),  # noqa: DTZ001
        st.sampled_from(["leaves-dry", "medium-soggy"]),
    ),
    max_size=40,
)


def days(n: float) -> timedelta:
    return timedelta(days=n)


def test_a_bed_of_which_nothing_is_known_is_as_worked_out() -> None:
    assert bed_factor([], NOON) == 1


def test_dry_leaves_shorten_and_soggy_medium_lengthens_by_a_quarter() -> None:
    assert bed_factor([(NOON, "leaves-dry")], NOON) == 0.75
    assert bed_factor([(NOON, "medium-soggy")], NOON) == 1.25


def test_seeings_multiply() -> None:
    seen = [(NOON, "leaves-dry"), (NOON + days(0.1), "leaves-dry")]
    assert bed_factor(seen, NOON + days(0.1)) == pytest.approx(0.75**2, rel=0.01)


def test_half_is_forgotten_in_two_months() -> None:
    assert bed_factor([(NOON, "leaves-dry")], NOON + days(60)) == pytest.approx(0.75**0.5)
    assert bed_factor([(NOON, "leaves-dry")], NOON + days(3650)) == pytest.approx(1, abs=1e-6)


def test_two_who_see_the_same_within_the_hour_are_one_seeing() -> None:
    seen = [(NOON, "leaves-dry"), (NOON + timedelta(minutes=20), "leaves-dry")]
    told = bed_history(seen)
    assert [one.counted for one in told] == [True, False]
    assert bed_factor(seen, NOON + timedelta(hours=1)) == pytest.approx(0.75, rel=1e-3)


def test_what_was_seen_after_the_other_word_is_seen_anew() -> None:
    minutes = [
        (NOON + timedelta(minutes=20 * n), word) for n, word in enumerate(("leaves-dry", "medium-soggy") * 2)
    ]
    assert [one.counted for one in bed_history(minutes)] == [True] * 4


def test_what_is_yet_to_come_does_not_count() -> None:
    assert bed_factor([(NOON + days(1), "leaves-dry")], NOON) == 1


@settings(deadline=None)
@given(SEEN, st.integers(0, 400))
def test_the_factor_keeps_its_bounds(seen: list[tuple[datetime, str]], after: int) -> None:
    assert LEAST <= bed_factor(seen, datetime(2026, 3, 1, tzinfo=UTC) + days(after)) <= MOST
    assert all(LEAST <= one.factor <= MOST for one in bed_history(seen))


@settings(deadline=None)
@given(SEEN, st.randoms())
def test_the_order_they_arrive_in_does_not_matter(seen: list[tuple[datetime, str]], random: Random) -> None:
    once = list({at: (at, word) for at, word in seen}.values())
    shuffled = list(once)
    random.shuffle(shuffled)
    assert bed_history(shuffled) == bed_history(once)


@settings(deadline=None)
@given(SEEN)
def test_one_more_dry_leaf_never_lengthens(seen: list[tuple[datetime, str]]) -> None:
    at = datetime(2026, 10, 2, tzinfo=UTC)
    assert bed_factor([*seen, (at, "leaves-dry")], at) <= bed_factor(seen, at) + 1e-12


def test_another_word_is_refused() -> None:
    with pytest.raises(BadArgument):
        bed_history([(NOON, "leaves-wet")])
