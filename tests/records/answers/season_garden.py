"""A small garden furnished for a season: wants, counted shoots, trays, known room, hours and costs."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from slipwright.handbook import load_handbook
from slipwright.records.answers.programme.planning import GardenProgramme, programme_of_garden
from slipwright.records.models import (
    Container,
    Cost,
    Garden,
    Hours,
    Medium,
    Method,
    Place,
    Plant,
    Taxon,
    Want,
)
from slipwright.season.asked import Effort

HANDBOOK = load_handbook()
ON = date(2025, 10, 20)
ROSE, SAGE, LAVENDER = "Rosa 'Pale Ferry'", "Salvia rosmarinus", "Lavandula 'Night Tide'"
N_FRESH = 1_000


def furnish(garden: Garden) -> Garden:
    """Give a garden what a season is planned from."""
    taxa = {row.taxon: row for row in Taxon.rows.of(garden)}
    Plant.rows.of(garden).filter(plant="rose-gate").update(
        shoots_per_season=80, max_share_taken=Decimal("0.5"), shoot_length_mm=700, nodes_per_shoot=16
    )
    Plant.rows.create(
        garden=garden,
        plant="rose-shed",
        taxon=taxa[ROSE],
        place=Place.rows.of(garden).get(place="frame-1"),
        shoots_per_season=20,
        max_share_taken=Decimal("0.5"),
        shoot_length_mm=700,
        nodes_per_shoot=16,
    )
    for want, taxon, n, ready_as, due in (
        ("sage-26", SAGE, 60, "rooted", date(2026, 9, 1)),
        ("lavender-26", LAVENDER, 10, "potted", date(2026, 10, 1)),
    ):
        Want.rows.create(
            garden=garden,
            want=want,
            taxon=taxa[taxon],
            n_wanted=n,
            ready_by=due,
            ready_as=ready_as,
            assurance=Decimal("0.8"),
        )
    Place.rows.of(garden).update(room_m2=Decimal(2))
    Place.rows.create(garden=garden, place="yard", kind="nursery", room_m2=Decimal(5))
    tray = Container.rows.create(
        garden=garden, container="tray-24", volume_ml=60, cells=24, length_mm=360, width_mm=280
    )
    Method.rows.of(garden).update(n_per_container=6)
    Method.rows.create(
        garden=garden,
        method="sage-tips",
        wood="softwood",
        cutting="tip",
        auxin="k-iba",
        auxin_form="quick-dip",
        auxin_mg_per_l=1000,
        container=tray,
        medium=Medium.rows.of(garden).get(medium="half-and-half"),
        cover="mist",
        minutes_each=Decimal("0.5"),
    )
    # two crews in June; nobody wrote any hours down from August on
    Hours.rows.create(garden=garden, from_on=ON, to_on=date(2026, 7, 31), hours_per_week=7)
    Hours.rows.create(garden=garden, from_on=date(2026, 6, 1), to_on=date(2026, 7, 20), hours_per_week=14)
    for item, unit, cost in (
        ("pot-1l", "each", "0.60"),
        ("tray-24", "each", "1.20"),
        ("perlite", "litre", "0.15"),
        ("vermiculite", "litre", "0.20"),
        ("labour", "hour", "12"),
    ):
        Cost.rows.create(garden=garden, item=item, unit=unit, cost=Decimal(cost))
    garden.refresh_from_db()
    return garden


def programme(garden: Garden, *, on: date = ON, **more: Any) -> GardenProgramme:
    """Return the programme of a garden, on few draws."""
    return programme_of_garden(
        Garden.objects.get(pk=garden.pk),
        HANDBOOK,
        on=on,
        n_scenarios=400,
        n_fresh=N_FRESH,
        n_workers=0,
        effort=Effort(n_rounds=2),
        **({"kept": {}} | more),
    )
