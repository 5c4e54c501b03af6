"""An invented nursery of many wants, kept as a garden: everything a season's programme is made from.

Every name, number, cost and rate is made up.  60 taxa of the handbook's genera in turn; 5 stock plants of
each, of 120 to 400 shoots a season, half of which may go; wants of 20 to 600 plants (log-normal about 80) in
7 to 21 months, in all stages, with assurance .6 to .9, half of them of a stated value; standing batches of
the last ten months of 24 to 240 cuttings, looked at every other week, half for a want, with the shoots
they took; liners and trays of cells; benches, tents, frames and a nursery of known room; the hours of two
crews; costs; three years of daily weather.
"""

from __future__ import annotations

import math
import random
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from bench import filling
from slipwright.records import services
from slipwright.records.codes import new_code
from slipwright.records.columns import table_named
from slipwright.records.models import (
    Container,
    Cost,
    Garden,
    Hours,
    Look,
    Medium,
    Member,
    Method,
    Place,
    Plant,
    Sticking,
    Taxon,
    Want,
    WeatherDay,
)
from slipwright.records.numbering import hold, take_numbers
from slipwright.records.states import resum

N_TAXA, PLANTS_EACH, SEED = 60, 5, 2026
GENERA = (
    "Buxus", "Ficus", "Forsythia", "Fuchsia", "Hebe", "Hydrangea", "Lavandula", "Pelargonium",
    "Philadelphus", "Punica", "Rhododendron", "Ribes", "Rosa", "Salix", "Salvia", "Weigela",
)  # fmt: skip
#: name, mL, cells, length and width [mm]
CONTAINERS = (
    ("liner", 350, None, 90, 90),
    ("tray-84", 18, 84, 540, 280),
    ("tray-40", 50, 40, 540, 280),
)
#: name, wood, auxin form, strength in mg per L or kg, container, cover, minutes a cutting
METHODS = (
    ("tips-mist", "softwood", "quick-dip", 1000, "tray-84", "mist", "0.4"),
    ("tips-tent", "softwood", "talc", 1000, "tray-40", "tent", "0.5"),
    ("semi-mist", "semi-hardwood", "quick-dip", 2000, "tray-84", "mist", "0.5"),
    ("semi-tent", "semi-hardwood", "talc", 3000, "liner", "tent", "0.7"),
    ("hard-open", "hardwood", "talc", 8000, "liner", "open", "0.8"),
)
#: name, kind, cover, m2
PLACES = (
    ("mist-1", "bench", "mist", 30),
    ("mist-2", "bench", "mist", 30),
    ("tent-1", "bench", "tent", 40),
    ("frame-1", "frame", "open", 80),
    ("yard", "nursery", "", 320),
)
COSTS = (
    ("liner", "each", "0.12"),
    ("tray-84", "each", "1.90"),
    ("tray-40", "each", "1.40"),
    ("perlite", "litre", "0.12"),
    ("peat-free", "litre", "0.15"),
    ("label", "each", "0.03"),
    ("hormone", "each", "0.01"),
    ("labour", "hour", "14"),
)
STAGES = ("rooted", "potted", "weaned", "established", "finished")


def nursery(*, n_wants: int, n_standing: int, now: datetime) -> Garden:
    """Make the garden, and return it."""
    garden = services.make_garden(
        name="Saltmarsh Lane Nursery",
        latitude_deg=Decimal("41.1"),
        longitude_deg=Decimal("-72.4"),
        time_zone="America/New_York",
        owner="warden",
    )
    draws, on = random.Random(SEED), now.date()
    with transaction.atomic():
        held = hold(garden)
        _rooms(held, on)
        plants = _plants(held, draws)
        _weather(held, draws, on)
        wants = _wants(held, draws, n_wants, on)
        batches = _stick(held, draws, plants, wants, n_standing, now)
        _look(held, draws, batches, now)
        resum(held)
    return garden


def _rooms(held: Garden, on: date) -> None:
    for k, (place, kind, cover, room) in enumerate(PLACES):
        Place.rows.create(garden=held, place=place, kind=kind, cover=cover, room_m2=room, walk_order=k)
    mix = Medium.rows.create(garden=held, medium="mix", parts="perlite:1;peat-free:1")
    pots = {
        name: Container.rows.create(
            garden=held, container=name, volume_ml=volume, cells=cells, length_mm=length, width_mm=width
        )
        for name, volume, cells, length, width in CONTAINERS
    }
    for name, wood, form, strength, pot, cover, minutes in METHODS:
        amount = "auxin_mg_per_l" if form == "quick-dip" else "auxin_mg_per_kg"
        Method.rows.create(
            garden=held,
            method=name,
            wood=wood,
            auxin="iba",
            auxin_form=form,
            container=pots[pot],
            n_per_container=1,
            medium=mix,
            cover=cover,
            minutes_each=Decimal(minutes),
            **{amount: strength},
        )
    for first, last, hours in ((on, on + timedelta(700), 60), (on + timedelta(60), on + timedelta(240), 50)):
        Hours.rows.create(garden=held, from_on=first, to_on=last, hours_per_week=hours)
    for item, unit, cost in COSTS:
        Cost.rows.create(garden=held, item=item, unit=unit, cost=Decimal(cost))


