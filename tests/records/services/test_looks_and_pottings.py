"""Recording looks and pottings, and where the batch then stands."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from slipwright.records import services, states
from slipwright.records.errors import BadValue, Refused, UnknownRow
from slipwright.records.models import BatchState, Garden, Look, Member, Potting, Sticking
from tests.records.making import STUCK_ON, stick

OCT_8 = date(2025, 10, 8)
OCT_15 = date(2025, 10, 15)


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, n_stuck=20)


@pytest.fixture
def say(garden: Garden, grower: Member, now: datetime, batch: Sticking) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now, "batch": batch.batch}


def state(batch: Sticking) -> BatchState:
    return BatchState.rows.get(batch=batch)


def test_counts_are_added_up(say: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**say, on=OCT_8, n_rooted=2, n_lost=3, cause="rot-from-base")
    services.record_look(**say, on=OCT_15, n_rooted=6, n_removed=1, n_lost_rooted=1)
    kept = state(batch)
    assert (kept.n_rooted, kept.n_lost, kept.n_removed, kept.n_lost_rooted) == (8, 3, 1, 1)
    assert (kept.n_waiting, kept.n_to_pot, kept.n_looks) == (8, 7, 2)
    assert (kept.first_rooted_on, kept.last_look_on, kept.unpotted_since) == (OCT_8, OCT_15, OCT_8)
    assert kept.flags == ""


def test_a_look_at_nothing_in_particular_is_complete(say: dict[str, Any], batch: Sticking) -> None:
    look = services.record_look(**say, on=OCT_8)
    assert (look.n_rooted, look.n_lost) == (None, None)
    assert state(batch).last_look_on == OCT_8


def test_counted_and_none_is_not_the_same_as_not_counted(say: dict[str, Any]) -> None:
    one = services.record_look(**say, on=OCT_8, n_rooted=0)
    other = services.record_look(**say, on=OCT_8)
    assert (one.n_rooted, other.n_rooted) == (0, None)
    assert one.sha256 != other.sha256


def test_a_tried_sample_leaves_the_counts_alone(say: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**say, on=OCT_8, n_tried=5, n_tried_rooted=2, signs=["callus", "new-leaf"])
    kept = state(batch)
    assert (kept.n_rooted, kept.n_waiting, kept.first_rooted_on) == (0, 20, OCT_8)
    assert Look.rows.get().signs == "new-leaf;callus"


def test_what_does_not_add_up_is_kept_and_flagged(say: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**say, on=OCT_8, n_rooted=15, n_lost=9)
    services.record_look(**say, on=OCT_15, n_waiting=3)
    kept = state(batch)
    assert kept.n_waiting == -4
    assert kept.flags == "more-than-stuck;waiting-differs"


def test_two_looks_from_one_are_both_kept_and_flagged(say: dict[str, Any], batch: Sticking) -> None:
    first = services.record_look(**say, on=OCT_8, n_rooted=1)
    services.record_look(**say, on=OCT_15, n_rooted=4, after=first.entry_id)
    services.record_look(**say, on=OCT_15 - timedelta(days=1), n_rooted=9, after=first.entry_id)
    kept = state(batch)
    assert Look.rows.count() == 3
    assert kept.n_rooted == 5
    assert kept.flags == "two-looks-from-one"


def test_once_a_person_picks_the_flag_goes(
    garden: Garden, grower: Member, now: datetime, say: dict[str, Any], batch: Sticking
) -> None:
    first = services.record_look(**say, on=OCT_8, n_rooted=1)
    later = services.record_look(**say, on=OCT_15, n_rooted=4, after=first.entry_id)
    services.record_look(**say, on=OCT_15 - timedelta(days=1), n_rooted=9, after=first.entry_id)
    services.withdraw(
        garden=garden, by=grower, now=now, withdraws=later.entry_id, reason="counted twice", at=now
    )
    assert (state(batch).n_rooted, state(batch).flags) == (10, "")


def test_looks_sum_the_same_in_whatever_order_they_come(say: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**say, on=OCT_15, n_rooted=6, n_waiting=12)
    services.record_look(**say, on=OCT_8, n_rooted=2)
    kept = state(batch)
    assert (kept.n_rooted, kept.last_look_on, kept.first_rooted_on, kept.flags) == (8, OCT_15, OCT_8, "")


def test_before_sticking_is_flagged(say: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**say, on=STUCK_ON - timedelta(days=1), n_lost=1)
    assert state(batch).flags == "before-sticking"


def test_sent_twice_it_counts_once(say: dict[str, Any], batch: Sticking) -> None:
    one = services.record_look(**say, on=OCT_8, n_rooted=2, entry_id="on-the-phone")
    two = services.record_look(**say, on=OCT_8, n_rooted=2, entry_id="on-the-phone")
    assert one.pk == two.pk
    assert state(batch).n_rooted == 2


def test_a_batch_ends_when_nothing_waits_and_all_rooted_are_potted(
    say: dict[str, Any], batch: Sticking
) -> None:
    services.record_look(**say, on=OCT_8, n_rooted=12, n_lost=8)
    assert state(batch).ended_on is None
    services.record_potting(**say, on=OCT_15, n_potted=11)
    assert state(batch).ended_on is None
    services.record_look(**say, on=date(2025, 10, 18), n_lost_rooted=1)
    assert state(batch).ended_on == date(2025, 10, 18)
    assert state(batch).unpotted_since is None


def test_an_ended_batch_opens_again_when_its_end_is_taken_back(
    garden: Garden, grower: Member, now: datetime, say: dict[str, Any], batch: Sticking
) -> None:
    look = services.record_look(**say, on=OCT_8, n_lost=20, cause="frost")
    assert state(batch).ended_on == OCT_8
    services.withdraw(
        garden=garden, by=grower, now=now, withdraws=look.entry_id, reason="another bench", at=now
    )
    assert state(batch).ended_on is None


def test_potting_more_than_are_rooted_adds_a_look_of_that_day(say: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**say, on=OCT_8, n_rooted=3)
    potting = services.record_potting(**say, on=OCT_15, n_potted=7)
    added = Look.rows.get(on=OCT_15)
    assert (added.n_rooted, added.by) == (4, potting.by)
    assert added.number < potting.number
    kept = state(batch)
    assert (kept.n_rooted, kept.n_potted, kept.n_to_pot, kept.flags) == (7, 7, 0, "")


def test_sent_again_the_potting_adds_no_second_look(say: dict[str, Any], batch: Sticking) -> None:
    for _ in range(3):
        services.record_potting(**say, on=OCT_15, n_potted=7, entry_id="potted-1")
    assert (Look.rows.count(), Potting.rows.count()) == (1, 1)
    assert state(batch).n_rooted == 7


def test_potting_what_is_rooted_adds_nothing(say: dict[str, Any]) -> None:
    services.record_look(**say, on=OCT_8, n_rooted=7)
    services.record_potting(**say, on=OCT_15, n_potted=7)
    assert Look.rows.count() == 1


def test_potting_more_than_were_stuck_is_flagged(say: dict[str, Any], batch: Sticking) -> None:
    services.record_potting(**say, on=OCT_15, n_potted=25)
    assert state(batch).flags == "more-than-stuck"


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    ("counts", "column"),
    [
        ({"n_rooted": -1}, "n_rooted"),
        ({"n_rooted": True}, "n_rooted"),
        ({"cause": "bad luck"}, "cause"),
        ({"signs": ["callus", "callus"]}, "signs"),
        ({"signs": ["leaves"]}, "signs"),
        ({"pot_weight": "heavy"}, "pot_weight"),
    ],
)
def test_what_breaks_a_rule_names_its_column(
    say: dict[str, Any], counts: dict[str, Any], column: str
) -> None:
    with pytest.raises(BadValue) as caught:
        services.record_look(**say, on=OCT_8, **counts)
    assert caught.value.column == column


def test_nothing_is_written_about_a_batch_that_is_not_there(say: dict[str, Any]) -> None:
    with pytest.raises(BadValue, match="batches"):
        services.record_look(**say | {"batch": "nobody's"}, on=OCT_8)
    with pytest.raises(BadValue, match="batches"):
        services.record_potting(**say | {"batch": "nobody's"}, on=OCT_8, n_potted=1)
    with pytest.raises(UnknownRow, match="places"):
        services.record_potting(**say, on=OCT_8, n_potted=1, place="the moon")
    assert Look.rows.count() == 0


def test_nothing_is_written_about_a_batch_that_was_taken_back(
    garden: Garden, grower: Member, now: datetime, say: dict[str, Any], batch: Sticking
) -> None:
    services.withdraw(garden=garden, by=grower, now=now, withdraws=batch.entry_id, reason="slip", at=now)
    with pytest.raises(Refused, match="taken back"):
        services.record_look(**say, on=OCT_8)
    with pytest.raises(Refused, match="taken back"):
        services.record_potting(**say, on=OCT_8, n_potted=1)


def test_a_look_follows_a_look_at_the_same_batch(
    garden: Garden, grower: Member, now: datetime, say: dict[str, Any]
) -> None:
    other = stick(garden, grower, now)
    elsewhere = services.record_look(**say | {"batch": other.batch}, on=OCT_8)
    for after in (elsewhere.entry_id, "never seen", "itself"):
        with pytest.raises(BadValue, match="after"):
            services.record_look(**say, on=OCT_15, after=after, entry_id="itself")


def test_signs_are_kept_in_the_order_of_their_list(say: dict[str, Any]) -> None:
    look = services.record_look(**say, on=OCT_8, signs=["roots-at-holes", "new-leaf", "callus"])
    assert look.signs == "new-leaf;callus;roots-at-holes"


def test_a_sum_beyond_all_bounds_is_refused(say: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(states, "MOST", 10)
    with pytest.raises(BadValue, match="must not sum to more than 10"):
        services.record_look(**say, on=OCT_8, n_lost=11)
    assert Look.rows.count() == 0


def test_nothing_is_stuck_from_a_batch_that_was_taken_back(
    garden: Garden, grower: Member, now: datetime, batch: Sticking
) -> None:
    services.withdraw(garden=garden, by=grower, now=now, withdraws=batch.entry_id, reason="slip", at=now)
    with pytest.raises(Refused, match="taken back"):
        stick(garden, grower, now, from_batch=batch.batch)
    with pytest.raises(Refused, match="taken back"):
        services.edit_reference(
            garden=garden,
            by=grower,
            now=now,
            table="plants",
            key=("rose-gate",),
            changes={"from_batch": batch.batch},
        )
