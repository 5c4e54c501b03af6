"""Young pots: what was potted, where it stands, less what was lost or has left."""

from __future__ import annotations

from datetime import date, datetime

from slipwright.records import services
from slipwright.records.models import Garden, Member, Place
from slipwright.records.selectors import young_pots
from tests.records.making import stick

ON = date(2025, 10, 15)


def _place(garden: Garden, name: str) -> int:
    return Place.rows.of(garden).get(place=name).pk


def test_potted_cuttings_stand_where_the_last_potting_put_them(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now, n_stuck=20)
    for n, place in ((5, "mist-1"), (4, "frame-1")):
        services.record_potting(
            garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_potted=n, place=place
        )
    assert young_pots(garden, on=ON) == {_place(garden, "frame-1"): 9}


def test_lost_and_given_away_leave_and_kept_stay(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now, n_stuck=20)
    services.record_potting(
        garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_potted=9, place="frame-1"
    )
    for fate, reached, lost in (("given", 3, 1), ("kept-as-stock", 2, 0), ("", 5, 0)):
        services.record_outcome(
            garden=garden,
            by=grower,
            now=now,
            batch=batch.batch,
            on=ON,
            ready_as="established",
            n_reached=reached,
            n_lost=lost,
            fate=fate,
        )
    assert young_pots(garden, on=ON) == {_place(garden, "frame-1"): 5}


def test_old_pots_and_pots_to_come_do_not_count(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now, n_stuck=20)
    services.record_potting(
        garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_potted=9, place="frame-1"
    )
    assert young_pots(garden, on=date(2025, 10, 14)) == {}
    assert young_pots(garden, on=date(2028, 1, 1)) == {}


def test_withdrawn_pottings_do_not_count(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now, n_stuck=20)
    potting = services.record_potting(
        garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_potted=9, place="frame-1"
    )
    services.withdraw(
        garden=garden, by=grower, now=now, withdraws=potting.entry_id, at=now, reason="other pot"
    )
    assert young_pots(garden, on=ON) == {}
