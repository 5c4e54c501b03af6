"""On a full disk nothing acknowledged is lost, pages are read, and writing goes on once there is room."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from slipwright.records.keeping import standing
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import Garden, Member, Photo, User
from tests.campaign.sums import faults, look
from tests.databases import Database, at
from tests.records.making import stick
from tests.records.pictures import drawn

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def client_of(member: Member) -> Client:
    user = User.objects.create(username="on-a-full-disk")
    member.user = user
    member.save()
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(user)
    return client


def send(client: Client, record: dict[str, Any]) -> Any:
    from datetime import UTC

    told = {"v": 1, "sent_at": datetime.now(UTC).isoformat(), "records": [record]}
    return client.post("/sync", json.dumps(told), content_type="application/json")


def until_full(client: Client, garden: Garden, batch: str) -> tuple[list[str], list[str], Any]:
    """Send until there is no room; return the ids acknowledged, those made, and the last answer."""
    acknowledged, made = [], []
    for _ in range(20_000):
        record = look(garden, batch, note="by the door, third tray from the left " * 4)
        made.append(record["content"]["id"])
        answer = send(client, record)
        if answer.status_code != 200:
            return acknowledged, made, answer
        acknowledged.append(record["content"]["id"])
    raise AssertionError("the disk never was full")


@SQLITE_ONLY
def test_a_file_that_may_grow_no_more(
    garden: Garden, grower: Member, now: datetime, database: Database, gathered_files: None
) -> None:
    batch = stick(garden, grower, now, n_stuck=1_000_000).batch
    client = client_of(grower)
    assert client.get("/batches").status_code == 200
    with connection.cursor() as cursor:
        (pages,) = cursor.execute("PRAGMA page_count").fetchone()
        cursor.execute(f"PRAGMA max_page_count={pages + 24}")
    acknowledged, made, refused = until_full(client, garden, batch)
    assert acknowledged
    assert (refused.status_code, refused.json()["error"]) == (503, "full")
    assert refused["Retry-After"]
    assert faults(acknowledged, made) == []
    assert client.get(f"/batches/{batch}").status_code == 200
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA max_page_count={pages + 6000}")
    assert send(client, look(garden, batch)).status_code == 200
    assert selfcheck().ok


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[int], Path]]:
    """Give what mounts a disk of some MB in memory, or gives it another size."""
    if os.name == "nt" or os.geteuid() != 0 or shutil.which("mount") is None:
        pytest.skip("only root mounts a small disk")
    place = tmp_path / "disk"
    place.mkdir()

    def sized(mb: int) -> Path:
        again = "remount," if place.is_mount() else ""
        command = ["mount", "-t", "tmpfs", "-o", f"{again}size={mb}m", "none", str(place)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            pytest.skip(f"no small disk can be mounted here: {done.stderr.strip()}")
        return place

    yield sized
    connection.close()
    if place.is_mount():
        subprocess.run(["umount", "-l", str(place)], check=True)


@SQLITE_ONLY
def test_a_disk_that_is_full_and_then_has_room_again(
    database: Database,
    garden: Garden,
    grower: Member,
    now: datetime,
    small_disk: Callable[[int], Path],
    gathered_files: None,
) -> None:
    batch = stick(garden, grower, now, n_stuck=1_000_000).batch
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    assert database.file is not None
    place = small_disk(4)
    shutil.copyfile(database.file, place / "garden.sqlite3")
    standing.forget()
    with at(f"sqlite:///{place}/garden.sqlite3"):
        client = client_of(Member.objects.get(member="grower"))
        acknowledged, made, refused = until_full(client, garden, batch)
        assert acknowledged
        assert (refused.status_code, refused.json()["error"]) == (503, "full")
        for page in ("/", f"/batches/{batch}", "/batches", "/plants"):
            answer = client.get(page)
            assert answer.status_code == 200, page
            assert "is nearly full" in answer.content.decode()
        form = {"about": batch, "entry_id": "a", "photo": _file(drawn(size=(800, 600)))}
        assert client.post("/photos", form).status_code != 302
        assert not Photo.rows.exists()
        small_disk(16)
        assert send(client, look(garden, batch)).status_code == 200, "without a new start"
        assert faults(acknowledged) == []
        assert set(_ids()) >= set(acknowledged)
        assert [str(one) for one in selfcheck().findings if one.level == "damage"] == []
        # a client that takes any answer for a success would have forgotten this one
        assert faults([made[-1]]) != [], "planted: an answer of 503 taken for a success is caught"


def _file(content: bytes) -> Any:
    from django.core.files.uploadedfile import SimpleUploadedFile

    return SimpleUploadedFile("a.jpg", content, "image/jpeg")


def _ids() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT entry_id FROM records_look")
        return [str(row[0]) for row in cursor.fetchall()]
