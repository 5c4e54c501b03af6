"""Pages asked for as a member of the small invented garden would ask."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
from django.test import Client, override_settings

from slipwright.records import services
from slipwright.records.models import Garden, Member, User
from tests.databases import Database
from tests.records.conftest import garden, grower, now, owner, reader, templates, volunteer

__all__ = ["garden", "grower", "now", "owner", "reader", "templates", "volunteer"]

#: the garden's today in every page test
TODAY = "2025-10-20"
PASSWORD = "heel and mallet 7"


@pytest.fixture(scope="session", autouse=True)
def _gathered(gathered_files: None) -> None:
    """Every page names style sheets."""


@pytest.fixture
def database(templates: Callable[..., object]) -> Iterator[Database]:
    """Give an empty database; the records' own tests cover both kinds."""
    with templates.copy("sqlite") as copy:  # type: ignore[attr-defined]
        yield copy


@pytest.fixture(autouse=True)
def _today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SLIPWRIGHT_TODAY", TODAY)


@pytest.fixture
def quick_hashes() -> Iterator[None]:
    """Hash passwords quickly: how slow the real hash is, is Django's to test."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture
def stranger() -> Client:
    """Give somebody who did not sign in."""
    return Client(HTTP_HOST="127.0.0.1")


@pytest.fixture
def code(database: Database) -> str:
    """Give the code of a first run."""
    return services.make_code(purpose="set-up", now=datetime.now(UTC), minutes=60)


@pytest.fixture
def orla(garden: Garden, owner: Member) -> User:
    """Give the owner as somebody who signs in with a password."""
    user = User.objects.create_user("orla", password=PASSWORD)
    owner.user = user
    owner.save()
    return user


@pytest.fixture
def as_member() -> Callable[[Member], Client]:
    """Give a function that signs a member in; the client's forms are checked for their token as real ones."""

    def sign_in(member: Member) -> Client:
        user = User.objects.create(username=f"{member.member}@{member.garden_id}")
        member.user = user
        member.save()
        client = Client(HTTP_HOST="127.0.0.1")
        client.force_login(user)
        session = client.session
        session["sure_at"] = datetime.now(UTC).isoformat()  # they came in just now
        session.save()
        return client

    return sign_in


@pytest.fixture
def client(garden: Garden, grower: Member, as_member: Callable[[Member], Client]) -> Client:
    """Give a signed-in grower."""
    return as_member(grower)
