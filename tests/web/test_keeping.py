"""The page of copies is the owner's; a full disk is said, and pages are still read."""

from __future__ import annotations

import errno
import io
import zipfile
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from django.db import OperationalError
from django.test import Client

from slipwright.records import services
from slipwright.records.keeping import daily, diary, disk, pictures, standing, taking
from slipwright.records.models import BatchState, Garden, Member
from tests.records.conftest import small_garden
from tests.records.making import stick
from tests.records.pictures import drawn

SignIn = Callable[[Member], Client]


@pytest.fixture(autouse=True)
def _fresh() -> Iterator[None]:
    standing.forget()
    yield
    standing.forget()


@pytest.fixture
def owned(owner: Member, as_member: SignIn) -> Client:
    return as_member(owner)


def copied() -> diary.KeptCopy:
    daily.one_pass(now=datetime.now(UTC), told=pytest.fail)
    standing.forget()
    newest = diary.read().newest(datetime.now(UTC))
    assert newest is not None
    return newest


def test_it_is_for_the_owner_only(client: Client, volunteer: Member, as_member: SignIn) -> None:
    for one in (client, as_member(volunteer)):
        assert one.get("/garden/keeping").status_code == 403
        assert one.post("/garden/keeping/newest").status_code == 403
        assert one.post("/garden/keeping/copy").status_code == 403
    assert diary.stands("copy-asked") is None


def test_a_copy_is_asked_for_and_shown_once_it_is_made(owned: Client, garden: Garden) -> None:
    assert "There is no copy yet" in owned.get("/garden/keeping").content.decode()
    assert owned.post("/garden/keeping/copy").status_code == 302
    assert "A copy is asked for" in owned.get("/garden/keeping").content.decode()
    newest = copied()
    page = owned.get("/garden/keeping").content.decode()
    assert "A copy is asked for" not in page
    assert newest.file in page
    assert f"slipwright restore {newest.file}" in page
    assert "all is well" in page


