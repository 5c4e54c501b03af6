"""One pass of the helper: forecasts, the log of writes, ended codes and sessions."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.db import connection

from slipwright.records import services
from slipwright.records.keeping import helper
from slipwright.records.keeping.helper import Helper
from slipwright.records.models import Garden, OneTimeCode, PlantSeason
from tests.databases import Database
from tests.records.conftest import small_garden

Refresh = Callable[..., int]


@pytest.fixture
def refreshing(monkeypatch: pytest.MonkeyPatch) -> Callable[[Refresh], None]:
    """Put a function in the place of what renews forecasts."""

    def put(refresh: Refresh) -> None:
        told: Any = ModuleType("slipwright.records.answers.told")
        told.refresh = refresh
        seasons: Any = ModuleType("slipwright.records.answers.seasons")
        seasons.refresh = lambda *_, **__: 0
        for one in (told, seasons):
            monkeypatch.setitem(sys.modules, one.__name__, one)

    return put


def test_forecasts_of_every_garden_are_renewed_for_its_own_day(
    garden: Garden, refreshing: Callable[[Refresh], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SLIPWRIGHT_TODAY", raising=False)
    other = small_garden("Long Reach")
    other.stands_on = date(2015, 10, 20)
    other.save()
    seen: list[tuple[str, date]] = []

    def refresh(garden: Garden, handbook: Any, *, on: date, now: datetime) -> int:
        assert handbook.pages
        seen.append((garden.name, on))
        return 3

    refreshing(refresh)
    late = datetime(2025, 10, 21, 2, 0, tzinfo=UTC)
    assert Helper(told=pytest.fail).one_pass(now=late) == 6
    assert seen == [(garden.name, date(2025, 10, 20)), ("Long Reach", date(2015, 10, 20))]


def test_a_fault_of_one_garden_is_told_once_and_stops_nothing(
    garden: Garden, now: datetime, refreshing: Callable[[Refresh], None]
) -> None:
    small_garden("Long Reach")
    told: list[str] = []

    def refresh(one: Garden, handbook: Any, **more: Any) -> int:
        if one.name == garden.name:
            raise ValueError("the year\nis out of range")
        return 1

    refreshing(refresh)
    one = Helper(told=told.append)
    assert one.one_pass(now=now) == one.one_pass(now=now) == 1
    assert told == [f"{garden.name}: ValueError: the year; is out of range"]


def test_seasons_of_plants_are_renewed_beside_the_forecasts(garden: Garden, now: datetime) -> None:
    one = Helper(told=pytest.fail)
    assert one.one_pass(now=now) == PlantSeason.rows.of(garden).count() == 2
    assert one.one_pass(now=now) == 0


def test_ended_codes_and_sessions_go_once_an_hour(
    database: Database, now: datetime, refreshing: Callable[[Refresh], None]
) -> None:
    def leave_some() -> None:
        services.make_code(purpose="set-up", now=now - timedelta(hours=2), minutes=5)
        Session.objects.create(
            session_key="old", session_data="", expire_date=datetime(2020, 1, 1, tzinfo=UTC)
        )

    one = Helper(told=pytest.fail)
    leave_some()
    one.one_pass(now=now)
    assert not OneTimeCode.objects.exists()
    assert not Session.objects.exists()
    leave_some()
    one.one_pass(now=now + timedelta(minutes=59))
    assert OneTimeCode.objects.count() == Session.objects.count() == 1
    one.one_pass(now=now + timedelta(minutes=60))
    assert not OneTimeCode.objects.exists()


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_grown_log_of_writes_is_moved_into_the_garden(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert database.file is not None
    log = Path(f"{database.file}-wal")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_autocheckpoint=0")
        cursor.execute("CREATE TABLE ballast (held BLOB)")
        cursor.execute("INSERT INTO ballast VALUES (zeroblob(200000))")
        assert log.stat().st_size > 200_000
        assert not helper.checkpoint()
        monkeypatch.setattr(helper, "LOG_BYTES", 100_000)
        assert helper.checkpoint()
        assert log.stat().st_size == 0
        assert cursor.execute("PRAGMA busy_timeout").fetchone() == (20000,)
    assert not helper.checkpoint()


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_reader_is_not_pushed_aside(database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    import sqlite3

    monkeypatch.setattr(helper, "LOG_BYTES", 100_000)
    reader = sqlite3.connect(str(database.file), isolation_level=None)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_autocheckpoint=0")
        cursor.execute("CREATE TABLE ballast (held BLOB)")
        reader.execute("BEGIN")
        assert reader.execute("SELECT count(*) FROM ballast").fetchone() == (0,)
        cursor.execute("INSERT INTO ballast VALUES (zeroblob(200000))")
        assert helper.checkpoint()
        assert reader.execute("SELECT count(*) FROM ballast").fetchone() == (0,)
    reader.close()
