"""Readings on the pages: how dry the air is, a table brought in, who may send."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from slipwright.records import services
from slipwright.records.keeping import diary
from slipwright.records.models import AccessToken, Garden, Member, Reading
from tests.records.making import stick


@pytest.fixture
def read(garden: Garden, grower: Member, now: datetime) -> Callable[..., Reading]:
    """Give a function that records a reading some hours ago."""

    def reading(hours: float = 0, place: str = "mist-1", **values: float) -> Reading:
        at = (now - timedelta(hours=hours)).replace(microsecond=0)
        given = {name: Decimal(str(value)) for name, value in values.items()}
        return services.record_reading(garden=garden, by=grower, now=now, place=place, at=at, **given)  # type: ignore[arg-type]

    return reading


def shown(client: Client, where: str) -> str:
    return re.sub(r"\s+", " ", client.get(where).content.decode())


def table(text: str) -> dict[str, SimpleUploadedFile]:
    return {"file": SimpleUploadedFile("logger.csv", text.encode())}


def test_the_deficit_is_worked_out_with_the_range_of_its_day(
    client: Client, read: Callable[..., Reading]
) -> None:
    read(30, air_c=40, rh_percent=10)
    read(2, air_c=35, rh_percent=30)
    read(1, air_c=25, rh_percent=60)
    page = shown(client, "/readings")
    assert "1.3 kPa short of full" in page
    assert "That day between 1.3 and 3.9 kPa" in page
    assert "d-course" in page


def test_a_reading_without_humidity_has_no_deficit(client: Client, read: Callable[..., Reading]) -> None:
    read(1, medium_c=20)
    page = shown(client, "/readings")
    assert "short of full" not in page
    assert "Medium" in page


def test_dry_air_is_shown_without_a_dew_point(client: Client, read: Callable[..., Reading]) -> None:
    read(1, air_c=20, rh_percent=0)
    page = shown(client, "/readings")
    assert "short of full" in page
    assert "Drops form" not in page


def test_the_page_of_a_place_tells_of_its_air(client: Client, read: Callable[..., Reading]) -> None:
    read(1, air_c=25, rh_percent=60)
    read(1, "frame-1", air_c=5, rh_percent=90)
    page = shown(client, "/rows/places/row?key=mist-1")
    assert "1.3 kPa short of full" in page
    assert "0.1 kPa short of full" not in page


def test_heat_read_under_a_tent_lately_is_told_today(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    just_now, place = datetime.now(UTC), "frame-1"
    stick(garden, grower, now, place=place, cover="tent")
    assert "Hot under the tents" not in shown(client, "/")
    who = {"garden": garden, "by": grower, "now": just_now, "place": place, "air_c": Decimal(35)}
    for hours, told in ((4, False), (1, True)):
        at = (just_now - timedelta(hours=hours)).replace(microsecond=0)
        services.record_reading(**who, at=at)  # type: ignore[arg-type]
        assert ("35 °C there now" in shown(client, "/").replace("\xa0", " ")) == told


def test_a_table_is_taken_in_and_taken_in_once(client: Client) -> None:
    rows = "place,at,air_c,rh_percent,source\nmist-1,2025-10-20T10:00:00-04:00,21.5,80,logger\n"
    assert "1 reading was taken in" in client.post("/readings", table(rows)).content.decode()
    assert "1 was there already" in client.post("/readings", table(rows)).content.decode()
    assert Reading.rows.count() == 1


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ("place,at,wind\nmist-1,2025-10-20T10:00:00Z,3\n", "wind"),
        ("place,at,air_c\nmist-1,20.10.2025,3\n", "line 2"),
        ("place,at,air_c\nnowhere,2025-10-20T10:00:00Z,3\n", "must be in places"),
        ("place;at;air_c\nmist-1;2025-10-20T10:00:00Z;3\n", "readings.csv"),
    ],
)
def test_one_bad_line_and_nothing_is_taken_in(client: Client, rows: str, told: str) -> None:
    answer = client.post("/readings", table(rows))
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert not Reading.rows.exists()


def test_a_copy_is_asked_for_after_a_table_was_brought_in(client: Client, garden: Garden) -> None:
    rows = "place,at,air_c\nmist-1,2025-10-20T10:00:00-04:00,21\n"
    client.post("/readings", table("place,at\nnowhere,never\n"))
    assert diary.stands("copy-asked") is None
    client.post("/readings", table(rows))
    assert diary.stands("copy-asked") is not None
    diary.clear("copy-asked")
    client.post("/readings", table(rows))
    assert diary.stands("copy-asked") is None, "nothing was new"


def test_whoever_only_records_brings_in_no_table(
    garden: Garden, volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    client = as_member(volunteer)
    assert "multipart" not in shown(client, "/readings")
    assert client.post("/readings", table("place,at\n")).status_code == 403


def test_an_owner_makes_a_token_sees_it_once_and_ends_it(
    owner: Member, as_member: Callable[[Member], Client]
) -> None:
    client = as_member(owner)
    session = client.session
    session["sure_at"] = datetime.now(UTC).isoformat()  # the password was just given
    session.save()
    answer = client.post("/garden/instruments", {"name": "logger on the bench"})
    assert "no-store" in answer["Cache-Control"]
    secret = re.search(r"slip_[\w-]{43}", answer.content.decode())
    assert secret is not None
    page = shown(client, "/garden/instruments")
    assert "logger on the bench" in page
    assert secret.group() not in page
    client.post("/garden/instruments", {"ends": AccessToken.objects.get().pk})
    assert AccessToken.objects.get().ended_at is not None
    assert "ended" in shown(client, "/garden/instruments")
    assert client.post("/garden/instruments", {"name": " "}).status_code == 422


def test_only_an_owner_sees_tokens(client: Client) -> None:
    assert client.get("/garden/instruments").status_code == 403


def test_the_warmth_of_a_batchs_medium_is_what_was_read_first(
    client: Client, garden: Garden, grower: Member, now: datetime, read: Callable[..., Reading]
) -> None:
    batch = stick(garden, grower, now, medium_temp_c=Decimal(18))
    assert "18 °C" in shown(client, f"/batches/{batch.batch}").replace("\xa0", " ")
    read(2, medium_c=20)
    read(1, medium_c=22)
    read(1, "frame-1", medium_c=5)
    assert "mean of 2 readings in its first 28 days" in shown(client, f"/batches/{batch.batch}")


def test_readings_are_taken_in_where_no_sign_can_be_left(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_sign: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(diary, "leave", full)
    rows = "place,at,air_c\nmist-1,2025-10-20T10:00:00-04:00,21.5\n"
    assert "1 reading was taken in" in client.post("/readings", table(rows)).content.decode()


def test_an_address_of_this_machine_only_is_said_to_be_one(
    owner: Member, as_member: Callable[[Member], Client]
) -> None:
    assert "This address is of this machine only." in shown(as_member(owner), "/garden/instruments")
