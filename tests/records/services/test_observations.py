"""Recording outcomes, acts, stages, firmness, beds, readings and notes."""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.contents import content_of
from slipwright.records.errors import BadValue
from slipwright.records.models import BatchState, Bed, Firmness, Garden, Member, Note, Outcome, Reading, Stage
from tests.records.making import every_kind_of_entry, stick

ON = date(2025, 10, 15)
#: Summer time in the east of North America.
AT = datetime(2025, 10, 15, 9, 30, 5, tzinfo=timezone(-timedelta(hours=4)))


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def test_an_outcome_leaves_the_count_of_cuttings_alone(who: dict[str, Any]) -> None:
    batch = stick(**who)
    before = BatchState.rows.values().get()
    services.record_outcome(
        **who, batch=batch.batch, on=ON, ready_as="weaned", n_reached=4, n_lost=1, fate="given", to="gate"
    )
    assert BatchState.rows.values().get() == before
    assert Outcome.rows.get().to == "gate"


def test_a_move_changes_where_the_batch_stands(who: dict[str, Any]) -> None:
    batch = stick(**who)
    services.record_act(**who, on=ON, act="move", batch=batch.batch, to_place="frame-1")
    state = BatchState.rows.select_related("place").get()
    assert str(state.place) == "frame-1"
    services.record_act(
        **who, on=ON - timedelta(days=2), act="move", batch=batch.batch, to_place="mist-1", note="late"
    )
    assert str(BatchState.rows.get().place) == "frame-1", (
        "the move made last counts, not the one written last"
    )


def test_of_two_moves_on_one_day_the_later_written_counts(who: dict[str, Any]) -> None:
    batch = stick(**who)
    services.record_act(**who, on=ON, act="move", batch=batch.batch, to_place="frame-1")
    back = services.record_act(**who, on=ON, act="move", batch=batch.batch, to_place="mist-1")
    assert str(BatchState.rows.get().place) == "mist-1"
    services.withdraw(**who, withdraws=back.entry_id, reason="it stayed", at=AT)
    assert str(BatchState.rows.get().place) == "frame-1"


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_an_act_says_to_what_and_a_move_says_where_to(who: dict[str, Any]) -> None:
    with pytest.raises(BadValue, match="which batch"):
        services.record_act(**who, on=ON, act="water")
    with pytest.raises(BadValue, match="to_place"):
        services.record_act(**who, on=ON, act="move", plant="rose-gate")
    with pytest.raises(BadValue, match="one of"):
        services.record_act(**who, on=ON, act="sing", plant="rose-gate")


def test_what_is_seen_of_a_plant(who: dict[str, Any]) -> None:
    services.record_stage(**who, plant="rose-gate", on=ON, bbch=65)
    services.record_firmness(**who, plant="rose-gate", on=ON, firmness_tip=1, firmness_base=5)
    assert Stage.rows.get().bbch == 65
    felt = Firmness.rows.get()
    assert (felt.firmness_tip, felt.firmness_mid, felt.firmness_base) == (1, None, 5)
    with pytest.raises(BadValue, match="bbch"):
        services.record_stage(**who, plant="rose-gate", on=ON, bbch=100)
    with pytest.raises(BadValue, match="firmness_mid"):
        services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=0)


def test_a_moment_keeps_the_offset_it_was_written_with(who: dict[str, Any]) -> None:
    services.record_bed(**who, place="mist-1", at=AT, seen="medium-soggy")
    bed = Bed.rows.get()
    assert (bed.at, bed.at_offset_min) == (AT, -240)
    assert content_of(bed)["at"] == "2025-10-15T09:30:05-04:00"


@pytest.mark.parametrize(
    "at",
    [
        datetime(2025, 10, 15, 9, 30),  # noqa: DTZ001 (what is refused)
        AT.replace(microsecond=1),
        AT.replace(tzinfo=timezone(timedelta(hours=15))),
        AT.replace(tzinfo=timezone(timedelta(seconds=30))),
        AT + timedelta(days=8),
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_moment_that_will_not_do_is_refused(who: dict[str, Any], at: datetime) -> None:
    with pytest.raises(BadValue) as caught:
        services.record_note(**who, about="mist-1", at=at, text="drips")
    assert caught.value.column == "at"
    assert Note.rows.count() == 0


def test_a_reading_is_exact_and_names_nobody(who: dict[str, Any]) -> None:
    services.record_reading(**who, place="mist-1", at=AT, air_c=Decimal("-0.50"), medium_c=Decimal("21"))
    reading = Reading.rows.get()
    assert content_of(reading)["fields"] == {"place": "mist-1", "air_c": "-0.5", "medium_c": "21"}
    assert "by" not in content_of(reading)


def test_every_kind_reads_back_to_the_hash_it_was_kept_with(who: dict[str, Any]) -> None:
    from slipwright.records.canonical import sha256
    from slipwright.records.models import ENTRY_MODELS

    every_kind_of_entry(**who)
    numbers = []
    for model in ENTRY_MODELS:
        for record in model.rows.all():
            assert sha256(content_of(record)) == record.sha256, record
            numbers.append(record.number)
    assert sorted(numbers) == list(range(1, len(numbers) + 1)), "one row of numbers, without a gap"


def test_a_note_is_about_something(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who)
    for about in (
        batch.batch,
        batch.entry_id,
        "mist-1",
        "rose-gate",
        "Rosa 'Pale Ferry'",
        "grower",
        str(garden.garden),
    ):
        services.record_note(**who, about=about, at=AT, text="look closer")
    with pytest.raises(BadValue, match="about"):
        services.record_note(**who, about="nothing of ours", at=AT, text="look closer")
