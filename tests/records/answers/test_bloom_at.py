"""How near to bloom a plant was when its cuttings were stuck."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.bloom_at import Flowering, flowerings
from slipwright.records.answers.histories import history_of
from slipwright.records.models import Garden, Member, Taxon, WeatherDay
from tests.records.making import stick


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def _bloom(who: dict[str, Any], on: date, **columns: Any) -> float | None:
    batch = stick(**who, stuck_on=on, **columns)
    history = history_of(who["garden"], load_handbook())
    return next(one.cuttings.bloom for one in history if one.kind.batch == batch.batch)


def _seen(who: dict[str, Any], *stages: tuple[date, int], plant: str = "rose-gate") -> None:
    for on, bbch in stages:
        services.record_stage(**who, plant=plant, on=on, bbch=bbch)


@pytest.mark.parametrize(("days", "bloom"), [(0, 1.0), (-15, 0.5), (6, 0.8), (90, 0.0)])
def test_what_the_batch_says_comes_first(who: dict[str, Any], days: int, bloom: float) -> None:
    _seen(who, (date(2025, 6, 1), 60))
    found = _bloom(who, date(2025, 6, 1), plant="rose-gate", days_from_bloom=days)
    assert found == pytest.approx(bloom)


@pytest.mark.parametrize(
    ("on", "bloom"),
    [
        (date(2025, 5, 17), 0.5),
        (date(2025, 6, 1), 1.0),
        (date(2025, 6, 12), 1.0),
        (date(2025, 6, 30), 1.0),
        (date(2025, 7, 9), 0.7),
    ],
)
def test_else_what_was_seen_of_the_plant(who: dict[str, Any], on: date, bloom: float) -> None:
    _seen(who, (date(2025, 6, 1), 60), (date(2025, 6, 10), 65), (date(2025, 6, 30), 69))
    assert _bloom(who, on, plant="rose-gate") == pytest.approx(bloom)


def test_else_the_handbooks_months_averaged_over_what_is_not_known(who: dict[str, Any]) -> None:
    page = load_handbook().page_of("Rosa")
    assert page is not None
    opens = date(2025, *page.bloom.bloom.opens)
    before = _bloom(who, opens - timedelta(days=120))
    near, at = _bloom(who, opens - timedelta(days=15)), _bloom(who, opens)
    assert before == pytest.approx(0.0, abs=1e-3)
    assert near is not None
    assert at is not None
    assert 0.4 < near < at < 1.0


def test_a_plant_seen_to_begin_flowers_on_as_long_as_the_handbook_says(who: dict[str, Any]) -> None:
    unseen = _bloom(who, date(2025, 5, 8), plant="sage-wall", taxon="Salvia rosmarinus")
    first = date(2025, 5, 1)
    _seen(who, (first, 60), plant="sage-wall")
    seen = _bloom(who, date(2025, 5, 8), plant="sage-wall", taxon="Salvia rosmarinus")
    assert unseen is not None
    assert seen is not None
    assert seen > unseen
    assert seen > 0.9


def test_records_of_other_years_move_the_forecast(who: dict[str, Any]) -> None:
    page = load_handbook().page_of("Rosa")
    assert page is not None
    opens = date(2025, *page.bloom.bloom.opens)
    on = opens - timedelta(days=20)
    book = _bloom(who, on, plant="rose-gate")
    _seen(who, *[((opens - timedelta(days=25)).replace(year=year), 60) for year in (2022, 2023, 2024)])
    own = _bloom(who, on, plant="rose-gate")
    assert book is not None
    assert own is not None
    assert own > book + 0.2


def test_a_warm_spring_brings_it_nearer(who: dict[str, Any], garden: Garden) -> None:
    page = load_handbook().page_of("Rosa")
    assert page is not None
    on = date(2025, *page.bloom.bloom.opens) - timedelta(days=20)
    book = _bloom(who, on)
    first = date(2016, 1, 1)
    WeatherDay.rows.bulk_create(
        [
            WeatherDay(garden=garden, on=day, tmin_c=Decimal(low), tmax_c=Decimal(low + 10))
            for day in (first + timedelta(days=n) for n in range((date(2025, 12, 31) - first).days))
            for low in [8 if day.year == 2025 else 4]
        ]
    )
    warm = _bloom(who, on)
    assert book is not None
    assert warm is not None
    assert warm > book + 0.1


def test_without_page_or_records_it_is_not_known(who: dict[str, Any], garden: Garden) -> None:
    Taxon.rows.create(garden=garden, taxon="Xanthoceras sorbifolium", rights="none")
    rare: dict[str, Any] = {"taxon": "Xanthoceras sorbifolium"}
    assert _bloom(who, date(2025, 6, 1), **rare) is None
    services.add_reference(**who, table="plants", row={"plant": "yellowhorn", **rare})
    _seen(who, (date(2025, 5, 1), 60), (date(2025, 5, 20), 69), plant="yellowhorn")
    assert _bloom(who, date(2025, 9, 1), plant="yellowhorn", **rare) == 0.0
    assert _bloom(who, date(2024, 5, 10), plant="yellowhorn", **rare) is None


def test_a_flowering_ends_where_it_was_seen_over_or_long_not_seen() -> None:
    seen = [
        (date(2025, 5, 20), 60),
        (date(2025, 6, 10), 67),
        (date(2025, 6, 12), 69),
        (date(2025, 7, 12), 61),
        (date(2025, 10, 20), 65),
    ]
    assert flowerings(seen) == [
        Flowering(date(2025, 5, 20), date(2025, 6, 12), begin_seen=True, end_seen=True),
        Flowering(date(2025, 7, 12), date(2025, 7, 12), begin_seen=True, end_seen=False),
        Flowering(date(2025, 10, 20), date(2025, 10, 20), begin_seen=False, end_seen=False),
    ]


def test_beyond_an_end_nobody_saw_records_tell_nothing() -> None:
    (run,) = flowerings([(date(2025, 5, 20), 60)])
    assert run.days_from(date(2025, 5, 10)) == -10
    assert run.days_from(date(2025, 5, 20)) == 0
    assert run.days_from(date(2025, 6, 1)) is None
