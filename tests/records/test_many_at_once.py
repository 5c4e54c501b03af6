"""Several people record at the same moment: nothing is lost, nothing is counted twice."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django.db import connection

from slipwright.records import services, states
from slipwright.records.models import BatchState, Garden, Look, Member, Potting
from tests.records.making import stick

ON = date(2025, 10, 15)


def all_at_once(*todo: Callable[[], object]) -> None:
    """Run each in a thread of its own, starting together; raise what any of them raised."""
    start = threading.Barrier(len(todo))
    errors: list[BaseException] = []

    def run(act: Callable[[], object]) -> None:
        try:
            start.wait(timeout=30)
            act()
        except BaseException as error:
            errors.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(act,)) for act in todo]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert not any(thread.is_alive() for thread in threads)
    if errors:
        raise errors[0]


def test_looks_at_one_batch_all_count(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now, n_stuck=100).batch

    def walk() -> None:
        for _ in range(10):
            services.record_look(garden=garden, by=grower, now=now, batch=batch, on=ON, n_rooted=1)

    all_at_once(*[walk] * 4)
    state = BatchState.rows.get()
    assert (state.n_rooted, state.n_waiting, state.n_looks) == (40, 60, 40)
    numbers = sorted(Look.rows.values_list("number", flat=True))
    assert numbers == list(range(2, 42)), "one row of numbers, none twice, none left out"
    assert not list(states.differences(garden))


def test_one_entry_sent_by_two_at_once_is_one(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now).batch
    answers: list[Any] = []

    def send() -> None:
        look = services.record_look(
            garden=garden, by=grower, now=now, batch=batch, on=ON, n_rooted=3, entry_id="one"
        )
        answers.append(look.number)

    all_at_once(*[send] * 4)
    assert answers == [2, 2, 2, 2]
    assert BatchState.rows.get().n_rooted == 3


def test_two_potting_the_same_rooted_ones_add_what_is_short(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now).batch
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "batch": batch, "on": ON}
    services.record_look(**who, n_rooted=5)
    all_at_once(*[lambda: services.record_potting(**who, n_potted=5)] * 2)
    state = BatchState.rows.get()
    assert Potting.rows.count() == 2
    assert (state.n_potted, state.n_rooted, state.n_to_pot, state.flags) == (10, 10, 0, "")


def test_stickings_at_once_get_codes_and_numbers_of_their_own(
    garden: Garden, grower: Member, now: datetime
) -> None:
    all_at_once(*[lambda: stick(garden, grower, now)] * 4)
    states_of_all = BatchState.rows.values_list("batch__number", "batch__batch")
    assert sorted(number for number, _ in states_of_all) == [1, 2, 3, 4]
    assert len({code[:4] for _, code in states_of_all}) == 4


def test_a_look_and_the_withdrawal_of_its_batch_do_not_cross(
    garden: Garden, grower: Member, now: datetime
) -> None:
    """Either the look comes first and holds the batch, or the batch is gone and the look refused."""
    for _ in range(5):
        batch = stick(garden, grower, now)
        outcome: list[str] = []

        def look(code: str = batch.batch, said: list[str] = outcome) -> None:
            try:
                services.record_look(garden=garden, by=grower, now=now, batch=code, on=ON, n_rooted=1)
                said.append("look")
            except ValueError:
                pass

        def back(entry_id: str = batch.entry_id, said: list[str] = outcome) -> None:
            try:
                services.withdraw(
                    garden=garden, by=grower, now=now, withdraws=entry_id, reason="slip", at=now
                )
                said.append("back")
            except ValueError:
                pass

        all_at_once(look, back)
        assert outcome in (["look"], ["back"])
        assert BatchState.rows.get(batch=batch).withdrawn == (outcome == ["back"])
