"""Filling a garden for a measurement: right hashes, right states, by plain inserts in bulk."""

from __future__ import annotations

import random
import uuid
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from slipwright.records import services
from slipwright.records.canonical import Value, content, sha256
from slipwright.records.codes import new_code
from slipwright.records.columns import Table, table_named
from slipwright.records.models import Garden, Look, Medium, Member, Method, Place, Plant, Sticking, Taxon
from slipwright.records.numbering import hold, take_numbers
from slipwright.records.states import resum

CHUNK = 5_000
N_PLACES = 20
SEED = 2026


def fill(*, n_batches: int, n_looks: int, n_ended: int = 0, at_all: bool = False, now: datetime) -> Garden:
    """Make an invented garden with this many batches and looks, and return it.

    The looks are at the open batches; ``at_all`` spreads them over the ended ones too.
    """
    garden = services.make_garden(
        name="Saltmarsh Lane Community Garden",
        latitude_deg=Decimal("41.1"),
        longitude_deg=Decimal("-72.4"),
        time_zone="America/New_York",
        owner="warden",
    )
    draws = random.Random(SEED)
    with transaction.atomic():
        held = hold(garden)
        batches = _stick(held, draws, n_batches + n_ended, now)
        _look(held, draws, batches, n_ended, n_looks, now, at_all=at_all)
        resum(held)
    return garden


def _stick(held: Garden, draws: random.Random, n: int, now: datetime) -> list[Sticking]:
    member = Member.objects.get(garden=held)
    taxa = [
        Taxon.rows.create(garden=held, taxon=name, rights="none")
        for name in ("Rosa 'Pale Ferry'", "Salvia rosmarinus", "Ribes nigrum")
    ]
    places = [
        Place.rows.create(garden=held, place=f"bench-{k}", kind="bench", cover="mist", walk_order=k)
        for k in range(N_PLACES)
    ]
    plants = [Plant.rows.create(garden=held, plant=f"stock-{k}", taxon=taxon) for k, taxon in enumerate(taxa)]
    mix = Medium.rows.create(garden=held, medium="half-and-half", parts="perlite:1;vermiculite:1")
    way = Method.rows.create(garden=held, method="usual", wood="semi-hardwood", medium=mix)
    table = table_named("batches")
    first = take_numbers(held, n)
    rows = []
    for k in range(n):
        which = draws.randrange(len(taxa))
        links = {
            "taxon": taxa[which],
            "plant": plants[which],
            "place": draws.choice(places),
            "medium": mix,
            "method": way,
            "by": member,
        }
        plain: dict[str, Any] = {
            "batch": new_code(draws=draws),
            "stuck_on": now.date() - timedelta(days=draws.randrange(1, 90)),
            "n_stuck": 10_000,
            "wood": "semi-hardwood",
            "length_mm": Decimal(draws.randrange(75, 125)),
            "auxin": "iba",
            "auxin_form": "talc",
            "auxin_mg_per_kg": Decimal(3000),
        }
        rows.append(_made(Sticking, table, held, links, plain, first + k, now, draws))
    Sticking.rows.bulk_create(rows, batch_size=500)
    return list(Sticking.rows.of(held).order_by("number"))


def _look(
    held: Garden,
    draws: random.Random,
    batches: list[Sticking],
    n_ended: int,
    n: int,
    now: datetime,
    *,
    at_all: bool,
) -> None:
    table = table_named("looks")
    member = Member.objects.get(garden=held)
    first = take_numbers(held, n + n_ended)
    seen = batches if at_all else batches[n_ended:]
    rooted = dict.fromkeys((batch.pk for batch in batches), 0)
    lost = dict(rooted)
    for start in range(0, n, CHUNK):
        rows = []
        for k in range(start, min(start + CHUNK, n)):
            batch = seen[k % len(seen)]
            plain: dict[str, Any] = {
                "on": _between(batch.stuck_on, now.date(), draws),
                "n_rooted": draws.randrange(3),
                "n_lost": draws.randrange(2),
                "note": "a slug under the third pot" if draws.random() < 0.1 else "",
            }
            rooted[batch.pk] += plain["n_rooted"]
            lost[batch.pk] += plain["n_lost"]
            rows.append(
                _made(Look, table, held, {"batch": batch, "by": member}, plain, first + k, now, draws)
            )
        Look.rows.bulk_create(rows, batch_size=1000)
    ends = [
        _made(
            Look,
            table,
            held,
            {"batch": batch, "by": member},
            {
                "on": now.date(),
                "n_lost": batch.n_stuck - rooted[batch.pk] - lost[batch.pk],
                "n_lost_rooted": rooted[batch.pk],
            },
            first + n + k,
            now,
            draws,
        )
        for k, batch in enumerate(batches[:n_ended])
    ]
    Look.rows.bulk_create(ends, batch_size=1000)


def _between(start: date, end: date, draws: random.Random) -> date:
    return start + timedelta(days=draws.randrange((end - start).days + 1))


def _made(
    model: type[Any],
    table: Table,
    held: Garden,
    links: dict[str, Any],
    plain: dict[str, Any],
    number: int,
    now: datetime,
    draws: random.Random,
) -> Any:
    """Return an entry that is not saved yet, with the hash of what it says."""
    entry_id = str(uuid.UUID(int=draws.getrandbits(128), version=4))
    row: dict[str, Value] = {
        **plain,
        **{name: str(getattr(to, _KEYS.get(name, name))) for name, to in links.items()},
        "id": entry_id,
    }
    return model(
        **plain,
        **links,
        garden=held,
        entry_id=entry_id,
        number=number,
        received_at=now,
        sha256=sha256(content(table, str(held.garden), row)),
    )


_KEYS = {"by": "member"}
