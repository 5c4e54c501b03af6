"""Where batches stand is always the sum of their entries, whatever is recorded and taken back."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slipwright.records import services, states
from slipwright.records.contents import content_of
from slipwright.records.errors import Refused
from slipwright.records.models import ENTRY_MODELS, BatchState, Garden, Look, Member, Sticking
from slipwright.records.numbering import hold
from tests.databases import Templates
from tests.records.conftest import small_garden
from tests.records.making import STUCK_ON, stick

NOW = datetime(2025, 10, 20, 15, 30, tzinfo=UTC)
N_STUCK = 6
COUNTS = ("n_rooted", "n_lost", "n_removed", "n_lost_rooted")

counts = st.none() | st.integers(0, 6)
days = st.integers(-1, 19)
looks = st.fixed_dictionaries(
    {"do": st.just("look"), "day": days, "after": st.none() | st.integers(0, 3)}
    | dict.fromkeys(COUNTS, counts)
    | {"n_waiting": st.none() | st.integers(0, 6)}
)
pottings = st.fixed_dictionaries({"do": st.just("pot"), "day": days, "n": st.integers(1, 6)})
moves = st.fixed_dictionaries(
    {"do": st.just("move"), "day": days, "to": st.sampled_from(["mist-1", "frame-1"])}
)
others = st.fixed_dictionaries(
    {"do": st.sampled_from(["back", "again", "back sticking"]), "which": st.integers(0, 20)}
)
steps = st.lists(looks | pottings | moves | others, max_size=14)


@dataclass
class Told:
    """What a test recorded of one batch, kept apart from the code under test."""

    stuck_at: str | None
    looks: list[dict[str, Any]] = field(default_factory=list)
    pottings: list[dict[str, Any]] = field(default_factory=list)
    moves: list[dict[str, Any]] = field(default_factory=list)
    back: set[str] = field(default_factory=set)
    withdrawn_on: date | None = None

    def standing(self, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        return [row for row in rows if row["id"] not in self.back]

    def counted(self) -> tuple[list[dict[str, Any]], bool]:
        free, rivals = [], {}
        for look in self.standing(self.looks):
            if look["after"]:
                rivals.setdefault(look["after"], []).append(look)
            else:
                free.append(look)
        won = [max(group, key=lambda look: (look["on"], look["number"])) for group in rivals.values()]
        return free + won, any(len(group) > 1 for group in rivals.values())

    def expected(self) -> dict[str, Any]:
        counted, clash = self.counted()
        events = [(look["on"], 0, look["number"], look) for look in counted]
        events += [(row["on"], 1, row["number"], row) for row in self.standing(self.pottings)]
        events.sort(key=lambda event: event[:3])
        total = dict.fromkeys((*COUNTS, "n_potted"), 0)
        flags = {"two-looks-from-one"} if clash else set()
        trail: list[tuple[date, int, int]] = []
        for on, _, _, event in events:
            for name in total:
                total[name] += event.get(name) or 0
            waiting = N_STUCK - total["n_rooted"] - total["n_lost"] - total["n_removed"]
            to_pot = total["n_rooted"] - total["n_lost_rooted"] - total["n_potted"]
            trail.append((on, waiting, to_pot))
            if on < STUCK_ON:
                flags.add("before-sticking")
            if "n_potted" in event:
                flags |= {"potted-more-than-rooted"} if to_pot < 0 else set()
                continue
            flags |= {"more-than-stuck"} if waiting < 0 else set()
            flags |= {"waiting-differs"} if event["n_waiting"] not in (None, waiting) else set()
            flags |= {"lost-more-than-rooted"} if total["n_lost_rooted"] > total["n_rooted"] else set()
        seen = sorted(look["on"] for look in counted)
        moved = sorted(self.standing(self.moves), key=lambda move: (move["on"], move["number"]))
        ended = since(trail, lambda waiting, to_pot: waiting <= 0 and to_pot <= 0)
        return total | {
            "n_stuck": N_STUCK,
            "n_waiting": N_STUCK - total["n_rooted"] - total["n_lost"] - total["n_removed"],
            "n_to_pot": total["n_rooted"] - total["n_lost_rooted"] - total["n_potted"],
            "n_looks": len(counted),
            "last_look_on": seen[-1] if seen else None,
            "first_rooted_on": min((look["on"] for look in counted if look["n_rooted"]), default=None),
            "unpotted_since": since(trail, lambda waiting, to_pot: to_pot > 0),
            "ended_on": self.withdrawn_on or ended,
            "withdrawn": self.withdrawn_on is not None,
            "flags": ";".join(sorted(flags)),
            "place": moved[-1]["to"] if moved else self.stuck_at,
        }


def since(trail: list[tuple[date, int, int]], holds: Any) -> date | None:
    """Return the day from which something held without a break until the end."""
    first = None
    for on, waiting, to_pot in reversed(trail):
        if not holds(waiting, to_pot):
            break
        first = on
    return first


class Walk:
    """Does the steps through the services and keeps what was told."""

    def __init__(self, garden: Garden, by: Member) -> None:
        self.who: dict[str, Any] = {"garden": garden, "by": by, "now": NOW}
        self.batch = stick(garden, by, NOW, n_stuck=N_STUCK)
        self.told = Told("mist-1")
        self.kept: dict[str, dict[str, Any]] = {}
        self.calls: list[tuple[Any, dict[str, Any], str]] = []

    def do(self, step: dict[str, Any]) -> None:
        if self.told.withdrawn_on is None or step["do"] == "again":
            getattr(self, f"_{step['do'].replace(' ', '_')}")(step)

    def _call(self, service: Any, **columns: Any) -> Any:
        record = service(**self.who, **columns)
        self.calls.append((service, columns | {"entry_id": record.entry_id}, record.entry_id))
        self.kept[record.entry_id] = content_of(record)
        return record

    def _look(self, step: dict[str, Any]) -> None:
        columns = {name: step[name] for name in (*COUNTS, "n_waiting")}
        on = STUCK_ON + timedelta(days=step["day"])
        before = self.told.looks[step["after"]] if self._has(step["after"]) else None
        # a look may not name one of a later day
        after = before["id"] if before and before["on"] <= on else ""
        look = self._call(services.record_look, batch=self.batch.batch, on=on, after=after, **columns)
        told = {"id": look.entry_id, "on": on, "number": look.number, "after": after}
        self.told.looks.append(told | columns)

    def _has(self, which: int | None) -> bool:
        return which is not None and which < len(self.told.looks)

    def _pot(self, step: dict[str, Any]) -> None:
        on = STUCK_ON + timedelta(days=step["day"])
        short = step["n"] - max(self.told.expected()["n_to_pot"], 0)
        potting = self._call(services.record_potting, batch=self.batch.batch, on=on, n_potted=step["n"])
        if short > 0:
            added = Look.rows.get(number=potting.number - 1)
            self.kept[added.entry_id] = content_of(added)
            look = {"id": added.entry_id, "on": on, "number": added.number, "after": "", "n_waiting": None}
            self.told.looks.append(look | dict.fromkeys(COUNTS) | {"n_rooted": short})
        told = {"id": potting.entry_id, "on": on, "number": potting.number, "n_potted": step["n"]}
        self.told.pottings.append(told)

    def _move(self, step: dict[str, Any]) -> None:
        on = STUCK_ON + timedelta(days=step["day"])
        move = self._call(services.record_act, on=on, act="move", batch=self.batch.batch, to_place=step["to"])
        told = {"id": move.entry_id, "on": on, "number": move.number, "to": step["to"]}
        self.told.moves.append(told)

    def _back(self, step: dict[str, Any]) -> None:
        rows = [*self.told.looks, *self.told.pottings, *self.told.moves]
        if left := self.told.standing(rows):
            entry_id = left[step["which"] % len(left)]["id"]
            self._call(services.withdraw, withdraws=entry_id, reason="slip", at=NOW)
            self.told.back.add(entry_id)

    def _back_sticking(self, step: dict[str, Any]) -> None:
        rows = [*self.told.looks, *self.told.pottings, *self.told.moves]
        if self.told.standing(rows):
            with pytest.raises(Refused):
                self._call(services.withdraw, withdraws=self.batch.entry_id, reason="slip", at=NOW)
            return
        self._call(services.withdraw, withdraws=self.batch.entry_id, reason="slip", at=NOW)
        self.told.withdrawn_on = NOW.date()

    def _again(self, step: dict[str, Any]) -> None:
        if self.calls:
            service, columns, entry_id = self.calls[step["which"] % len(self.calls)]
            if self.told.withdrawn_on is None or service is services.withdraw:
                assert service(**self.who, **columns).entry_id == entry_id


def kept_as(batch: Sticking) -> dict[str, Any]:
    state = BatchState.rows.select_related("place").get(batch=batch)
    names = [name for name in states.COLUMNS if name not in ("garden_id", "place_id")]
    return {name: getattr(state, name) for name in names} | {"place": str(state.place)}


@pytest.mark.parametrize("vendor", ["sqlite"])
def test_the_state_is_the_sum_and_no_entry_is_lost_or_changed(templates: Templates, vendor: str) -> None:
    with templates.copy(vendor):
        garden = small_garden()
        by = Member.objects.get(garden=garden, member="grower")

        @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
        @given(steps)
        def walk_about(todo: list[dict[str, Any]]) -> None:
            walk = Walk(garden, by)
            for step in todo:
                walk.do(step)
                assert kept_as(walk.batch) == walk.told.expected()
            found = {
                record.entry_id: content_of(record)
                for model in ENTRY_MODELS
                for record in model.rows.filter(entry_id__in=walk.kept)
            }
            assert found == walk.kept

        walk_about()
        assert not list(states.differences(garden)), "summed all at once it is the same"


@pytest.fixture
def three(garden: Garden, grower: Member, now: datetime) -> list[Sticking]:
    batches = [stick(garden, grower, now) for _ in range(3)]
    for n, batch in enumerate(batches):
        services.record_look(
            garden=garden, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 8), n_rooted=n
        )
    return batches


def test_summing_all_anew_mends_what_was_wrong(garden: Garden, three: list[Sticking]) -> None:
    before = list(BatchState.rows.order_by("pk").values())
    BatchState.rows.update(n_rooted=19, n_waiting=1)
    BatchState.rows.filter(batch=three[0]).delete()
    with transaction.atomic():
        assert states.resum(hold(garden)) == 3
    assert list(BatchState.rows.order_by("pk").values()) == before


def test_summing_some_leaves_the_others(garden: Garden, three: list[Sticking]) -> None:
    BatchState.rows.update(n_lost=7)
    with transaction.atomic():
        assert states.resum(hold(garden), [three[1].pk]) == 1
    assert list(BatchState.rows.order_by("pk").values_list("n_lost", flat=True)) == [7, 0, 7]


def test_the_number_of_queries_does_not_grow_with_the_batches(garden: Garden, three: list[Sticking]) -> None:
    def queries(pks: list[int]) -> int:
        with transaction.atomic(), CaptureQueriesContext(connection) as captured:
            states.resum(garden, pks)
        return len(captured)

    assert queries([three[0].pk]) == queries([batch.pk for batch in three])


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_more_batches_than_a_chunk_are_all_summed(
    garden: Garden, three: list[Sticking], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(states, "CHUNK", 2)
    BatchState.rows.all().delete()
    assert [found.batch for found in states.differences(garden)] == [batch.batch for batch in three]
    with transaction.atomic():
        assert states.resum(hold(garden)) == 3
    told: list[int] = []
    assert list(states.differences(garden, told=told.append)) == []
    assert told == [2, 3]


def test_each_column_that_differs_is_told(garden: Garden, three: list[Sticking]) -> None:
    BatchState.rows.filter(batch=three[2]).update(n_looks=5, ended_on=date(2025, 10, 9))
    assert list(states.differences(garden)) == [
        states.Difference(three[2].batch, "n_looks", 5, 1),
        states.Difference(three[2].batch, "ended_on", date(2025, 10, 9), None),
    ]


def test_a_garden_is_held_inside_a_transaction_only(garden: Garden) -> None:
    with pytest.raises(transaction.TransactionManagementError, match="inside a transaction"):
        hold(garden)
