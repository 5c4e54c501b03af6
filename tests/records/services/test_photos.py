"""A photo that is said to be received has its picture on the disk."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.errors import Clash
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Member, Photo
from slipwright.records.services import photos
from tests.databases import Database
from tests.records.pictures import drawn

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


@pytest.fixture
def receive(database: Database, garden: Garden, grower: Member, now: datetime) -> Callable[[], Photo]:
    """Give a function that sends the same picture again and again."""
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    return lambda: services.receive_photo(**who, about="mist-1", at=now, sent=drawn(), entry_id="photo-1")


def file_of(photo: Photo) -> Path:
    return pictures.folder_of(photo.garden.garden) / photo.file


def made_otherwise(sent: bytes) -> bytes:
    return drawn(size=(20, 20))


def test_a_picture_that_went_missing_is_put_back(receive: Callable[[], Photo]) -> None:
    photo = receive()
    file_of(photo).unlink()
    assert receive() == photo
    assert pictures.fault_of(file_of(photo)) is None


def test_where_it_is_made_into_other_bytes_by_now_it_is_kept_beside(
    receive: Callable[[], Photo], monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = receive()
    file_of(photo).unlink()
    monkeypatch.setattr(photos, "made_anew", made_otherwise)
    beside = receive()
    assert pictures.fault_of(file_of(beside)) is None
    assert (beside.about, beside.at) == (photo.about, photo.at)
    file_of(beside).unlink()
    assert receive() == beside
    assert pictures.fault_of(file_of(beside)) is None
    assert Photo.rows.count() == 2


def test_one_that_was_taken_back_does_not_come_again_beside(
    receive: Callable[[], Photo],
    garden: Garden,
    grower: Member,
    now: datetime,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    photo = receive()
    services.withdraw(
        garden=garden, by=grower, now=now, kind="photo", withdraws=photo.entry_id, reason="a thumb", at=now
    )
    file_of(photo).unlink()
    monkeypatch.setattr(photos, "made_anew", made_otherwise)
    with pytest.raises(Clash):
        receive()
    assert Photo.rows.count() == 1
