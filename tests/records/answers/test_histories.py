"""Every batch of a garden as the two clocks learn from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings

from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers.histories import genus_of, history_of, record_of, records_of
from slipwright.records.answers.history_mark import mark_of
from slipwright.records.columns import TABLES
from slipwright.records.models import Garden, Member, Sticking, Taxon
from slipwright.rooting.counts import LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.page_prior import offset_of
from tests.databases import Database, Templates
from tests.records.conftest import small_garden
from tests.records.making import STUCK_ON, every_kind_of_entry, stick
from tests.records.tables.folders import dumped, the_garden
from tests.records.tables.random_gardens import Rows, as_csv, gardens
from tests.records.tables.test_round_trip import loaded_from

ON = date(2025, 10, 15)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def _history(garden: Garden | None = None) -> list[BatchRecord]:
    return history_of(garden or the_garden(), load_handbook())


def _facts(who: dict[str, Any], **columns: Any) -> Cuttings:
    """Stick a batch and return what the clocks are told of it."""
    batch = stick(**who, **columns)
    return next(one.cuttings for one in _history(who["garden"]) if one.kind.batch == batch.batch)


@pytest.mark.parametrize(
    ("columns", "ripeness"),
    [
        ({"ripeness": Decimal("0.35"), "part": "lower"}, 0.35),
        ({"part": "upper"}, 0.2),
        ({"part": "middle"}, 0.5),
        ({"part": "lower"}, 0.8),
        ({"part": "mixed"}, None),
        ({}, None),
    ],
)
def test_ripeness_is_the_value_else_that_of_the_part(
    who: dict[str, Any], columns: dict[str, Any], ripeness: float | None
) -> None:
    assert _facts(who, **columns).ripeness == ripeness


@pytest.mark.parametrize(
    ("columns", "told"),
    [
        ({}, (None, None)),
        ({"auxin": "none"}, ("none", 0.0)),
        ({"auxin": "iba", "auxin_form": "quick-dip", "auxin_mg_per_l": 1000}, ("dip", 1000.0)),
        ({"auxin": "naa", "auxin_form": "gel", "auxin_mg_per_l": 2000}, ("dip", 2000.0)),
        ({"auxin": "k-iba", "auxin_form": "quick-dip", "auxin_mg_per_l": 1000}, ("dip", 842.2)),
        ({"auxin": "iba", "auxin_form": "soak", "auxin_mg_per_l": 50}, ("soak", 50.0)),
        ({"auxin": "iba", "auxin_form": "talc", "auxin_mg_per_kg": 8000}, ("talc", 8000.0)),
        ({"auxin": "iba", "auxin_mg_per_kg": 8000}, ("talc", 8000.0)),
        ({"auxin": "iba", "auxin_form": "talc", "auxin_mg_per_l": 8000}, ("talc", None)),
        ({"auxin": "iba", "auxin_form": "quick-dip"}, ("dip", None)),
        ({"auxin": "iba"}, (None, None)),
        (
            {"auxin": "iba", "auxin_form": "quick-dip", "auxin_mg_per_l": 1000}
            | {"auxin2": "k-naa", "auxin2_mg_per_l": 500},
            ("dip", 1415.1),
        ),
        (
            {"auxin": "iba", "auxin_form": "quick-dip", "auxin_mg_per_l": 1000, "auxin2": "naa"},
            ("dip", None),
        ),
    ],
)
def test_hormone_is_told_by_its_way_and_strength_as_acid(
    who: dict[str, Any], columns: dict[str, Any], told: tuple[str | None, float | None]
) -> None:
    cuttings = _facts(who, **columns)
    strength = cuttings.strength and round(cuttings.strength, 1)
    assert (cuttings.auxin, strength) == told


def test_a_batchs_own_cover_and_warmth_come_before_its_places(who: dict[str, Any], garden: Garden) -> None:
    services.edit_reference(**who, table="places", key=("frame-1",), changes={"medium_temp_c": Decimal(12)})
    own = _facts(who, place="frame-1", cover="open", medium_temp_c=Decimal("18.5"))
    assert (own.cover, own.warmth_c) == ("open", 18.5)
    by_place = _facts(who, place="frame-1")
    assert (by_place.cover, by_place.warmth_c) == ("tent", 12.0)
    nowhere = _facts(who, place="")
    assert (nowhere.cover, nowhere.warmth_c) == (None, None)
    services.record_reading(**who, place="frame-1", at=datetime(2025, 10, 2, tzinfo=UTC), medium_c=Decimal(9))
    assert {one.cuttings.warmth_c for one in _history()} == {9.0, None}


def test_its_place_when_stuck_counts_not_where_it_was_moved_to(who: dict[str, Any]) -> None:
    batch = stick(**who)
    services.record_act(**who, on=ON, act="move", batch=batch.batch, to_place="frame-1")
    assert _history()[0].cuttings.cover == "mist"


def test_what_was_done_to_the_cuttings_is_told(who: dict[str, Any]) -> None:
    done = _facts(
        who,
        cutting="heel",
        leaves="reduced",
        wound="yes",
        stored="cool",
        n_nodes=4,
        length_mm=Decimal("112.5"),
        wood="hardwood",
    )
    assert (done.form, done.leaves, done.wounded, done.stored) == ("heel", "reduced", True, True)
    assert (done.n_nodes, done.length_mm, done.wood) == (4, 112.5, "hardwood")
    plain = _facts(who, wound="no", stored="no", length_mm=Decimal(0))
    assert (plain.wounded, plain.stored, plain.n_nodes, plain.length_mm) == (False, False, None, None)


def test_form_and_leaves_nobody_wrote_down_are_those_of_the_handbook(who: dict[str, Any]) -> None:
    leaf = load_handbook().page_of("Rosa").woods["hardwood"]  # type: ignore[union-attr]
    bare = _facts(who, wood="hardwood")
    assert (bare.leaves, bare.form) == (leaf.leaves, leaf.cutting)
    assert bare.usual is not None
    assert bare.usual.leaves == leaf.leaves


def test_a_spent_shoot_costs_what_the_page_says_else_a_little(who: dict[str, Any], garden: Garden) -> None:
    page = load_handbook().page_of("Rosa")
    assert page is not None
    Taxon.rows.create(garden=garden, taxon="Xanthoceras sorbifolium", rights="none")
    assert load_handbook().page_of("Xanthoceras sorbifolium") is None
    assert _facts(who, shoot="spent").spent == page.bloom.spent_cost.value
    assert _facts(who, shoot="vegetative").spent == 1.0
    unknown = _facts(who, shoot="spent", taxon="Xanthoceras sorbifolium")
    assert (unknown.spent, unknown.bloom, unknown.usual) == (0.85, None, None)


def test_the_usual_medium_and_container_are_the_reference(who: dict[str, Any]) -> None:
    services.add_reference(**who, table="media", row={"medium": "sand", "parts": "sand:1"})
    services.add_reference(**who, table="media", row={"medium": "bark", "parts": "bark:1"})
    for medium in ("sand", "half-and-half", "half-and-half", ""):
        stick(**who, medium=medium, container="pot-1l")
    assert [one.cuttings.medium for one in _history()].count("sand") == 1
    assert {one.cuttings.medium for one in _history()} == {"", "sand"}
    assert {one.cuttings.container for one in _history()} == {""}
    for _ in range(2):
        stick(**who, medium="bark")
    assert {one.cuttings.medium for one in _history()} == {"", "sand", "half-and-half"}


def test_a_batch_stands_under_genus_taxon_wood_and_year(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who)
    leaf = load_handbook().page_of("Rosa").woods["semi-hardwood"]  # type: ignore[union-attr]
    (one,) = _history()
    assert one.kind.path[-1][1:] == ("Rosa", "Rosa 'Pale Ferry'", "semi-hardwood", "2025", batch.batch)
    assert one.kind.offset == offset_of(leaf, "semi-hardwood")


def test_a_southern_season_is_named_by_the_year_its_summer_ends_in(
    who: dict[str, Any], garden: Garden
) -> None:
    Garden.objects.filter(pk=garden.pk).update(latitude_deg=Decimal("-41"))
    for day in (date(2025, 10, 1), date(2025, 3, 1)):
        stick(**who, stuck_on=day)
    assert [one.kind.season for one in _history()] == ["2025", "2026"]


@pytest.mark.parametrize(
    ("taxon", "genus"),
    [
        ("Rosa 'Pale Ferry'", "Rosa"),
        ("× Cuprocyparis leylandii", "Cuprocyparis"),
        ("×Cuprocyparis leylandii", "Cuprocyparis"),
        ("+ Laburnocytisus", "Laburnocytisus"),
        ("Lavandula × intermedia", "Lavandula"),
    ],
)
def test_the_genus_is_the_first_word_without_the_sign_of_a_hybrid(taxon: str, genus: str) -> None:
    assert genus_of(taxon) == genus


def test_looks_come_in_order_with_all_that_was_counted(who: dict[str, Any]) -> None:
    batch = stick(**who).batch
    services.record_look(**who, batch=batch, on=ON, n_tried=4, n_tried_rooted=1, signs=["callus"])
    services.record_look(**who, batch=batch, on=date(2025, 10, 8), n_lost=1, n_waiting=19, cause="mould")
    services.record_potting(**who, batch=batch, on=ON, n_potted=2)
    (one,) = _history()
    assert (one.counts.stuck_on, one.counts.n_stuck, one.counts.n_potted) == (STUCK_ON, 20, 2)
    assert one.counts.looks[:2] == (
        LookCounts(date(2025, 10, 8), n_lost=1, n_waiting=19, cause="mould"),
        LookCounts(ON, n_tried=4, n_tried_rooted=1, signs=("callus",)),
    )


def test_of_two_looks_from_one_only_the_one_that_counts_is_learned_from(who: dict[str, Any]) -> None:
    batch = stick(**who).batch
    first = services.record_look(**who, batch=batch, on=date(2025, 10, 8), n_lost=1)
    for day, rooted in ((16, 7), (14, 5)):
        services.record_look(
            **who, batch=batch, on=date(2025, 10, day), n_rooted=rooted, after=first.entry_id
        )
    (one,) = _history()
    assert [(look.on.day, look.n_rooted) for look in one.counts.looks] == [(8, None), (16, 7)]


def test_what_was_taken_back_is_left_out(who: dict[str, Any], now: datetime) -> None:
    kept, slip = stick(**who), stick(**who)
    look = services.record_look(**who, batch=kept.batch, on=ON, n_rooted=3)
    for entry in (look, slip):
        services.withdraw(**who, withdraws=entry.entry_id, reason="wrong batch", at=now)
    (one,) = _history()
    assert (one.kind.batch, one.counts.looks) == (kept.batch, ())


def test_some_batches_alone_are_told_as_among_all(who: dict[str, Any], garden: Garden) -> None:
    batch = every_kind_of_entry(**who)
    stick(**who, medium="half-and-half", stuck_on=date(2025, 9, 1))
    stick(**who, taxon="Salvia rosmarinus", plant="sage-wall")
    every = {one.kind.batch: one for one in _history()}
    states = selectors.states_of_all_batches(garden)
    alone = {state.batch: record_of(garden, load_handbook(), state) for state in states}
    assert alone == every
    counts = selectors.counts_of(garden, states)
    handed = records_of(garden, load_handbook(), states, counts=counts)
    assert handed == {state.pk: every[state.batch] for state in states}
    assert batch.batch in every


def test_the_number_of_queries_does_not_grow_with_the_garden(who: dict[str, Any], garden: Garden) -> None:
    handbook = load_handbook()
    services.record_stage(**who, plant="rose-gate", on=date(2025, 5, 20), bbch=60)
    every_kind_of_entry(**who)
    with CaptureQueriesContext(connection) as few:
        history_of(garden, handbook)
    for day in range(1, 9):
        batch = stick(**who, stuck_on=date(2025, 9, day), plant="rose-gate", place="frame-1")
        services.record_look(**who, batch=batch.batch, on=ON, n_rooted=1)
    with CaptureQueriesContext(connection) as many:
        history_of(garden, handbook)
    assert len(few) == len(many) <= 6
    with CaptureQueriesContext(connection) as some:
        records_of(garden, handbook, selectors.states_of_open_batches(garden)[:3])
    assert len(some) <= 1 + 7


def test_another_gardens_batches_have_no_part(who: dict[str, Any], garden: Garden, now: datetime) -> None:
    stick(**who)
    other = small_garden("Quarry Steps Allotments")
    for _ in range(2):
        stick(other, Member.objects.get(garden=other, member="grower"), now)
    assert (len(_history(garden)), len(_history(other))) == (1, 2)


@given(gardens())
@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_history_of_a_garden_comes_back_the_same(templates: Templates, rows: Rows) -> None:
    with templates.copy("sqlite"):
        loaded_from({table.name: as_csv(table, rows[table.name]) for table in TABLES})
        before, tables = _history(), dumped(the_garden())
        assert len(before) == Sticking.rows.filter(state__withdrawn=False).count()
    with templates.copy("sqlite"):
        loaded_from({name.removesuffix(".csv"): data for name, data in tables.items()})
        assert _history() == before
        assert mark_of(_history()) == mark_of(before)


def test_both_databases_tell_the_same_history(
    who: dict[str, Any], garden: Garden, database: Database, templates: Templates
) -> None:
    every_kind_of_entry(**who)
    stick(**who, days_from_bloom=-12, length_mm=Decimal("0.1"), ripeness=Decimal("0.123456"))
    services.record_reading(
        **who, place="mist-1", at=datetime(2025, 10, 2, tzinfo=UTC), medium_c=Decimal("19.3")
    )
    before = _history()
    tables = {name.removesuffix(".csv"): data for name, data in dumped(garden).items()}
    with templates.copy("sqlite"):
        loaded_from(tables)
        assert _history() == before
        assert mark_of(_history()) == mark_of(before)


def test_the_mark_is_that_of_what_was_counted_in_any_order(who: dict[str, Any]) -> None:
    told, too, silent = stick(**who), stick(**who), stick(**who)
    services.record_look(**who, batch=told.batch, on=ON, n_rooted=3)
    services.record_look(**who, batch=too.batch, on=ON, n_waiting=18)
    services.record_look(**who, batch=told.batch, on=ON)
    services.record_look(**who, batch=silent.batch, on=ON, signs=["callus"])
    history = _history()
    mark = mark_of(history)
    assert (mark.n_batches, mark.n_looks, len(mark.data_hash)) == (2, 2, 64)
    assert mark_of(history[::-1]) == mark
    assert len({mark_of([one]).data_hash for one in history} | {mark.data_hash}) == 4
    assert mark_of([one for one in history if one.kind.batch != silent.batch]) == mark
    assert mark_of([]).n_batches == 0


def test_the_mark_changes_with_all_that_is_learned_from_and_with_nothing_else(who: dict[str, Any]) -> None:
    batch = stick(**who)
    services.record_look(**who, batch=batch.batch, on=ON, n_rooted=3, n_lost=1)
    (one,) = _history()
    (look,) = one.counts.looks
    mark = mark_of([one])

    def with_look(**columns: Any) -> BatchRecord:
        return replace(one, counts=replace(one.counts, looks=(replace(look, **columns),)))

    others = [
        with_look(n_rooted=4),
        with_look(n_lost=None),
        with_look(n_waiting=16),
        with_look(n_removed=0),
        with_look(n_tried=2, n_tried_rooted=1),
        with_look(on=date(2025, 10, 16)),
        with_look(cause="given-up"),
        replace(one, counts=replace(one.counts, n_stuck=21)),
        replace(one, counts=replace(one.counts, stuck_on=date(2025, 10, 2))),
        replace(one, cuttings=replace(one.cuttings, ripeness=0.3)),
        replace(one, cuttings=replace(one.cuttings, medium="sand")),
        replace(one, cuttings=replace(one.cuttings, usual=None)),
        replace(one, kind=replace(one.kind, season="2024")),
        replace(one, kind=replace(one.kind, offset=(0.1, 0.2))),
    ]
    marks = {mark_of([other]).data_hash for other in others}
    assert len(marks) == len(others)
    assert mark.data_hash not in marks
    same = [with_look(signs=("callus",), pot_weight="lighter", cause="mould")]
    same.append(replace(one, counts=replace(one.counts, n_potted=2)))
    assert {mark_of([other]) for other in same} == {mark}
