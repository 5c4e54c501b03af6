"""Pictures on the disk: put there whole, looked after, copied by what they hold."""

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from slipwright.records import services
from slipwright.records.errors import BadValue, Clash
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Member, Photo
from tests.databases import Database
from tests.records.pictures import drawn

Send = Callable[..., Photo]


@pytest.fixture
def send(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Send:
    """Give a function that sends a picture of the rose at the gate."""
    monkeypatch.setattr(settings, "PHOTOS", str(tmp_path / "photos"))

    def sent(data: bytes = drawn(), **more: Any) -> Photo:
        said = {"about": "rose-gate", "at": now.replace(microsecond=0), "entry_id": "photo-1"} | more
        return services.receive_photo(garden=garden, by=grower, now=now, sent=data, **said)

    return sent


def files(garden: Garden) -> list[str]:
    folder = pictures.folder_of(garden.garden)
    return sorted(file.name for file in folder.iterdir()) if folder.exists() else []


def test_the_picture_is_called_by_what_it_holds(send: Send, garden: Garden) -> None:
    photo = send()
    file = pictures.folder_of(garden.garden) / photo.file
    assert files(garden) == [photo.file]
    assert photo.file == f"{hashlib.sha256(file.read_bytes()).hexdigest()}.jpg"
    assert photo.sent_sha256 == hashlib.sha256(drawn()).hexdigest()


def test_a_garden_in_a_file_has_them_beside_it(send: Send, garden: Garden, database: Database) -> None:
    if database.file is not None:
        assert pictures.pictures_at() == database.file.resolve().parent / "photos"
    else:
        assert pictures.pictures_at().name == "photos"


def test_sent_twice_it_is_there_once(send: Send, garden: Garden) -> None:
    assert send().pk == send().pk
    assert Photo.rows.count() == 1
    assert len(files(garden)) == 1


def test_another_picture_under_the_same_id_is_refused(send: Send) -> None:
    send()
    for change in ({"data": drawn("PNG")}, {"about": "mist-1"}):
        with pytest.raises(Clash):
            send(**change)


def test_sent_again_it_mends_a_picture_that_was_lost(send: Send, garden: Garden) -> None:
    photo = send()
    (pictures.folder_of(garden.garden) / photo.file).unlink()
    send()
    assert files(garden) == [photo.file]


def test_bytes_that_changed_on_the_way_are_refused(send: Send, garden: Garden) -> None:
    with pytest.raises(BadValue, match="did not arrive whole"):
        send(sent_sha256="0" * 64)
    assert files(garden) == []


def test_what_is_of_nothing_leaves_nothing(send: Send, garden: Garden) -> None:
    with pytest.raises(BadValue, match="about"):
        send(about="nowhere")
    assert files(garden) == []
    assert not Photo.rows.exists()


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_full_disk_is_told_and_nothing_is_left(
    send: Send, garden: Garden, call: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    if call == "fsync":
        monkeypatch.setattr(os, "fsync", full)
    else:
        monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(services.DiskFull, match="disk is full"):
        send()
    monkeypatch.undo()
    assert files(garden) == []
    assert not Photo.rows.exists()
    assert send().number > 0


def test_a_missing_and_a_damaged_picture_are_named(send: Send, garden: Garden) -> None:
    first, second = send(), send(drawn("PNG", (30, 30)), entry_id="photo-2")
    assert list(pictures.bad_pictures()) == []
    folder = pictures.folder_of(garden.garden)
    (folder / first.file).unlink()
    data = bytearray((folder / second.file).read_bytes())
    data[-5] ^= 1
    (folder / second.file).write_bytes(data)
    assert list(pictures.bad_pictures()) == [
        pictures.BadPicture("photo-1", first.file, "missing"),
        pictures.BadPicture("photo-2", second.file, "damaged"),
    ]


def test_a_small_one_is_made_once_and_again_when_it_is_gone(send: Send, garden: Garden) -> None:
    photo, folder = send(drawn(size=(1000, 500))), pictures.folder_of(garden.garden)
    small = pictures.small_picture(folder, photo.file)
    assert (folder / "small" / photo.file).read_bytes() == small
    (folder / "small" / photo.file).unlink()
    assert pictures.small_picture(folder, photo.file) == small


@pytest.mark.parametrize("linked", [True, False])
def test_copying_takes_what_is_whole_and_leaves_the_rest(
    send: Send, garden: Garden, tmp_path: Path, linked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise OSError(errno.EXDEV, "Invalid cross-device link")

    if not linked:
        monkeypatch.setattr(os, "link", no_links)
    first, second = send(), send(drawn("PNG", (30, 30)), entry_id="photo-2")
    here, there = pictures.pictures_at(), tmp_path / "copy" / "photos"
    (pictures.folder_of(garden.garden) / second.file).write_bytes(b"rot")
    bad = f"{garden.garden}/{second.file}"
    assert pictures.copy_pictures(here, there) == pictures.Copied(1, 0, (bad,))
    assert pictures.copy_pictures(here, there) == pictures.Copied(0, 1, (bad,))
    kept = there / str(garden.garden) / first.file
    assert pictures.fault_of(kept) is None
    assert os.path.samefile(kept, pictures.folder_of(garden.garden) / first.file) == linked
    assert [file.name for file in kept.parent.iterdir()] == [first.file]


def test_a_damaged_copy_is_written_anew(send: Send, garden: Garden, tmp_path: Path) -> None:
    photo, there = send(), tmp_path / "copy"
    place = there / str(garden.garden) / photo.file
    place.parent.mkdir(parents=True)
    place.write_bytes(b"rot")
    assert pictures.copy_pictures(pictures.pictures_at(), there).n_copied == 1
    assert pictures.fault_of(place) is None


def test_a_picture_that_was_damaged_under_both_its_names_is_told(
    send: Send, garden: Garden, tmp_path: Path
) -> None:
    photo = send()
    here, there = pictures.pictures_at(), tmp_path / "copy" / "photos"
    assert pictures.copy_pictures(here, there) == pictures.Copied(1, 0, ())
    file = pictures.folder_of(garden.garden) / photo.file
    file.write_bytes(b"rot")
    assert os.path.samefile(file, there / str(garden.garden) / photo.file)
    bad = (f"{garden.garden}/{photo.file}",)
    assert pictures.copy_pictures(here, there) == pictures.Copied(0, 0, bad)


def test_a_picture_that_was_damaged_since_it_was_copied_is_told_and_its_copy_stays(
    send: Send, garden: Garden, tmp_path: Path
) -> None:
    photo = send()
    here, there = pictures.pictures_at(), tmp_path / "copy" / "photos"
    pictures.copy_pictures(here, there)
    file = pictures.folder_of(garden.garden) / photo.file
    file.unlink()
    file.write_bytes(b"rot")
    assert pictures.copy_pictures(here, there) == pictures.Copied(0, 1, (f"{garden.garden}/{photo.file}",))
    assert pictures.fault_of(there / str(garden.garden) / photo.file) is None
