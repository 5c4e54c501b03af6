"""What is worked out beforehand for Today, and when it is worked out anew."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection

from slipwright.craft.said import Said
from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers import told
from slipwright.records.answers.recording import OnRound, on_round
from slipwright.records.answers.refit import learn
from slipwright.records.answers.remembered import Remembered
from slipwright.records.answers.round import round_of
from slipwright.records.answers.today import CARDS, to_note_at, told_round
from slipwright.records.answers.today_parts import TodayRound
from slipwright.records.answers.told import Curve, Told, ToldAct, refresh, told_batches, told_from
from slipwright.records.errors import NotAllowed
from slipwright.records.models import BatchForecast, BatchState, Garden, Member, Plant, WeatherDay
from slipwright.records.services.rounds import record_nothing_to_note
from slipwright.rooting import fitting
from tests.records.making import stick

ON = date(2025, 10, 20)
FORM = "6f2e7c1a-0000-4000-8000-000000000001"


def _refresh(garden: Garden, now: datetime, on: date = ON) -> int:
    return refresh(garden, load_handbook(), on=on, now=now)


def _round(garden: Garden, **more: object) -> TodayRound:
    garden.refresh_from_db()
    return told_round(garden, load_handbook(), on=ON, **more)  # type: ignore[arg-type]


def test_each_open_batch_is_worked_out_once_a_day(garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now)
    stick(garden, grower, now, taxon="Salvia rosmarinus")
    assert _refresh(garden, now) == 2
    assert _refresh(garden, now) == 0
    assert _refresh(garden, now, ON + timedelta(days=1)) == 2
    assert BatchForecast.rows.of(garden).count() == 2


def test_a_look_makes_only_its_batch_anew(garden: Garden, grower: Member, now: datetime) -> None:
    first = stick(garden, grower, now)
    stick(garden, grower, now)
    _refresh(garden, now)
    services.record_look(garden=garden, by=grower, now=now, batch=first.batch, on=ON, n_rooted=4)
    assert _refresh(garden, now) == 1
    kept = told_from(BatchForecast.rows.get(batch=first).told)
    assert kept.curve.seen[-1] == (19, 4)


def test_a_look_taken_back_and_written_again_to_the_same_sums_is_seen(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now)
    look = services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_lost=1, cause="rot-from-base"
    )
    _refresh(garden, now)
    services.withdraw(garden=garden, by=grower, now=now, withdraws=look.entry_id, at=now, reason="wrong")
    services.record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_lost=1, cause="dried")
    assert _refresh(garden, now) == 1


def test_today_shows_at_once_what_was_written_again_to_the_same_sums(
    garden: Garden, grower: Member, now: datetime
) -> None:
    Plant.rows.of(garden).delete()
    batch = stick(garden, grower, now)
    seen: dict[str, Any] = {
        "garden": garden,
        "by": grower,
        "now": now,
        "batch": batch.batch,
        "on": date(2025, 10, 14),
    }
    look = services.record_look(**seen, n_lost=1, cause="rot-from-base")
    _refresh(garden, now)
    assert _round(garden).places[0].cards[0].acts[0].urgent
    services.withdraw(garden=garden, by=grower, now=now, withdraws=look.entry_id, at=now, reason="wrong")
    services.record_look(**seen, n_lost=1, cause="dried")
    assert not any(card.acts[0].urgent for place in _round(garden).places for card in place.cards)


def test_a_garden_restored_to_the_same_counters_is_walked_anew(
    garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    Plant.rows.of(garden).delete()
    stick(garden, grower, now)
    for name in ("before", "after"):
        (tmp_path / name).touch()
    settings = connection.settings_dict

    def walked(file: str) -> int:
        monkeypatch.setitem(settings, "NAME", str(tmp_path / file))
        return _round(garden).n_open

    assert walked("before") == 1
    BatchState.rows.of(garden).update(ended_on=ON)
    assert walked("before") == 1
    assert walked("after") == 0


def test_what_is_remembered_of_one_garden_does_not_outlive_many_others() -> None:
    kept: Remembered[int] = Remembered()
    gardens = [uuid4() for _ in range(9)]
    for k, garden in enumerate(gardens):
        kept.keep(garden, "then", k)
    assert kept.get(gardens[0], "then") is None
    assert kept.get(gardens[8], "then") == 8
    assert kept.get(gardens[8], "now") is None


def test_what_ended_is_forgotten(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now)
    _refresh(garden, now)
    services.record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_lost=20)
    _refresh(garden, now)
    assert not BatchForecast.rows.of(garden).exists()


def test_what_is_kept_reads_back_the_same() -> None:
    why = Said("{n} rooted since {since}", n=3, since=Said("{day} September", day=3))
    curve = Curve(((7, 0), (14, 3)), (20, 40), (3, 4), (3, 6), (3, 9))
    before = Told((ToldAct("pot_up", why), ToldAct("look", "plain", urgent=True)), curve, "the handbook")
    again = told_from(before.as_kept())
    assert again == before
    assert isinstance(again.acts[0].why, Said)
    assert again.acts[0].why.template == "{n} rooted since {since}"


def test_a_page_works_out_a_few_and_leaves_the_rest(
    garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(3):
        stick(garden, grower, now)
    monkeypatch.setattr(told, "WITH_A_PAGE", 2)
    batches = selectors.states_of_open_batches(garden)
    assert len(told_batches(garden, load_handbook(), batches, on=ON)) == 2
    assert _round(garden).n_working == 1
    _refresh(garden, now)
    assert _round(garden).n_working == 0


def test_today_asks_for_what_the_round_asks_for(garden: Garden, grower: Member, now: datetime) -> None:
    due = stick(garden, grower, now)
    services.record_look(
        garden=garden, by=grower, now=now, batch=due.batch, on=date(2025, 10, 14), n_rooted=8, n_lost=1
    )
    stick(garden, grower, now, taxon="Salvia rosmarinus", place="frame-1", cover="tent")
    WeatherDay.rows.create(garden=garden, on=ON, tmin_c=Decimal(-1), tmax_c=Decimal(34))
    _refresh(garden, now)
    asked = round_of(garden, load_handbook(), on=ON).acts
    shown = [
        (act.act, card.batch.batch if card.batch else None, place.place)
        for place in _round(garden).places
        for card in place.cards
        for act in card.acts
        if not card.plant
    ]
    assert sorted(shown, key=str) == sorted(
        ((act.act, act.batch, act.place or "") for act in asked if not act.plant), key=str
    )
    assert {act for act, _, _ in shown} >= {"pot_up", "shade", "protect"}
    assert [(a.act, a.plant) for a in asked if a.plant] == [
        (card.acts[0].act, card.plant)
        for place in _round(garden).places
        for card in place.cards
        if card.plant
    ]


def test_rot_cannot_wait(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now)
    services.record_look(
        garden=garden,
        by=grower,
        now=now,
        batch=batch.batch,
        on=date(2025, 10, 14),
        n_lost=2,
        cause="rot-from-base",
    )
    Plant.rows.of(garden).delete()
    (place,) = _round(garden).places
    assert place.cards[0].rank == 0
    assert place.to_note == []


def test_rot_comes_first_at_its_place_in_the_round_and_in_what_is_saved_next(
    garden: Garden, grower: Member, now: datetime
) -> None:
    Plant.rows.of(garden).delete()
    calm = [stick(garden, grower, now).batch for _ in range(2)]
    rotting = stick(garden, grower, now).batch
    far = stick(garden, grower, now, place="frame-1").batch
    services.record_look(
        garden=garden, by=grower, now=now, batch=rotting, on=date(2025, 10, 14), n_lost=2, cause="mould"
    )
    for place in (None, "mist-1"):
        cards = _round(garden, place=place).places[0].cards
        assert next(card.batch.batch for card in cards if card.batch) == rotting

    def where(batch: str) -> OnRound:
        found = on_round(garden, load_handbook(), batch, on=ON)
        assert found is not None
        return found

    shown = [card.batch.batch for place in _round(garden).places for card in place.cards if card.batch]
    assert [(where(batch).n, where(batch).m) for batch in shown] == [(k, 4) for k in (1, 2, 3, 4)]
    assert _round(garden).n_need == 4
    assert where(rotting).next_batch == shown[1]
    last_here = shown[2]
    assert last_here in calm
    assert where(last_here).next_place == "mist-1"
    assert where(far).next_place == "mist-1"
    services.record_look(garden=garden, by=grower, now=now, batch=rotting, on=ON)
    assert (where(rotting).n, where(rotting).m, where(shown[1]).n) == (1, 4, 2)


def test_a_place_noted_in_passing_does_not_lengthen_the_round(
    garden: Garden, grower: Member, now: datetime
) -> None:
    Plant.rows.of(garden).delete()
    due = stick(garden, grower, now).batch
    quiet = stick(garden, grower, now, stuck_on=date(2025, 10, 15)).batch
    record_nothing_to_note(garden=garden, by=grower, now=now, on=ON, batches=[quiet], entry_id=FORM)
    found = on_round(garden, load_handbook(), due, on=ON)
    assert found is not None
    assert (found.n, found.m) == (1, 1)


def test_a_long_round_shows_some_of_each_place(garden: Garden, grower: Member, now: datetime) -> None:
    Plant.rows.of(garden).delete()
    for _ in range(CARDS):
        stick(garden, grower, now, stuck_on=date(2025, 10, 10))
    stick(garden, grower, now, place="frame-1", stuck_on=date(2025, 10, 10))
    _refresh(garden, now)
    mist, frame = _round(garden).places
    assert mist.n_hidden == CARDS - CARDS // 2
    assert frame.n_hidden == 0
    (alone,) = _round(garden, place="mist-1", start=CARDS - 6).places
    assert (len(alone.cards), alone.next_start) == (6, None)


def test_nothing_to_note_is_saved_once(garden: Garden, grower: Member, now: datetime) -> None:
    due = stick(garden, grower, now)
    batches = [stick(garden, grower, now, stuck_on=date(2025, 10, 15)).batch for _ in range(3)]
    stick(garden, grower, now, stuck_on=ON)
    garden.refresh_from_db()
    assert sorted(to_note_at(garden, load_handbook(), "mist-1", on=ON)) == sorted(batches)
    (mist,) = [place for place in _round(garden).places if place.place == "mist-1"]
    assert [card.batch.batch for card in mist.cards if card.batch] == [due.batch]
    assert mist.n_here == mist.n_batches_to_do + mist.n_to_note + mist.n_new == 5
    for _ in range(2):
        looks = record_nothing_to_note(
            garden=garden, by=grower, now=now, on=ON, batches=batches, entry_id=FORM
        )
        assert len(looks) == 3
    assert sorted(state.n_looks for state in selectors.states_of_open_batches(garden)) == [0, 0, 1, 1, 1]
    garden.refresh_from_db()
    assert to_note_at(garden, load_handbook(), "mist-1", on=ON) == []
    assert _round(garden).n_looked == 3


def test_a_reader_notes_nothing(garden: Garden, grower: Member, reader: Member, now: datetime) -> None:
    batch = stick(garden, grower, now)
    with pytest.raises(NotAllowed):
        record_nothing_to_note(garden=garden, by=reader, now=now, on=ON, batches=[batch.batch], entry_id=FORM)


def _learn(garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    garden.refresh_from_db()
    assert learn(garden, load_handbook(), now=now, anew=True)


def test_once_more_was_learned_every_open_batch_is_worked_out_anew(
    garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = stick(garden, grower, now)
    stick(garden, grower, now)
    services.record_look(
        garden=garden, by=grower, now=now, batch=first.batch, on=date(2025, 10, 15), n_rooted=9, n_lost=1
    )
    _refresh(garden, now)
    _learn(garden, now, monkeypatch)
    assert _refresh(garden, now) == 2
    assert _refresh(garden, now) == 0


def test_until_then_a_page_tells_what_was_worked_out_and_does_not_remember_it(
    garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    batch = stick(garden, grower, now)
    services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=date(2025, 10, 15), n_rooted=9, n_lost=1
    )
    _refresh(garden, now)
    _learn(garden, now, monkeypatch)
    batches = selectors.states_of_open_batches(garden)
    before = told_batches(garden, load_handbook(), batches, on=ON)[batch.pk]
    assert before.is_older
    assert _round(garden).n_working == 0
    _refresh(garden, now)
    after = told_batches(garden, load_handbook(), batches, on=ON)[batch.pk]
    assert not after.is_older
    assert after.curve != before.curve
    curves = [card.curve for place in _round(garden).places for card in place.cards if card.batch]
    assert curves == [after.curve] * len(curves)