def test_why_none_was_made_is_said(owned: Client, garden: Garden, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(daily, "room_at", lambda path: disk.Room(400_000_000, 10_000_000_000))
    daily.one_pass(now=datetime.now(UTC), told=lambda words: None)
    page = owned.get("/garden/keeping").content.decode()
    assert "The last copy was not made" in page
    assert "were free where copies go" in page


def test_the_newest_is_given_whole_and_then_counts_as_taken_away(owned: Client, garden: Garden) -> None:
    assert owned.post("/garden/keeping/newest").status_code == 404
    newest = copied()
    assert standing.reminder(datetime.now(UTC)) == "here"
    answer = owned.post("/garden/keeping/newest")
    assert b"".join(answer.streaming_content) == Path(newest.file).read_bytes()  # type: ignore[attr-defined]
    assert answer["Cache-Control"] == "no-store"
    assert standing.reminder(datetime.now(UTC)) == ""


def test_what_was_not_sent_to_its_end_does_not_count_as_taken_away(owned: Client, garden: Garden) -> None:
    copied()
    answer = owned.post("/garden/keeping/newest")
    assert standing.reminder(datetime.now(UTC)) == "here"
    answer.close()
    assert standing.reminder(datetime.now(UTC)) == "here"


@pytest.fixture
def pictured(garden: Garden, grower: Member, now: datetime) -> Path:
    """Give the file of a picture of the garden."""
    at = now.replace(microsecond=0)
    photo = services.receive_photo(
        garden=garden, by=grower, now=now, about="rose-gate", at=at, sent=drawn(), entry_id="photo-1"
    )
    return pictures.folder_of(garden.garden) / photo.file


def test_pictures_go_with_it_in_one_zip_that_can_be_put_back(
    owned: Client, pictured: Path, garden: Garden, tmp_path: Path
) -> None:
    newest = copied()
    assert "The pictures are with it, in one zip" in owned.get("/garden/keeping").content.decode()
    answer = owned.post("/garden/keeping/newest")
    assert answer["Content-Disposition"] == f'attachment; filename="{Path(newest.file).stem}.zip"'
    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as taken:  # type: ignore[attr-defined]
        assert taken.testzip() is None
        taken.extractall(tmp_path)
    assert (tmp_path / Path(newest.file).name).read_bytes() == Path(newest.file).read_bytes()
    again = pictures.folder_of(garden.garden, pictures.pictures_at(tmp_path / Path(newest.file).name))
    assert (again / pictured.name).read_bytes() == pictured.read_bytes()
    assert standing.reminder(datetime.now(UTC)) == ""


def test_a_copy_without_its_pictures_does_not_count_as_taken_away(
    owned: Client, pictured: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newest = copied()
    monkeypatch.setattr(taking, "MOST_PICTURE_BYTES", pictured.stat().st_size - 1)
    assert "so they are not elsewhere by this" in owned.get("/garden/keeping").content.decode()
    answer = owned.post("/garden/keeping/newest")
    assert b"".join(answer.streaming_content) == Path(newest.file).read_bytes()  # type: ignore[attr-defined]
    assert standing.reminder(datetime.now(UTC)) == "here"


def test_what_is_damaged_is_said_and_rows_only_to_the_owner_of_the_only_garden(
    owned: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now)
    BatchState.rows.update(n_rooted=19)
    daily.one_pass(now=datetime.now(UTC), told=lambda words: None)
    standing.forget()
    assert "Something in the records is damaged" in owned.get("/").content.decode()
    page = owned.get("/garden/keeping").content.decode()
    assert "Something in the records is damaged" in page
    assert "of a damaged garden" in page
    assert page.count("n_rooted is kept as 19") == 2, "of the copy and of the check"
    small_garden("Long Reach")
    page = owned.get("/garden/keeping").content.decode()
    assert "Something in the records is damaged" in page
    assert "n_rooted" not in page
    assert "1 thing was found in this database" in page


def test_a_copy_dated_tomorrow_is_shown_and_is_not_the_newest(owned: Client, garden: Garden) -> None:
    daily.one_pass(now=datetime.now(UTC) + timedelta(days=400), told=pytest.fail)
    standing.forget()
    page = owned.get("/garden/keeping").content.decode()
    assert "There is no copy yet" in page
    assert "made while the clock was ahead" in page


def test_one_owner_is_not_given_other_gardens(owned: Client, garden: Garden) -> None:
    copied()
    small_garden("Long Reach")
    answer = owned.post("/garden/keeping/newest")
    assert answer.status_code == 422
    assert "several gardens" in answer.content.decode()


def test_today_reminds_owner_and_grower_and_nobody_else(
    owned: Client, client: Client, volunteer: Member, as_member: SignIn, garden: Garden
) -> None:
    for one in (owned, client):
        assert "There is no copy of this garden" in one.get("/").content.decode()
    assert "There is no copy of this garden" not in as_member(volunteer).get("/").content.decode()
    copied()
    assert "lies on its own disk" in owned.get("/").content.decode()


def test_a_disk_that_runs_full_is_told_on_every_page(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    words = "is nearly full"
    assert words not in client.get("/").content.decode()
    monkeypatch.setattr(standing, "room_at", lambda path: disk.Room(499_000_000, 4_000_000_000))
    standing.forget()
    for page in ("/", "/batches"):
        _, part, after = (
            client.get(page).content.decode().partition('<section aria-label="Room on the disk">')
        )
        assert part
        assert words in after.partition("</section>")[0]


@pytest.mark.parametrize(
    "full",
    [
        OperationalError("database or disk is full"),
        OperationalError('could not extend file "base/1": No space left on device'),
        OSError(errno.ENOSPC, "No space left on device"),
        OSError(errno.EDQUOT, "Disk quota exceeded"),
    ],
    ids=["sqlite", "postgresql", "file", "quota"],
)
def test_what_finds_no_room_says_so_and_pages_are_still_read(
    client: Client,
    garden: Garden,
    grower: Member,
    now: datetime,
    full: Exception,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    batch = stick(garden, grower, now)

    form = {"place": "mist-1", "entry_id": str(uuid4())}

    def no_room(**more: object) -> None:
        raise full

    with monkeypatch.context() as on_full:
        on_full.setattr(services.rounds, "add_all", no_room, raising=False)
        on_full.setattr("slipwright.web.views.today.record_nothing_to_note", no_room)
        answer = client.post("/round/nothing-to-note", form)
        assert answer.status_code == 503
        assert answer["Retry-After"]
        assert "The disk is full" in answer.content.decode()
        assert client.get(f"/batches/{batch.batch}").status_code == 200
    assert client.post("/round/nothing-to-note", form).status_code == 302


def test_no_room_for_the_session_says_so_too(
    garden: Garden, grower: Member, as_member: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    from django.contrib.sessions.backends.db import SessionStore

    one = as_member(grower)
    one.raise_request_exception = False

    def no_room(self: SessionStore, must_create: bool = False) -> None:
        raise OperationalError("database or disk is full")

    session = one.session
    monkeypatch.setattr(SessionStore, "save", no_room)
    assert session is not None
    answer = one.post("/sign-out")
    assert answer.status_code in {302, 503}, "signing out deletes rather than saves"
    monkeypatch.setattr(SessionStore, "flush", lambda self: no_room(self))
    answer = one.post("/sign-out")
    assert answer.status_code == 503
    assert "The disk is full" in answer.content.decode()
