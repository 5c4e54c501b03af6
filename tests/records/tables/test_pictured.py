"""Pictures go out with the tables and come in again, each held against its name."""

from __future__ import annotations

import hashlib
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from slipwright.records import services
from slipwright.records.imaging import made_anew
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Member, Photo
from slipwright.records.tables.dumping import dump
from slipwright.records.tables.loading import LoadFailed, load
from slipwright.records.tables.report import LoadReport
from tests.databases import Database, Templates
from tests.records.pictures import drawn
from tests.records.tables.folders import NOW, the_garden, zipped


@pytest.fixture(autouse=True)
def _photos(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "PHOTOS", str(tmp_path / "photos-here"))


@pytest.fixture
def photo(garden: Garden, grower: Member, now: datetime, database: Database) -> Photo:
    """Give a photo of the rose at the gate."""
    at = now.replace(microsecond=0)
    said: Any = {"about": "rose-gate", "at": at, "sent": drawn(), "entry_id": "photo-1"}
    return services.receive_photo(garden=garden, by=grower, now=now, **said)


def told(report: LoadReport) -> list[tuple[str, str, str]]:
    return [(warning.file, warning.column, warning.rule) for warning in report.warnings]


@pytest.mark.parametrize("name", ["garden.zip", "garden"])
def test_pictures_travel_with_their_rows(
    photo: Photo, templates: Templates, tmp_path: Path, name: str
) -> None:
    dump(photo.garden, tmp_path / name)
    dump(photo.garden, tmp_path / name)  # over its own
    with templates.copy("sqlite"):
        report = load(tmp_path / name, now=NOW)
        assert (report.n_rejected, report.warnings) == (0, [])
        assert Photo.rows.get().file == photo.file
        assert list(pictures.bad_pictures()) == []
        folder = pictures.folder_of(the_garden().garden)
        assert [file.name for file in folder.iterdir()] == [photo.file]
        assert load(tmp_path / name, now=NOW).accepted == 0


def test_a_lost_picture_comes_back_with_the_rows_that_are_there(photo: Photo, tmp_path: Path) -> None:
    dump(photo.garden, tmp_path / "garden")
    (pictures.folder_of(photo.garden.garden) / photo.file).unlink()
    assert load(tmp_path / "garden", now=NOW).warnings == []
    assert list(pictures.bad_pictures()) == []


def test_a_missing_and_a_damaged_picture_are_warned_of_and_the_row_loads(
    photo: Photo, templates: Templates, tmp_path: Path
) -> None:
    dump(photo.garden, tmp_path / "garden")
    picture = tmp_path / "garden" / "photos" / photo.file
    picture.write_bytes(b"rot")
    with templates.copy("sqlite"):
        report = load(tmp_path / "garden", now=NOW)
        assert report.n_rejected == 0
        assert [file for file, _, _ in told(report)] == [f"photos/{photo.file}", "photos.csv"]
        assert "is damaged" in told(report)[0][2]
        assert Photo.rows.count() == 1
        picture.unlink()
        assert [file for file, _, _ in told(load(tmp_path / "garden", now=NOW))] == ["photos.csv"]


def test_a_picture_no_row_names_is_left_out_and_told(photo: Photo, tmp_path: Path) -> None:
    dump(photo.garden, tmp_path / "garden")
    other = made_anew(drawn("PNG", (30, 30)))
    name = f"{hashlib.sha256(other).hexdigest()}.jpg"
    (tmp_path / "garden" / "photos" / name).write_bytes(other)
    (warning,) = told(load(tmp_path / "garden", now=NOW))
    assert warning[0] == f"photos/{name}"
    assert not (pictures.folder_of(photo.garden.garden) / name).exists()


def test_a_page_in_a_pictures_clothes_is_not_taken(
    photo: Photo, templates: Templates, tmp_path: Path
) -> None:
    dump(photo.garden, tmp_path / "garden")
    page = b"<html><script>1</script></html>"
    sha = hashlib.sha256(page).hexdigest()
    table = tmp_path / "garden" / "photos.csv"
    table.write_text(table.read_text("utf-8").replace(photo.file_sha256, sha), "utf-8")
    (tmp_path / "garden" / "photos" / photo.file).rename(tmp_path / "garden" / "photos" / f"{sha}.jpg")
    (tmp_path / "garden" / "photos" / f"{sha}.jpg").write_bytes(page)
    with templates.copy("sqlite"):
        report = load(tmp_path / "garden", now=NOW)
        assert "is no JPEG" in told(report)[0][2]
        assert not list(pictures.pictures_at().rglob("*.jpg"))


@pytest.mark.parametrize("name", ["x.jpg", "../x.csv", "a/b.jpg", "x.html", f"{'A' * 64}.jpg", "\u202egpj.x"])
def test_a_file_that_is_not_called_as_a_picture_is_refused(name: str, tmp_path: Path) -> None:
    report = load(
        zipped(tmp_path / "a.zip", {"members.csv": "member,role\n", f"photos/{name}": "x"}), now=NOW
    )
    assert report.n_rejected
    assert "is no picture" in report.rejected[0].rule


def test_pictures_do_not_count_among_the_forty_files(database: Database, tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {"garden.csv": "name,latitude_deg,longitude_deg,time_zone\nA,1,1,UTC\n"}
    for n in range(50):
        data = f"picture {n}".encode()
        files[f"photos/{hashlib.sha256(data).hexdigest()}.jpg"] = data
    report = load(zipped(tmp_path / "a.zip", files), now=NOW)
    assert (report.n_rejected, report.n_warnings) == (0, 50)


def test_a_load_that_fails_takes_no_picture_away_that_somebody_sent_meanwhile(
    photo: Photo, templates: Templates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dump(photo.garden, tmp_path / "garden")

    def fails(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("slipwright.records.tables.loading.copy", fails)
    with templates.copy("sqlite"):
        with pytest.raises(LoadFailed, match="disk is full"):
            load(tmp_path / "garden", now=NOW)
        there = [file for file in pictures.pictures_at().rglob("*") if file.is_file()]
        assert [file.name for file in there] == [photo.file], "it may be the one of a row sent just then"


def test_a_row_whose_file_is_not_called_by_its_hash_is_refused(photo: Photo, tmp_path: Path) -> None:
    dump(photo.garden, tmp_path / "garden")
    table = tmp_path / "garden" / "photos.csv"
    for wrong in ("../../garden.sqlite3", "x.jpg", f"{'0' * 64}.jpg"):
        table.write_text(f"about,at,file,file_sha256\nrose-gate,2025-10-20T10:00:00Z,{wrong},{'a' * 64}\n")
        report = load(tmp_path / "garden", now=NOW)
        assert [bad.column for bad in report.rejected] == ["file"]
