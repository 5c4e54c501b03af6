"""Making entries for tests, through the services."""

from __future__ import annotations

import hashlib
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from slipwright.records import services
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Member, Sticking
from slipwright.records.rules import picture_name

STUCK_ON = date(2025, 10, 1)


def stick(garden: Garden, by: Member, now: datetime, *, n_stuck: int = 20, **columns: Any) -> Sticking:
    """Stick one batch of roses, or of what ``columns`` say."""
    lot: services.Lot = {
        "taxon": "Rosa 'Pale Ferry'",
        "stuck_on": STUCK_ON,
        "n_stuck": n_stuck,
        "wood": "semi-hardwood",
        "place": "mist-1",
    }
    lot.update(columns)  # type: ignore[typeddict-item]
    return services.record_sticking(garden=garden, by=by, now=now, lots=[lot])[0]


def every_kind_of_entry(garden: Garden, by: Member, now: datetime, *, picture: bytes = b"") -> Sticking:
    """Add one entry of each kind at least; return the batch most are about.

    Without the bytes of a ``picture`` its photo names one that is not there.
    """
    who: dict[str, Any] = {"garden": garden, "by": by, "now": now}
    batch = stick(
        garden,
        by,
        now,
        plant="rose-gate",
        method="rose-autumn",
        ripeness=Decimal("0.35"),
        length_mm=Decimal("112.5"),
        auxin="iba",
        auxin_form="talc",
        auxin_mg_per_kg=Decimal(3000),
        container="pot-1l",
        n_per_container=7,
        medium="half-and-half",
        want="roses-27",
        note="cut in the cool – l’après-midi",
    )
    on = date(2025, 10, 15)
    services.record_look(**who, batch=batch.batch, on=on, n_rooted=5, n_lost=1, signs=["callus"])
    services.record_potting(**who, batch=batch.batch, on=on, n_potted=4, container="pot-1l")
    services.record_outcome(**who, batch=batch.batch, on=on, ready_as="potted", n_reached=4)
    services.record_act(**who, on=on, act="move", batch=batch.batch, to_place="frame-1")
    services.record_act(**who, on=on, act="water", place="frame-1", amount=Decimal("2.5"), unit="l")
    services.record_stage(**who, plant="rose-gate", on=on, bbch=67)
    services.record_firmness(**who, plant="rose-gate", on=on, firmness_tip=1, firmness_mid=3)
    services.record_bed(**who, place="mist-1", at=now, seen="leaves-dry")
    services.record_reading(**who, place="mist-1", at=now, air_c=Decimal("-0.5"), source="glass")
    note = services.record_note(**who, about=batch.batch, at=now, text="line one\nline two")
    digest = hashlib.sha256(picture).hexdigest() if picture else "5e" * 32
    if picture:
        pictures.write(pictures.folder_of(garden.garden) / picture_name(digest), picture)
    services.record_photo(**who, about=batch.batch, at=now, file_sha256=digest, sent_sha256="a7" * 32)
    services.withdraw(**who, withdraws=note.entry_id, reason="wrong batch", at=now)
    return batch
