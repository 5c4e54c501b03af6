"""Reading where batches stand, and finding the one that was meant."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.records import selectors, services
from slipwright.records.errors import Ambiguous, NotFound
from slipwright.records.models import Garden, Member
from slipwright.records.selectors.batches import containers_for
from slipwright.rooting.counts import BatchCounts, LookCounts
from tests.records.conftest import small_garden
from tests.records.making import STUCK_ON, every_kind_of_entry, stick

ON = date(2025, 10, 15)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def test_a_batch_is_read_as_it_was_stuck_and_as_it_stands(who: dict[str, Any], garden: Garden) -> None:
    batch = every_kind_of_entry(**who)
    (now,) = selectors.states_of_open_batches(garden)
    assert (now.pk, now.batch, now.taxon, now.plant) == (
        batch.pk,
        batch.batch,
        "Rosa 'Pale Ferry'",
        "rose-gate",
    )
    assert (now.wood, now.method, now.container, now.medium, now.want) == (
        "semi-hardwood",
        "rose-autumn",
        "pot-1l",
        "half-and-half",
        "roses-27",
    )
    assert (now.ripeness, now.auxin_mg_per_kg, now.medium_temp_c) == (Decimal("0.35"), 3000, None)
    assert (now.n_stuck, now.n_rooted, now.n_lost, now.n_waiting, now.n_to_pot) == (20, 5, 1, 14, 1)
    assert (now.stuck_at, now.place, now.place_kind, now.walk_order) == ("mist-1", "frame-1", "frame", 2)
    assert (now.cover, now.cover_as_stuck, now.cover_now) == ("", "mist", "tent")
    assert (now.n_containers, now.flagged, now.ended_on) == (3, (), None)


def test_a_batches_own_cover_comes_before_its_places(who: dict[str, Any], garden: Garden) -> None:
    stick(**who, cover="open")
    (now,) = selectors.states_of_open_batches(garden)
    assert (now.cover_as_stuck, now.cover_now) == ("open", "open")


def test_they_come_in_the_order_of_the_walk(who: dict[str, Any], garden: Garden) -> None:
    for name, order in (("a shelf", None), ("b shelf", None), ("door", 0)):
        services.add_reference(
            **who, table="places", row={"place": name, "kind": "shelf", "walk_order": order}
        )
    nowhere = stick(**who, place="")
    walked = [
        stick(**who, place="door"),
        stick(**who, place="mist-1", stuck_on=date(2025, 9, 1)),
        stick(**who, place="mist-1", stuck_on=date(2025, 9, 2)),
        stick(**who, place="frame-1"),
    ]
    unordered = [stick(**who, place="a shelf"), stick(**who, place="b shelf")]
    assert [now.pk for now in selectors.states_of_open_batches(garden)] == [
        *[batch.pk for batch in walked],
        nowhere.pk,
        *[batch.pk for batch in unordered],
    ]


def test_what_has_ended_or_was_taken_back_is_left_out(who: dict[str, Any], garden: Garden) -> None:
    open_one, lost, slip = stick(**who), stick(**who), stick(**who)
    services.record_look(**who, batch=lost.batch, on=ON, n_lost=20)
    services.withdraw(**who, withdraws=slip.entry_id, reason="slip", at=who["now"])
    assert [now.pk for now in selectors.states_of_open_batches(garden)] == [open_one.pk]
    assert [batch.pk for batch in selectors.open_batches(garden)] == [open_one.pk]
    assert {now.pk for now in selectors.states_of_all_batches(garden)} == {open_one.pk, lost.pk}
    assert {now.pk for now in selectors.states_of_batches(garden, [slip])} == {slip.pk}


def test_another_gardens_batches_are_never_read(who: dict[str, Any], garden: Garden) -> None:
    other = small_garden("Tern Point")
    stranger = Member.objects.get(garden=other, member="grower")
    theirs = stick(other, stranger, who["now"], batch="THEIRS")
    services.record_look(garden=other, by=stranger, now=who["now"], batch="THEIRS", on=ON, n_rooted=1)
    assert selectors.states_of_open_batches(garden) == []
    assert selectors.states_of_batches(garden, [theirs]) == []
    assert selectors.looks_of(garden, [theirs.pk]) == {}
    with pytest.raises(NotFound):
        selectors.batch_by_code(garden, "THEIRS")


def test_the_number_of_queries_does_not_grow(who: dict[str, Any], garden: Garden) -> None:
    for _ in range(3):
        batch = stick(**who)
        services.record_look(**who, batch=batch.batch, on=ON)
    with CaptureQueriesContext(connection) as captured:
        batches = selectors.states_of_open_batches(garden)
        selectors.counts_of(garden, batches)
    assert len(captured) == 2


def test_counts_are_those_that_count(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who)
    say = who | {"batch": batch.batch}
    first = services.record_look(**say, on=date(2025, 10, 8), n_lost=1, cause="mould")
    services.record_look(**say, on=ON, after=first.entry_id, n_rooted=4, signs=["callus", "new-leaf"])
    services.record_look(**say, on=date(2025, 10, 14), after=first.entry_id, n_rooted=9)
    gone = services.record_look(**say, on=ON, n_lost=9)
    services.withdraw(**who, withdraws=gone.entry_id, reason="slip", at=who["now"])
    services.record_potting(**say, on=ON, n_potted=4)
    counts = selectors.counts_of(garden, selectors.states_of_open_batches(garden))
    assert counts[batch.pk] == BatchCounts(
        stuck_on=STUCK_ON,
        n_stuck=20,
        looks=(
            LookCounts(on=date(2025, 10, 8), n_lost=1, cause="mould"),
            LookCounts(on=ON, n_rooted=4, signs=("new-leaf", "callus")),
        ),
        n_potted=4,
    )
    (potting,) = selectors.pottings_of(garden, [batch.pk])[batch.pk]
    assert potting.n_potted == 4


def test_a_code_finds_its_batch_however_it_is_typed(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who)
    code = batch.batch
    for typed in (code, code.lower(), f"{code[:4]}-{code[4:]}", f" {code[:4]} {code[4:].lower()} "):
        assert selectors.batch_by_code(garden, typed).pk == batch.pk
    for typed in (code[:4], code[:4].lower()):
        assert selectors.batch_by_code(garden, typed).pk == batch.pk


def test_letters_that_look_like_numbers_are_read_as_them(who: dict[str, Any], garden: Garden) -> None:
    from slipwright.records import codes

    code = next(
        stem + codes.check_character(stem)
        for stem in (f"01{a}{b}01A" for a in "ABCD" for b in "EFGH")
        if codes.check_character(stem) in codes.ALPHABET
    )
    batch = stick(**who, batch=code)
    assert selectors.batch_by_code(garden, code.replace("0", "o").replace("1", "l")).pk == batch.pk
    assert selectors.batch_by_code(garden, code[:4].replace("0", "O").replace("1", "I")).pk == batch.pk


def test_ids_of_ones_own_are_found_too(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who, batch="Bench 2, tray 14")
    assert selectors.batch_by_code(garden, "Bench 2, tray 14").pk == batch.pk
    assert selectors.batch_by_code(garden, "bench 2, TRAY 14").pk == batch.pk


def test_first_four_find_only_what_has_not_ended(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who)
    services.record_look(**who, batch=batch.batch, on=ON, n_lost=20)
    with pytest.raises(NotFound, match="not ended"):
        selectors.batch_by_code(garden, batch.batch[:4])
    assert selectors.batch_by_code(garden, batch.batch).pk == batch.pk


def test_two_that_share_their_first_four_are_both_named(who: dict[str, Any], garden: Garden) -> None:
    stick(**who, batch="7K3FAAAA")
    stick(**who, batch="7K3FBBBB", taxon="Salvia rosmarinus")
    with pytest.raises(Ambiguous, match=r"7K3FAAAA.*Salvia rosmarinus") as caught:
        selectors.batch_by_code(garden, "7k3f")
    assert len(caught.value.found) == 2


def test_a_mistyped_code_says_so(who: dict[str, Any], garden: Garden) -> None:
    code = stick(**who).batch
    wrong = code[:-1] + ("2" if code[-1] != "2" else "3")
    with pytest.raises(NotFound, match="wrong"):
        selectors.batch_by_code(garden, wrong)
    with pytest.raises(NotFound):
        selectors.batch_by_code(garden, "no such thing")


@pytest.mark.parametrize(
    ("n_stuck", "each", "cells", "containers"),
    [(48, 1, 24, 2), (49, 1, 24, 3), (48, 2, 24, 1), (20, 7, None, 3), (20, None, 24, None)],
)
def test_cuttings_fill_the_cells_of_a_tray_before_the_next_tray(
    n_stuck: int, each: int | None, cells: int | None, containers: int | None
) -> None:
    assert containers_for(n_stuck, each, cells) == containers