def _plants(held: Garden, draws: random.Random) -> list[Plant]:
    found = []
    places = list(Place.rows.of(held))
    for k in range(N_TAXA):
        taxon = Taxon.rows.create(garden=held, taxon=f"{GENERA[k % len(GENERA)]} 'Number {k}'", rights="none")
        length, nodes = draws.randrange(250, 700), draws.randrange(8, 18)
        found += [
            Plant.rows.create(
                garden=held,
                plant=f"stock-{k}-{n}",
                taxon=taxon,
                place=draws.choice(places),
                shoots_per_season=draws.randrange(120, 400),
                max_share_taken=Decimal("0.5"),
                shoot_length_mm=length,
                nodes_per_shoot=nodes,
            )
            for n in range(PLANTS_EACH)
        ]
    return found


def _weather(held: Garden, draws: random.Random, on: date) -> None:
    stray, rows = 0.0, []
    for n in range(3 * 365, 0, -1):
        day = on - timedelta(days=n)
        stray = 0.8 * stray + draws.gauss(0, 2)
        mean = 11 - 11 * math.cos(2 * math.pi * (day.timetuple().tm_yday - 20) / 365) + stray
        low, high = (Decimal(round(mean + off, 1)).quantize(Decimal("0.1")) for off in (-5, 5))
        rows.append(WeatherDay(garden=held, on=day, tmin_c=low, tmax_c=high, source="invented"))
    WeatherDay.rows.bulk_create(rows, batch_size=500)


def _wants(held: Garden, draws: random.Random, n: int, on: date) -> list[Want]:
    taxa = list(Taxon.rows.of(held).order_by("pk"))
    return [
        Want.rows.create(
            garden=held,
            want=f"want-{k}",
            taxon=taxa[k % len(taxa)],
            n_wanted=min(max(round(draws.lognormvariate(math.log(80), 0.7)), 20), 600),
            ready_by=on + timedelta(days=draws.randrange(220, 640)),
            ready_as=draws.choices(STAGES, (2, 4, 2, 1, 3))[0],
            assurance=Decimal(draws.choice(("0.6", "0.7", "0.8", "0.9"))),
            value_each=Decimal(draws.randrange(10, 60)) / 10 if draws.random() < 0.5 else None,
        )
        for k in range(n)
    ]


def _stick(
    held: Garden, draws: random.Random, plants: list[Plant], wants: list[Want], n: int, now: datetime
) -> list[Sticking]:
    member = Member.objects.get(garden=held)
    methods = list(Method.rows.of(held).select_related("container", "medium"))
    places = {one.cover: one for one in Place.rows.of(held) if one.kind != "nursery"}
    mine: dict[int, list[Want]] = {}
    for want in wants:
        mine.setdefault(want.taxon_id, []).append(want)
    first, rows = take_numbers(held, n), []
    for k in range(n):
        plant, method = draws.choice(plants), draws.choice(methods)
        n_stuck = 12 * draws.randrange(2, 20)
        links: dict[str, Any] = {
            "taxon": plant.taxon,
            "plant": plant,
            "place": places[method.cover],
            "medium": method.medium,
            "method": method,
            "container": method.container,
            "by": member,
        }
        if draws.random() < 0.5 and mine.get(plant.taxon_id):
            links["want"] = draws.choice(mine[plant.taxon_id])
        plain: dict[str, Any] = {
            "batch": new_code(draws=draws),
            "stuck_on": now.date() - timedelta(days=draws.randrange(10, 300)),
            "n_stuck": n_stuck,
            "n_shoots": min(n_stuck // 4, 20),
            "n_per_container": 1,
            "wood": method.wood,
            "auxin": "iba",
            "auxin_form": method.auxin_form,
            "auxin_mg_per_l": method.auxin_mg_per_l,
            "auxin_mg_per_kg": method.auxin_mg_per_kg,
        }
        rows.append(
            filling._made(Sticking, table_named("batches"), held, links, plain, first + k, now, draws)
        )
    Sticking.rows.bulk_create(rows, batch_size=500)
    return list(Sticking.rows.of(held).order_by("number"))


def _look(held: Garden, draws: random.Random, batches: list[Sticking], now: datetime) -> None:
    member, seen = Member.objects.get(garden=held), []
    for batch in batches:
        waiting, rate = batch.n_stuck, draws.betavariate(4, 3)
        for age in range(14, min((now.date() - batch.stuck_on).days, 120), 14):
            coming = max(rate * math.exp(-(((age - 50) / 25) ** 2)) / 3, 0.0)
            rooted = sum(draws.random() < coming for _ in range(waiting))
            lost = sum(draws.random() < 0.03 for _ in range(waiting - rooted))
            waiting -= rooted + lost
            if rooted or lost:
                day = batch.stuck_on + timedelta(days=age)
                seen.append((batch, {"on": day, "n_rooted": rooted, "n_lost": lost}))
    first = take_numbers(held, len(seen))
    rows = [
        filling._made(
            Look, table_named("looks"), held, {"batch": batch, "by": member}, plain, first + k, now, draws
        )
        for k, (batch, plain) in enumerate(seen)
    ]
    Look.rows.bulk_create(rows, batch_size=500)
