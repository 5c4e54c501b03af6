"""Photos on the pages: sent, shown to the garden's own people only, taken back."""

from __future__ import annotations

import hashlib
import itertools
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from slipwright.records import services
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Look, Member, Photo, Sticking
from slipwright.web.views import photos
from tests.records.making import stick
from tests.records.pictures import bomb, drawn

JSON = {"HTTP_ACCEPT": "application/json"}
AT = "2025-10-20T10:00:00-04:00"


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch of roses."""
    return stick(garden, grower, now)


def sent(batch: Sticking, data: bytes | None = None, name: str = "a.jpg", **more: Any) -> dict[str, Any]:
    """Return the fields of one photo as they are sent."""
    data = drawn() if data is None else data
    file = SimpleUploadedFile(name, data, "image/jpeg")
    whole = {"id": "photo-1", "about": batch.batch, "at": AT, "sha256": hashlib.sha256(data).hexdigest()}
    return {**whole, "file": file, **more}


def test_a_photo_sent_from_the_batch_page_is_shown_there(client: Client, batch: Sticking) -> None:
    page = client.get(f"/batches/{batch.batch}").content.decode()
    assert 'accept="image/*" capture="environment"' in page
    form = dict(re.findall(r'name="(id|about|at|next)" value="([^"]*)"', page.split("photo-form")[1]))
    answer = client.post("/photos", {**form, "file": SimpleUploadedFile("x.png", drawn("PNG"))})
    assert (answer.status_code, answer["Location"]) == (302, f"/batches/{batch.batch}")
    photo = Photo.rows.get()
    page = client.get(f"/batches/{batch.batch}").content.decode()
    assert f'src="/photos/{photo.entry_id}/thumb"' in page
    assert 'alt="Photo of ' in page
    assert "Photo kept." in page


def test_a_plant_has_photos_too(client: Client, batch: Sticking) -> None:
    client.post("/photos", sent(batch, about="rose-gate"))
    assert 'src="/photos/photo-1/thumb"' in client.get("/plants/rose-gate").content.decode()
    assert 'src="/photos/photo-1/thumb"' not in client.get(f"/batches/{batch.batch}").content.decode()


def test_a_program_is_answered_in_json_and_may_send_twice(client: Client, batch: Sticking) -> None:
    for _ in range(2):
        answer = client.post("/photos", sent(batch), **JSON)  # type: ignore[arg-type]
        assert answer.status_code == 200
        assert answer.json() == {
            "v": 1,
            "id": "photo-1",
            "status": "received",
            "number": Photo.rows.get().number,
        }


def test_a_program_hears_of_the_id_it_sent_wherever_the_picture_was_kept(
    client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.post("/photos", sent(batch), **JSON)  # type: ignore[arg-type]
    first = Photo.rows.get()
    (pictures.folder_of(first.garden.garden) / first.file).unlink()
    monkeypatch.setattr("slipwright.records.services.photos.made_anew", lambda _sent: drawn(size=(20, 20)))
    answer = client.post("/photos", sent(batch), **JSON)  # type: ignore[arg-type]
    beside = Photo.rows.exclude(pk=first.pk).get()
    assert answer.json() == {"v": 1, "id": "photo-1", "status": "received", "number": beside.number}
    assert client.get(f"/photos/{beside.entry_id}").content == drawn(size=(20, 20))


@pytest.mark.parametrize(
    ("change", "status", "error"),
    [
        ({"data": drawn()[:200]}, 422, "refused"),
        ({"data": bomb()}, 422, "refused"),
        ({"data": b"<html>", "name": "a.jpg"}, 422, "refused"),
        ({"sha256": "0" * 64}, 422, "refused"),
        ({"at": "2025-10-20T10:00:00"}, 422, "refused"),
        ({"id": ""}, 422, "refused"),
        ({"about": "not there yet"}, 409, "not-yet"),
    ],
)
def test_what_cannot_be_taken_is_said_in_a_word(
    client: Client, batch: Sticking, change: dict[str, Any], status: int, error: str
) -> None:
    answer = client.post("/photos", sent(batch, **change), **JSON)  # type: ignore[arg-type]
    assert (answer.status_code, answer.json()["error"]) == (status, error)
    assert not Photo.rows.exists()


def test_the_name_and_the_ending_it_was_sent_under_count_for_nothing(client: Client, batch: Sticking) -> None:
    name = "../\u202egpj.exe"
    assert client.post("/photos", sent(batch, drawn("WEBP"), name)).status_code == 302
    photo = Photo.rows.get()
    answer = client.get("/photos/photo-1")
    assert answer["Content-Disposition"] == f'inline; filename="{photo.file_sha256}.jpg"'
    assert "exe" not in answer["Content-Disposition"]


def test_a_picture_is_given_as_a_picture_and_nothing_else(client: Client, batch: Sticking) -> None:
    client.post("/photos", sent(batch, drawn("PNG") + b"<html><script>alert(1)</script>"))
    for where in ("/photos/photo-1", "/photos/photo-1/thumb"):
        answer = client.get(where, HTTP_ACCEPT_ENCODING="gzip")
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
        assert answer["Cache-Control"].startswith("private")
        assert answer.content.startswith(b"\xff\xd8\xff")
        assert b"script" not in answer.content
        assert client.get(where, HTTP_IF_NONE_MATCH=answer["ETag"]).status_code == 304


def test_another_gardens_photo_is_not_there(
    client: Client, batch: Sticking, as_member: Callable[[Member], Client], now: datetime
) -> None:
    client.post("/photos", sent(batch))
    other = services.make_garden(
        name="Elsewhere", latitude_deg=1, longitude_deg=1, time_zone="UTC", owner="ada", owner_shown_as="Ada"
    )
    stranger = as_member(Member.objects.get(garden=other))
    for where in ("/photos/photo-1", "/photos/photo-1/thumb", "/photos/photo-1/take-back"):
        assert client.get(where).status_code == 200
        assert stranger.get(where).status_code == 404
        assert Client(HTTP_HOST="127.0.0.1").get(where).status_code == 302


def test_a_reader_sees_photos_and_sends_none(
    client: Client, batch: Sticking, reader: Member, as_member: Callable[[Member], Client]
) -> None:
    client.post("/photos", sent(batch))
    reading = as_member(reader)
    page = reading.get(f"/batches/{batch.batch}").content.decode()
    assert "/photos/photo-1/thumb" in page
    assert "photo-form" not in page
    assert reading.post("/photos", sent(batch, id="other")).status_code == 403
    assert reading.get("/photos/photo-1").status_code == 200


def test_a_photo_taken_back_is_shown_no_more(client: Client, batch: Sticking) -> None:
    client.post("/photos", sent(batch))
    assert client.post("/photos/photo-1/take-back", {"reason": ""}).status_code == 422
    back = {"reason": "a thumb on it", "next": f"/batches/{batch.batch}", "entry_id": "w-1", "at": AT}
    assert client.post("/photos/photo-1/take-back", back)["Location"] == f"/batches/{batch.batch}"
    assert client.get("/photos/photo-1").status_code == 404
    page = client.get(f"/batches/{batch.batch}").content.decode()
    assert "/photos/photo-1" not in page
    assert "a thumb on it" in page
    assert Photo.rows.count() == 1


def test_the_way_back_leads_nowhere_else(client: Client, batch: Sticking) -> None:
    for n, away in enumerate(("https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example")):
        answer = client.post("/photos", sent(batch, id=f"p{n}", next=away))
        assert answer["Location"] == "/"


def test_what_is_too_large_is_refused_before_it_is_read(client: Client, batch: Sticking) -> None:
    answer = client.post("/photos", sent(batch, b"x" * 10_200_000), **JSON)  # type: ignore[arg-type]
    assert (answer.status_code, answer.json()["error"]) == (413, "too-large")
    assert client.post("/photos", sent(batch, b"x" * 10_200_000)).status_code == 413


def test_a_full_disk_is_told(client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(**_: object) -> None:
        raise services.DiskFull("The disk is full, so the picture was not kept.")

    monkeypatch.setattr(services, "receive_photo", full)
    answer = client.post("/photos", sent(batch), **JSON)  # type: ignore[arg-type]
    assert (answer.status_code, answer.json()["error"]) == (503, "full")
    page = client.post("/photos", sent(batch))
    assert page.status_code == 503
    assert "The disk is full" in page.content.decode()


def test_a_photo_goes_along_with_a_look(client: Client, batch: Sticking) -> None:
    page = client.get(f"/batches/{batch.batch}/look").content.decode()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    client.post(f"/batches/{batch.batch}/look", {**hidden, "photo": SimpleUploadedFile("a.jpg", drawn())})
    assert (Look.rows.count(), Photo.rows.get().about) == (1, batch.batch)
    assert "with a photo" in client.get(f"/batches/{batch.batch}").content.decode()


def test_a_bad_photo_does_not_hold_up_its_look(client: Client, batch: Sticking) -> None:
    page = client.get(f"/batches/{batch.batch}/look").content.decode()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    client.post(f"/batches/{batch.batch}/look", {**hidden, "photo": SimpleUploadedFile("a.jpg", b"rot")})
    assert (Look.rows.count(), Photo.rows.count()) == (1, 0)
    assert "but not the photo" in client.get(f"/batches/{batch.batch}").content.decode()


def test_a_look_sent_twice_keeps_its_photo_once_and_says_so_both_times(
    client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = client.get(f"/batches/{batch.batch}/look").content.decode()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    monkeypatch.setattr(photos, "_at", _a_second_later(photos._at))
    for _ in range(2):
        client.post(f"/batches/{batch.batch}/look", {**hidden, "photo": SimpleUploadedFile("a.jpg", drawn())})
        assert "with a photo" in client.get(f"/batches/{batch.batch}").content.decode()
    assert (Look.rows.count(), Photo.rows.count()) == (1, 1)


def _a_second_later(whole: Callable[..., datetime]) -> Callable[..., datetime]:
    """Let the clock go on by a second whenever it is asked."""
    late = itertools.count()

    def later(said: str, request: Any) -> datetime:
        request.now += timedelta(seconds=next(late))
        return whole(said, request)

    return later


@pytest.mark.parametrize("away", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"])
def test_the_page_for_taking_back_leads_nowhere_else(client: Client, batch: Sticking, away: str) -> None:
    client.post("/photos", sent(batch))
    page = client.get("/photos/photo-1/take-back", {"next": away}).content.decode()
    assert away not in page
    assert (
        f"/batches/{batch.batch}"
        in client.get("/photos/photo-1/take-back", {"next": f"/batches/{batch.batch}"}).content.decode()
    )
