"""Taking entries back."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.errors import Ambiguous, BadValue, Clash, NotAllowed, Refused
from slipwright.records.models import BatchState, Garden, Look, Member, Sticking, Withdrawal
from tests.records.making import stick

ON = date(2025, 10, 15)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


@pytest.fixture
def batch(who: dict[str, Any]) -> Sticking:
    return stick(**who)


def take_back(who: dict[str, Any], entry: str, **columns: Any) -> Withdrawal:
    return services.withdraw(**who, withdraws=entry, reason="wrong batch", at=who["now"], **columns)


def test_a_look_taken_back_no_longer_counts_and_is_still_there(who: dict[str, Any], batch: Sticking) -> None:
    look = services.record_look(**who, batch=batch.batch, on=ON, n_rooted=5)
    withdrawal = take_back(who, look.entry_id)
    assert withdrawal.withdraws_kind == "look"
    assert BatchState.rows.get().n_rooted == 0
    assert Look.rows.get().n_rooted == 5
    assert Look.rows.standing().count() == 0


def test_a_sticking_ends_on_the_day_it_is_taken_back(who: dict[str, Any], batch: Sticking) -> None:
    take_back(who, batch.entry_id)
    state = BatchState.rows.get()
    assert (state.withdrawn, state.ended_on) == (True, date(2025, 10, 20))


def test_the_day_is_that_of_the_place_it_was_written_in(who: dict[str, Any], batch: Sticking) -> None:
    from datetime import timezone

    early = datetime(2025, 10, 20, 1, 0, tzinfo=timezone(timedelta(hours=10)))
    services.withdraw(**who, withdraws=batch.entry_id, reason="slip", at=early)
    assert BatchState.rows.get().ended_on == date(2025, 10, 20)


def test_a_sticking_stays_while_anything_refers_to_it(who: dict[str, Any], batch: Sticking) -> None:
    say = who | {"batch": batch.batch, "on": ON}
    referring = [
        services.record_look(**say, n_rooted=5),
        services.record_potting(**say, n_potted=2),
        services.record_outcome(**say, ready_as="potted", n_reached=2),
        services.record_act(**say, act="water"),
        services.record_note(**who, about=batch.batch, at=who["now"], text="by its code"),
        services.record_note(**who, about=batch.entry_id, at=who["now"], text="by its id"),
        stick(**who, from_batch=batch.batch),
    ]
    for record in referring:
        with pytest.raises(Refused, match="refer to it"):
            take_back(who, batch.entry_id)
        take_back(who, record.entry_id)
    take_back(who, batch.entry_id)
    assert BatchState.rows.get(batch=batch).withdrawn


def test_a_plant_raised_from_it_holds_it_too(who: dict[str, Any], batch: Sticking) -> None:
    edit = who | {"table": "plants", "key": ("rose-gate",)}
    services.edit_reference(**edit, changes={"from_batch": batch.batch})
    with pytest.raises(Refused, match="rose-gate, raised from it"):
        take_back(who, batch.entry_id)
    services.edit_reference(**edit, changes={"from_batch": ""})
    take_back(who, batch.entry_id)


def test_what_was_taken_back_is_not_taken_back_again(who: dict[str, Any], batch: Sticking) -> None:
    first = take_back(who, batch.entry_id, entry_id="w-1")
    again = take_back(who, batch.entry_id, entry_id="w-1")
    assert first.pk == again.pk
    with pytest.raises(Refused, match="taken back before"):
        take_back(who, batch.entry_id)
    with pytest.raises(Refused, match="not taken back"):
        take_back(who, "w-1")
    with pytest.raises(Clash):
        services.withdraw(
            **who, withdraws=batch.entry_id, reason="another reason", at=who["now"], entry_id="w-1"
        )


def test_where_several_kinds_share_an_id_the_kind_says_which(who: dict[str, Any], batch: Sticking) -> None:
    look = services.record_look(**who, batch=batch.batch, on=ON, n_rooted=5, entry_id=batch.entry_id)
    with pytest.raises(Ambiguous, match="could be any of sticking, look; say which by its kind"):
        take_back(who, look.entry_id)
    with pytest.raises(BadValue, match="must be the id of a potting of this garden"):
        take_back(who, look.entry_id, kind="potting")
    with pytest.raises(BadValue, match="kind: must be one of sticking, look"):
        take_back(who, look.entry_id, kind="looks")
    assert take_back(who, look.entry_id, kind="look", entry_id="w-1").withdraws_kind == "look"
    assert take_back(who, look.entry_id, kind="look", entry_id="w-1").withdraws_kind == "look"
    with pytest.raises(Clash):
        take_back(who, look.entry_id, kind="sticking", entry_id="w-1")
    assert take_back(who, look.entry_id, kind="sticking").withdraws_kind == "sticking"
    assert BatchState.rows.get().withdrawn


def test_what_is_not_there_cannot_be_taken_back(who: dict[str, Any]) -> None:
    with pytest.raises(BadValue, match="withdraws"):
        take_back(who, "nothing of ours")


def test_a_reason_must_be_given(who: dict[str, Any], batch: Sticking) -> None:
    with pytest.raises(BadValue, match="reason"):
        services.withdraw(**who, withdraws=batch.entry_id, reason="", at=who["now"])


def test_volunteers_take_back_only_their_own(who: dict[str, Any], batch: Sticking, volunteer: Member) -> None:
    others = services.record_look(**who, batch=batch.batch, on=ON, n_rooted=5)
    theirs = who | {"by": volunteer}
    own = services.record_look(**theirs, batch=batch.batch, on=ON, n_lost=1)
    with pytest.raises(NotAllowed, match="somebody else"):
        take_back(theirs, others.entry_id)
    take_back(theirs, own.entry_id)
    take_back(who, others.entry_id)
    assert BatchState.rows.get().n_rooted == 0


def test_a_reading_is_nobodys_own(who: dict[str, Any], volunteer: Member) -> None:
    reading = services.record_reading(**who | {"by": volunteer}, place="mist-1", at=who["now"])
    with pytest.raises(NotAllowed):
        take_back(who | {"by": volunteer}, reading.entry_id)
