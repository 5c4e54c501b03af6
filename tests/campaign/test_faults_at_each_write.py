"""Whatever statement of an act fails, nothing of the act is there, and the act can be done again."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack
from datetime import date, datetime
from typing import Any
from unittest import mock

import pytest
from django.db import OperationalError, connection, transaction

from slipwright.records import services
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import BatchState, Garden, Member, Sticking
from tests.campaign.sums import digest, look
from tests.records.making import stick
from tests.records.pictures import drawn

ON = date(2025, 10, 15)
MOST_STATEMENTS = 200

#: name: the act, given what every service takes, and the batch
ACTS: dict[str, Callable[[dict[str, Any], Sticking], object]] = {
    "stick a batch": lambda who, batch: services.record_sticking(
        **who,
        lots=[
            {
                "taxon": "Salvia rosmarinus",
                "stuck_on": ON,
                "n_stuck": 12,
                "wood": "semi-hardwood",
                "batch": "7K3F",
                "id": "new-batch",
            }
        ],
    ),
    "look": lambda who, batch: services.record_look(
        **who, batch=batch.batch, on=ON, n_rooted=3, entry_id="a"
    ),
    "pot up": lambda who, batch: services.record_potting(
        **who, batch=batch.batch, on=ON, n_potted=2, container="pot-1l", entry_id="a"
    ),
    "pot up more than was seen": lambda who, batch: services.record_potting(
        **who, batch=batch.batch, on=ON, n_potted=9, entry_id="a"
    ),
    "outcome": lambda who, batch: services.record_outcome(
        **who, batch=batch.batch, on=ON, ready_as="potted", n_reached=1, entry_id="a"
    ),
    "move": lambda who, batch: services.record_act(
        **who, on=ON, act="move", batch=batch.batch, to_place="frame-1", entry_id="a"
    ),
    "firmness": lambda who, batch: services.record_firmness(
        **who, plant="rose-gate", on=ON, firmness_tip=1, entry_id="a"
    ),
    "note": lambda who, batch: services.record_note(
        **who, about=batch.batch, at=who["now"], text="by the door", entry_id="a"
    ),
    "photo": lambda who, batch: services.receive_photo(
        **who, about=batch.batch, at=who["now"], sent=drawn(), entry_id="a"
    ),
    "take back a look": lambda who, batch: services.withdraw(
        **who, withdraws="first-look", reason="slip", at=who["now"], entry_id="a"
    ),
    "take in what a phone sent": lambda who, batch: services.receive_entry(
        **who, **look(who["garden"], batch.batch, "a")
    ),
    "change a row": lambda who, batch: services.add_reference(
        **who, table="places", row={"place": f"shelf-{uuid.uuid4()}", "kind": "shelf"}
    ),
}


def failing_at(k: int) -> tuple[AbstractContextManager[object], list[int]]:
    """Return what makes the k-th statement fail, the commit being the last, and a count of them."""
    seen = [0]

    def count() -> None:
        seen[0] += 1
        if seen[0] == k:
            raise OperationalError("disk I/O error")

    def wrapper(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        count()
        return execute(sql, params, many, context)

    commit = connection._commit

    def failing_commit() -> None:
        count()
        commit()

    stack = ExitStack()
    stack.enter_context(connection.execute_wrapper(wrapper))
    stack.enter_context(mock.patch.object(connection, "_commit", failing_commit))
    return stack, seen


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    batch = stick(garden, grower, now)
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=batch.batch, on=date(2025, 10, 14), n_rooted=4, entry_id="first-look")
    return batch


def half_applied(act: Callable[[], object]) -> tuple[list[int], int]:
    """Let each statement of an act fail in turn; return those that left a trace, and how many there are."""
    before = digest()
    traces = []
    for k in range(1, MOST_STATEMENTS):
        fault, seen = failing_at(k)
        try:
            with fault:
                act()
        except OperationalError:
            if digest() != before:
                traces.append(k)
        else:
            if seen[0] < k:
                return traces, k - 1
            # a check before saving may be passed over where it fails: what is said to be done is done
            before = digest()
    raise AssertionError("it does not end")


@pytest.mark.parametrize("name", ACTS)
def test_it_is_done_whole_or_not_at_all(
    name: str, garden: Garden, grower: Member, owner: Member, batch: Sticking, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": owner if name == "change a row" else grower, "now": now}
    before = digest()
    traces, n = half_applied(lambda: ACTS[name](who, batch))
    assert traces == []
    assert n >= 4, "there were statements to fail"
    assert digest() != before, "and in the end it was done"
    assert [str(f) for f in selfcheck().findings if f.level == "damage"] == []


def test_planted_a_total_written_apart_from_its_look_is_caught(
    garden: Garden, grower: Member, batch: Sticking, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}

    def apart() -> None:
        with transaction.atomic():
            services.record_look(**who, batch=batch.batch, on=ON, n_rooted=3, entry_id="a")
            BatchState.rows.filter(batch=batch).update(n_rooted=4)
        BatchState.rows.filter(batch=batch).update(n_rooted=7)

    traces, _ = half_applied(apart)
    assert traces
