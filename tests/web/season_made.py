"""A programme of the small invented garden, as it is kept: two lines of roses, one of rosemary."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from slipwright.records.models import Garden, SeasonPlan
from slipwright.records.packed_plan import packed_content

USED_AT = datetime(2025, 10, 19, 9, 0, tzinfo=UTC)


def line(n: int, **changes: Any) -> dict[str, Any]:
    """A line of the programme: 43 shoots of the gate rose for 120 cuttings under mist."""
    told: dict[str, Any] = {
        "n": n,
        "id": f"roses-27/{n}",
        "week": "2025-10-20",
        "stick_on": "2025-10-22",
        "want": "roses-27",
        "taxon": "Rosa 'Pale Ferry'",
        "wood": "semi-hardwood",
        "cutting": "piece",
        "method": "rose-autumn",
        "cover": "mist",
        "plant": "rose-gate",
        "n_to_stick": 120,
        "n_containers": 8,
        "container": "pot-1l",
        "n_per_container": 15,
        "cells": None,
        "medium": "half-and-half",
        "litres": 8.0,
        "parts": [{"name": "perlite", "litres": 4.4}, {"name": "vermiculite", "litres": 4.4}],
        "water_l": 3.5,
        "auxin": "iba",
        "auxin_form": "quick-dip",
        "auxin_mg_per_l": 1000,
        "auxin_mg_per_kg": None,
        "dip_ml": 14.0,
        "powder_g": None,
        "labels": 8,
        "hours": 2.5,
        "setup_h": 0.25,
        "hours_in_all": 4.0,
        "cost": 31.4,
        "shoots": [{"plant": "rose-gate", "place": "frame-1", "n_shoots": 43, "n_bundles": 1, "n_over": 18}],
        "length_mm": [100.0, 125.0],
        "n_nodes": [3.0, 4.0],
        "leaves": "reduced",
        "wound": False,
        "p_rooted": {"p10": 0.4, "p50": 0.62, "p90": 0.78},
        "look_on": "2025-10-29",
        "pot_from": "2025-12-03",
        "window": {"opens_on": "2025-09-01", "closes_on": "2025-11-10"},
        "why": "its wood is right",
        "is_changed": "",
    }
    return told | changes


def rosemary(n: int, **changes: Any) -> dict[str, Any]:
    """A line of rosemary tips in a tent, three weeks on."""
    told: dict[str, Any] = {
        "week": "2025-11-10",
        "stick_on": "2025-11-12",
        "taxon": "Salvia rosmarinus",
        "cutting": "tip",
        "method": "",
        "cover": "tent",
        "plant": "sage-wall",
        "n_to_stick": 24,
        "n_containers": 2,
        "n_per_container": 12,
        "auxin": "none",
        "auxin_form": "",
        "auxin_mg_per_l": None,
        "dip_ml": None,
        "labels": 2,
        "shoots": [{"plant": "sage-wall", "place": "", "n_shoots": None, "n_bundles": None, "n_over": None}],
    }
    return line(n, **(told | changes))


def week(monday: str, lines: list[int]) -> dict[str, Any]:
    """What is told of a week."""
    return {
        "week": monday,
        "lines": lines,
        "hours": 6.5,
        "hours_sticking": 2.5,
        "hours_room": 5.0,
        "is_full": [],
    }


def content(*lines: dict[str, Any]) -> dict[str, Any]:
    """What is kept of a programme."""
    found = list(lines) or [line(0), rosemary(1)]
    mondays = sorted({one["week"] for one in found})
    weeks = [week(monday, [one["n"] for one in found if one["week"] == monday]) for monday in mondays]
    return {"version": 1, "on": "2025-10-18", "lines": found, "weeks": weeks}


def in_use(garden: Garden, *lines: dict[str, Any]) -> SeasonPlan:
    """Keep a programme and use it."""
    plan = SeasonPlan.rows.create(
        garden=garden,
        on="2025-10-18",
        state="made",
        asked_at=USED_AT,
        made_at=USED_AT,
        used_at=USED_AT,
        mark="0 whatever",
        content=packed_content(content(*lines)),
    )
    Garden.objects.filter(pk=garden.pk).update(plan=plan)
    garden.plan = plan
    return plan
