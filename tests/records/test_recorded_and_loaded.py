"""What was recorded by hand comes out of the tables and goes into another garden as the same."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

from slipwright.records import services
from slipwright.records.contents import content_of
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import ENTRY_MODELS, BatchState, Garden, Member
from slipwright.records.states import COLUMNS
from slipwright.records.tables.dumping import dump
from slipwright.records.tables.loading import load
from tests.databases import Templates
from tests.records.making import every_kind_of_entry, stick
from tests.records.pictures import drawn

ON = date(2025, 10, 15)


def entries() -> dict[str, tuple[int, dict[str, Any]]]:
    return {
        f"{record.kind} {record.entry_id}": (record.number, content_of(record))
        for model in ENTRY_MODELS
        for record in model.rows.all()
    }


def states() -> dict[str, dict[str, Any]]:
    names = [name for name in COLUMNS if not name.endswith("_id")]
    return {
        row.pop("batch__batch"): row for row in BatchState.rows.values("batch__batch", "place__place", *names)
    }


def test_a_season_recorded_by_hand_travels_whole(
    garden: Garden, grower: Member, volunteer: Member, now: datetime, tmp_path: Path, templates: Templates
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    every_kind_of_entry(**who, picture=drawn())
    batch = stick(**who, n_stuck=30, note="=not a formula")
    say = who | {"batch": batch.batch, "by": volunteer}
    first = services.record_look(**say, on=date(2025, 10, 8), n_rooted=2, signs=["callus", "new-leaf"])
    services.record_look(**say, on=ON, after=first.entry_id, n_rooted=3, note="wet\r\nleaves")
    services.record_look(**say, on=ON, after=first.entry_id, n_rooted=4, n_waiting=11)
    services.record_potting(**say, on=date(2025, 10, 18), n_potted=9)
    stick(**who, from_batch=batch.batch, n_stuck=2)
    slip = stick(**who, n_stuck=5)
    services.withdraw(**who, withdraws=slip.entry_id, reason="never stuck", at=now)
    lot: services.Lot = {
        "taxon": "Lavandula 'Night Tide'",
        "stuck_on": ON,
        "n_stuck": 6,
        "wood": "softwood",
        "shoot": "budded",
    }
    services.record_sticking(**who, lots=[lot], already_done=True, ground="experiment")
    before = entries(), states()
    assert "two-looks-from-one;waiting-differs" in {row["flags"] for row in before[1].values()}
    dump(garden, tmp_path / "tables")
    with templates.copy("sqlite"):
        report = load(tmp_path / "tables", now=now)
        assert report.n_rejected == 0, report.rejected
        kept, stood = entries(), states()
        assert {key: content for key, (_, content) in kept.items()} == {
            key: content for key, (_, content) in before[0].items()
        }
        assert stood == before[1]
        assert selfcheck().ok
