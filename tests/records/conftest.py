"""A database for each test, and a small invented garden in it.

``database`` is an empty, migrated database; it comes once for SQLite and, where
``SLIPWRIGHT_TEST_POSTGRES_URL`` names a server, once more for PostgreSQL. ``templates.copy(vendor)``
gives further ones, for Hypothesis or for a second garden beside the first. A test of one kind only
says ``@pytest.mark.parametrize("database", ["sqlite"], indirect=True)``.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import transaction

from slipwright.records.models import (
    Container,
    Garden,
    Medium,
    Member,
    Method,
    Place,
    Plant,
    Taxon,
    Want,
)
from tests.databases import VENDORS, Database, Templates


@pytest.fixture(scope="session")
def templates(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Templates]:
    """Give the migrated templates of the session."""
    made = Templates(tmp_path_factory.mktemp("databases"))
    yield made
    made.drop()


@pytest.fixture(params=VENDORS)
def database(request: pytest.FixtureRequest, templates: Templates) -> Iterator[Database]:
    """Give an empty, migrated database."""
    if request.param not in VENDORS:
        pytest.skip("SLIPWRIGHT_TEST_POSTGRES_URL names no server")
    with templates.copy(request.param) as copy:
        yield copy


@pytest.fixture
def now() -> datetime:
    """Give the moment things are received at."""
    return datetime(2025, 10, 20, 15, 30, tzinfo=UTC)


@transaction.atomic
def small_garden(name: str = "Saltmarsh Lane Community Garden") -> Garden:
    """Make an invented garden with a few reference rows and one member of each role."""
    garden = Garden.objects.create(
        name=name,
        latitude_deg=Decimal("41.1"),
        longitude_deg=Decimal("-72.4"),
        time_zone="America/New_York",
        round_days=7,
    )
    for role in ("owner", "grower", "volunteer", "reader"):
        Member.objects.create(garden=garden, member=role, role=role)
    rose = Taxon.rows.create(garden=garden, taxon="Rosa 'Pale Ferry'", flowers="repeat", rights="none")
    sage = Taxon.rows.create(garden=garden, taxon="Salvia rosmarinus", rights="none")
    Taxon.rows.create(
        garden=garden, taxon="Lavandula 'Night Tide'", rights="protected", rights_until=date(2040, 12, 31)
    )
    mist = Place.rows.create(garden=garden, place="mist-1", kind="bench", cover="mist", walk_order=1)
    frame = Place.rows.create(garden=garden, place="frame-1", kind="frame", cover="tent", walk_order=2)
    Plant.rows.create(garden=garden, plant="rose-gate", taxon=rose, place=frame)
    Plant.rows.create(garden=garden, plant="sage-wall", taxon=sage)
    pot = Container.rows.create(garden=garden, container="pot-1l", volume_ml=1000)
    mix = Medium.rows.create(garden=garden, medium="half-and-half", parts="perlite:1;vermiculite:1")
    Method.rows.create(
        garden=garden,
        method="rose-autumn",
        wood="semi-hardwood",
        auxin="iba",
        auxin_form="talc",
        auxin_mg_per_kg=3000,
        container=pot,
        medium=mix,
        cover="mist",
    )
    Want.rows.create(
        garden=garden,
        want="roses-27",
        taxon=rose,
        n_wanted=40,
        ready_by=date(2027, 4, 1),
        ready_as="established",
        assurance=Decimal("0.8"),
    )
    assert mist.pk
    return garden


@pytest.fixture
def garden(database: Database) -> Garden:
    """Give a small invented garden."""
    return small_garden()


@pytest.fixture
def owner(garden: Garden) -> Member:
    """Give the owner of the garden."""
    return Member.objects.get(garden=garden, member="owner")


@pytest.fixture
def grower(garden: Garden) -> Member:
    """Give a grower of the garden."""
    return Member.objects.get(garden=garden, member="grower")


@pytest.fixture
def volunteer(garden: Garden) -> Member:
    """Give a volunteer of the garden."""
    return Member.objects.get(garden=garden, member="volunteer")


@pytest.fixture
def reader(garden: Garden) -> Member:
    """Give a reader of the garden."""
    return Member.objects.get(garden=garden, member="reader")
