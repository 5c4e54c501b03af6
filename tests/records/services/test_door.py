"""Codes that let in once, and the first person of a garden."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

import pytest

from slipwright.records import codes, services
from slipwright.records.errors import BadValue, Refused
from slipwright.records.models import Garden, Member, OneTimeCode, Plant, User
from slipwright.records.selectors import nobody_in_charge
from tests.databases import Database

GARDEN = {
    "name": "Saltmarsh Lane Community Garden",
    "latitude_deg": Decimal("41.2"),
    "longitude_deg": Decimal("-70.1"),
    "time_zone": "America/New_York",
}
PERSON = {"username": "orla", "password": "heel and mallet 7"}


@pytest.fixture
def orla(database: Database) -> User:
    return User.objects.create(username="orla")


def test_a_code_to_set_up_with_can_be_typed(database: Database, now: datetime) -> None:
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    assert len(code) == 8
    assert set(code) <= set(codes.ALPHABET)
    assert codes.tidy(code) == code


def test_a_way_in_cannot_be_tried_through(orla: User, now: datetime) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=now, minutes=5)
    assert len(code) >= 128 / 6


def test_only_the_hash_of_a_code_is_kept(database: Database, now: datetime) -> None:
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    kept = OneTimeCode.objects.values().get()
    assert code not in str(kept)
    assert len(kept["sha256"]) == 64


def test_a_code_lets_in_once(orla: User, now: datetime) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=now, minutes=5)
    assert services.spend_code(purpose="sign-in", code=code, now=now) == orla
    with pytest.raises(Refused):
        services.spend_code(purpose="sign-in", code=code, now=now)


def test_a_code_runs_out(orla: User, now: datetime) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=now, minutes=5)
    with pytest.raises(Refused):
        services.spend_code(purpose="sign-in", code=code, now=now + timedelta(minutes=5))
    assert services.spend_code(purpose="sign-in", code=code, now=now + timedelta(minutes=4)) == orla


def test_a_code_is_for_its_purpose_only(orla: User, now: datetime) -> None:
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    with pytest.raises(Refused):
        services.spend_code(purpose="sign-in", code=code, now=now)
    with pytest.raises(BadValue):
        services.make_code(purpose="sign-in", now=now, minutes=5)
    with pytest.raises(BadValue):
        services.make_code(purpose="set-up", user=orla, now=now, minutes=5)


def test_a_new_code_to_set_up_with_ends_the_one_before(database: Database, now: datetime) -> None:
    before = services.make_code(purpose="set-up", now=now, minutes=5)
    after = services.make_code(purpose="set-up", now=now + timedelta(seconds=1), minutes=5)
    later = now + timedelta(seconds=2)
    with pytest.raises(Refused):
        services.spend_code(purpose="set-up", code=before, now=later)
    services.spend_code(purpose="set-up", code=after, now=later)


def test_ended_codes_are_thrown_away_and_good_ones_kept(orla: User, now: datetime) -> None:
    spent = services.make_code(purpose="set-up", now=now, minutes=60)
    services.spend_code(purpose="set-up", code=spent, now=now)
    other = User.objects.create(username="finn")
    services.make_code(purpose="sign-in", user=other, now=now, minutes=1)
    good = services.make_code(purpose="sign-in", user=orla, now=now, minutes=60)
    later = now + timedelta(minutes=2)
    assert services.clear_codes(now=later) == 2
    assert services.spend_code(purpose="sign-in", code=good, now=later) == orla


def test_setting_up_is_all_or_nothing(database: Database, now: datetime) -> None:
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    bad = {"place": "Tent 1", "kind": "cupboard"}
    with pytest.raises(BadValue) as refused:
        services.set_up_garden(code=code, now=now, garden=GARDEN, place=bad, **PERSON)
    assert refused.value.column == "kind"
    assert not User.objects.exists()
    assert not Garden.objects.exists()
    member = services.set_up_garden(
        code=code,
        now=now,
        garden=GARDEN,
        place={"place": "Tent 1", "kind": "shelf"},
        taxon={"taxon": "Salvia rosmarinus", "rights": "unknown"},
        plant={"plant": "Rosemary", "taxon": "Salvia rosmarinus", "place": "Tent 1"},
        **PERSON,
    )
    assert member.role == "owner"
    assert Plant.rows.of(member.garden).get().plant == "Rosemary"


def test_only_the_first_person_sets_up(orla: User, owner: Member, now: datetime) -> None:
    owner.user = orla
    owner.save()
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    with pytest.raises(Refused, match="in charge"):
        services.set_up_garden(code=code, now=now, garden=GARDEN, username="eve", password="mallet & heel 7")
    assert OneTimeCode.objects.get().spent_at is None


def test_somebody_let_in_before_any_owner_leaves_the_first_run_open(
    orla: User, volunteer: Member, owner: Member, now: datetime
) -> None:
    volunteer.user = orla
    volunteer.save()
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    with pytest.raises(BadValue, match="username: is taken"):
        services.take_over(code=code, now=now, owner=owner.pk, **PERSON)
    ada = PERSON | {"username": "ada"}
    assert services.take_over(code=code, now=now, owner=owner.pk, **ada) == owner
    assert not nobody_in_charge()


def test_an_owner_of_loaded_tables_is_taken_over_once(garden: Garden, owner: Member, now: datetime) -> None:
    code = services.make_code(purpose="set-up", now=now, minutes=5)
    reader = Member.objects.get(member="reader")
    with pytest.raises(BadValue):
        services.take_over(code=code, now=now, owner=reader.pk, **PERSON)
    taken = services.take_over(code=code, now=now, owner=owner.pk, **PERSON)
    assert taken.user is not None
    assert taken.user.check_password(PERSON["password"])
    assert Member.objects.filter(user=None).count() == 3
