"""Programmes for page tests: what is told of one, as the helper keeps it, made by hand."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from slipwright.craft.said import Said
from slipwright.records.answers.sayings import put_away
from slipwright.records.models import Garden, PlanState, SeasonPlan, Taxon, Want
from slipwright.records.packed_plan import packed_content
from slipwright.records.selectors.plans import mark_of_plan

#: the Monday the tests stand on
MONDAY = date(2025, 10, 20)
ROSE = "Rosa 'Pale Ferry'"


def want_told(n: int = 0, **values: Any) -> dict[str, Any]:
    """A want with its bar, its curve and its batches."""
    days = [MONDAY + timedelta(weeks=4 * i) for i in range(13)]
    return {
        "want": "roses-27",
        "taxon": ROSE,
        "note": "",
        "n_wanted": 40,
        "ready_by": "2027-04-01",
        "ready_as": "established",
        "assurance": 0.8,
        "promised": 0.61,
        "promised_planned": 0.8,
        "state": "near",
        "ready": {"p10": 28, "p50": 42, "p90": 55, "planned": 33, "short_by": 7},
        "standing": None,
        "curve": [
            {"on": day.isoformat(), "p10": i, "p50": 2 * i, "p90": 3 * i} for i, day in enumerate(days)
        ],
        "stopped_by": [
            {"limit": "bench", "rows": [], "alone": False, "why": put_away(Said("room for containers"))}
        ],
        "value_each": 5.0,
        "is_value_stated": False,
        "lines": [n],
        **values,
    }


def line_told(n: int = 0, week: date = MONDAY, **values: Any) -> dict[str, Any]:
    """A batch of the programme."""
    return {
        "n": n,
        "id": f"roses-27/{n}",
        "week": week.isoformat(),
        "stick_on": (week + timedelta(days=2)).isoformat(),
        "want": "roses-27",
        "taxon": ROSE,
        "wood": "semi-hardwood",
        "cutting": "tip",
        "method": "rose-autumn",
        "cover": "mist",
        "plant": "rose-gate",
        "n_to_stick": 24,
        "n_containers": 4,
        "container": "pot-1l",
        "n_per_container": 6,
        "cells": None,
        "medium": "half-and-half",
        "litres": 4.0,
        "parts": [{"name": "perlite", "litres": 2.2}, {"name": "vermiculite", "litres": 2.2}],
        "auxin": "iba",
        "auxin_form": "quick-dip",
        "auxin_mg_per_l": 1000,
        "dip_ml": 12,
        "labels": 5,
        "hours": 1.2,
        "setup_h": 0.25,
        "cost": 3.4,
        "shoots": [{"plant": "rose-gate", "place": "frame-1", "n_shoots": 12, "n_bundles": 0, "n_over": 12}],
        "length_mm": [75, 125],
        "n_nodes": [2, 4],
        "leaves": "reduced",
        "wound": False,
        "p_rooted": {"p10": 0.4, "p50": 0.6, "p90": 0.8},
        "look_on": (week + timedelta(days=14)).isoformat(),
        "pot_from": (week + timedelta(days=42)).isoformat(),
        "window": {"opens_on": "2025-08-15", "closes_on": "2025-10-31"},
        "why": put_away(Said("no other week of it gives nearly as many")),
        "is_changed": "",
        **values,
    }


def content(*, wants: int = 1, lines: int = 2, **values: Any) -> dict[str, Any]:
    """All that is told of a programme with so many wants and so many batches, one a week."""
    told = [want_told(i, want=f"want-{i:03}" if i else "roses-27", lines=[i % lines]) for i in range(wants)]
    batches = [
        line_told(i, MONDAY + timedelta(weeks=i * 40 // max(lines, 40)), want=told[i % wants]["want"])
        for i in range(lines)
    ]
    weeks = [MONDAY + timedelta(weeks=i) for i in range(60)]
    return {
        "version": 1,
        "on": MONDAY.isoformat(),
        "seed": 1,
        "currency": "USD",
        "made_seconds": 2.0,
        "change": {},
        "rests_on": {"n_batches": 61, "is_learned": True, "text": put_away(Said("Rests on 61 batches."))},
        "n_fresh": 20000,
        "cost": 40.0,
        "penalty": 7.0,
        "gap": 0.0,
        "wants": told,
        "lines": batches,
        "weeks": [
            {
                "week": week.isoformat(),
                "lines": [],
                "n_to_stick": 24,
                "n_containers": 4,
                "litres": 4.0,
                "dip_ml": 12,
                "labels": 5,
                "hours": 2.2,
                "hours_room": 6.0,
                "cost": 3.4,
                "is_full": ["bench"] if i == 1 else [],
            }
            for i, week in enumerate(weeks)
        ],
        "room": [
            {
                "kind": kind,
                "place": place,
                "weeks": [
                    {"week": week.isoformat(), "used": room * (1 if i == 1 else 0.5), "room": room}
                    for i, week in enumerate(weeks)
                ],
            }
            for kind, place, room in (
                ("bench", "mist", 2.0),
                ("bench", "tent", 3.0),
                ("nursery", "", 5.0),
                ("hours", "", 6.0),
            )
        ],
        "shoots": [{"plant": "rose-gate", "used": 24.0, "room": 24.0}],
        "binds": [
            {"text": put_away(Said("Mist: {n} m² more", n=0.2)), "week_first": None, "week_last": None}
        ],
        "changes": [
            {
                "key": "room:mist",
                "label": put_away(Said("Half as much mist again")),
                "change": {"kind": "room", "place": "mist", "factor": 1.5},
                "why": put_away(Said("it is full")),
                "expected": None,
            }
        ],
        "diff": [],
        "beside": None,
        "notes": [put_away(Said("A minute for each cutting."))],
        **values,
    }


def kept_plan(
    garden: Garden, now: datetime, told: dict[str, Any] | None = None, *, used: bool = False, **columns: Any
) -> SeasonPlan:
    """Keep a programme as the helper would, used or not; what it is for is wanted."""
    _wanted(garden, told or content())
    kept: dict[str, Any] = {
        "state": PlanState.MADE,
        "made_at": now,
        "mark": mark_of_plan(Garden.objects.get(pk=garden.pk)),
        "content": packed_content(told or content()),
        "used_at": now if used else None,
    }
    plan = SeasonPlan.rows.create(garden=garden, on=MONDAY, asked_at=now, **{**kept, **columns})
    if used:
        Garden.objects.filter(pk=garden.pk).update(plan=plan)
        garden.plan = plan
    return plan


def _wanted(garden: Garden, told: dict[str, Any]) -> None:
    taxa = {taxon.taxon: taxon for taxon in Taxon.rows.of(garden)}
    known = set(Want.rows.of(garden).values_list("want", flat=True))
    Want.rows.bulk_create(
        Want(
            garden=garden,
            want=one["want"],
            taxon=taxa[one["taxon"]],
            n_wanted=one["n_wanted"],
            ready_by=date.fromisoformat(one["ready_by"]),
            ready_as=one["ready_as"],
            assurance=Decimal(str(one["assurance"])),
        )
        for one in told["wants"]
        if one["want"] not in known and one["taxon"] in taxa
    )
