"""Mist times on the pages: by the hour, what was seen of the bed, the nozzles, paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.models import Bed, Garden, Member, Place, WeatherDay, Withdrawal
from tests.records.making import stick

TODAY = date(2025, 10, 20)


@pytest.fixture
def weather(garden: Garden) -> Callable[..., WeatherDay]:
    """Give a function that writes down a day's weather."""

    def day(after: int = 0, *, tmin_c: float = 13, tmax_c: float = 26, **more: object) -> WeatherDay:
        on = TODAY + timedelta(days=after)
        known = {"tmin_c": Decimal(str(tmin_c)), "tmax_c": Decimal(str(tmax_c))} | more
        return WeatherDay.rows.create(garden=garden, on=on, **known)

    return day


def shown(client: Client, where: str = "/mist") -> str:
    return re.sub(r"\s+", " ", client.get(where).content.decode())


def words(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


def shortest(page: str) -> int:
    found = re.search(r"A burst about every (\d+) min", page)
    assert found, words(page)[:600]
    return int(found[1])


def form(page: str) -> dict[str, str]:
    inside = re.search(r'<form[^>]*action="/mist/seen".*?</form>', page)
    assert inside
    return dict(re.findall(r'name="(entry_id|place|at|back)" value="([^"]*)"', inside[0]))


def see(client: Client, seen: str, where: str = "/mist") -> None:
    answer = client.post("/mist/seen", form(shown(client, where)) | {"seen": seen})
    assert answer.status_code == 302, answer.content.decode()[:400]


# --- the times ------------------------------------------------------------------------------------------


def test_the_day_is_told_by_the_hour_with_ranges_and_a_picture(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    weather()
    page = shown(client)
    assert 8 <= shortest(page) <= 40
    assert "d-mist" in page
    assert '<th scope="row">12:00</th>' in page
    assert re.search(r"Last burst by 1[67]:", words(page))  # sunset is about six by the clock of summer
    assert "right to half or double" in page


def test_the_warmer_and_drier_the_day_the_more_often(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    weather(tmax_c=16, rh_mean_percent=85, cloud_fraction=1)
    calm = shortest(shown(client))
    WeatherDay.rows.all().delete()
    weather(tmax_c=34, rh_mean_percent=35, sunshine_h=10)
    assert shortest(shown(client)) < calm / 3


def test_days_to_come_are_shown_as_far_as_there_is_weather(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    for after in (0, 1, 2):
        weather(after, made_on=TODAY)
    page = shown(client)
    assert "As forecast." in page
    assert "Tuesday 21 October" in page
    assert "Wednesday 22 October" in page
    assert "Thursday 23 October" not in page
    assert "print-only" in page


def test_the_days_query_by_day_or_bed_does_not_grow(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    weather()
    client.get("/mist")
    with CaptureQueriesContext(connection) as few:
        client.get("/mist")
    for after in range(1, 7):
        weather(after)
    with CaptureQueriesContext(connection) as many:
        client.get("/mist")
    assert len(many) == len(few)


def test_a_closed_tunnel_is_misted_less_often_and_that_is_remembered(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    weather(tmax_c=32, rh_mean_percent=40)
    sheltered = shortest(shown(client))
    closed = shortest(shown(client, "/mist?place=mist-1&bed=closed"))
    assert closed > sheltered
    assert shortest(shown(client)) == closed
    assert shortest(shown(client, "/mist?bed=airtight")) == closed


def test_the_shade_of_the_place_counts(
    client: Client, garden: Garden, weather: Callable[..., WeatherDay]
) -> None:
    weather(radiation_mj_m2=18, rh_mean_percent=60)
    page = shown(client)
    assert "No shade is written for this place: 50 % is taken." in page
    Place.rows.of(garden).filter(place="mist-1").update(shade_percent=95)
    darker = shown(client)
    assert "Shade of this place: 95 %." in darker
    assert shortest(darker) > shortest(page)


def test_without_weather_it_is_asked_for_and_kept_nowhere(client: Client) -> None:
    page = shown(client)
    assert "No weather is written down for today." in page
    asked = shown(client, "/mist?place=mist-1&tmin=18&tmax=33&rh=45")
    assert shortest(asked) < 20
    assert not WeatherDay.rows.exists()


@pytest.mark.parametrize("asked", ["tmin=18", "tmin=18&tmax=x", "tmin=30&tmax=20", "tmin=18&tmax=33&rh=0"])
def test_weather_that_cannot_be_is_told(client: Client, asked: str) -> None:
    answer = client.get(f"/mist?place=mist-1&{asked}")
    assert answer.status_code == 422
    assert "Not saved yet" in answer.content.decode() or "alert" in answer.content.decode()


def test_a_cold_day_is_off(client: Client, weather: Callable[..., WeatherDay]) -> None:
    weather(tmin_c=-8, tmax_c=2)
    assert "Off all day" in shown(client)


def test_a_garden_without_mist_says_how_to_have_it(client: Client, garden: Garden) -> None:
    Place.rows.of(garden).update(cover="open")
    assert "No place here stands under mist" in shown(client)
    assert client.get("/mist?place=mist-1").status_code == 404


@pytest.mark.parametrize(
    ("known", "said"),
    [
        ({"radiation_mj_m2": Decimal(20), "sunshine_h": Decimal(8)}, "the day’s radiation, as its source"),
        ({"sunshine_h": Decimal(8), "cloud_fraction": Decimal("0.5")}, "from hours of sunshine"),
        ({"cloud_fraction": Decimal("0.5")}, "from cloud"),
        ({}, "guessed from the warmth"),
    ],
)
def test_what_the_light_rests_on_is_told(
    client: Client, weather: Callable[..., WeatherDay], known: dict[str, Decimal], said: str
) -> None:
    weather(**known)
    assert f"Light: {said}" in shown(client)


def test_a_controller_mists_by_the_beds_own_factor(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    weather()
    assert "0.070 mm" in words(shown(client))
    see(client, "leaves-dry")
    assert "0.052 mm" in words(shown(client)) or "0.053 mm" in words(shown(client))


def test_the_controller_form_and_the_caution_of_electricity_stand_there(client: Client) -> None:
    page = shown(client)
    assert re.search(r"E = 0\.000\d\d S \+ 0\.1\d\d VPD", page)
    assert "licensed electrician" in page


def test_what_an_instrument_reads_at_the_bed_goes_before_the_weather(
    client: Client, garden: Garden, grower: Member
) -> None:
    assert "Read at the bed" not in shown(client)
    now = datetime.now(UTC).replace(microsecond=0)
    who = {"garden": garden, "by": grower, "now": now, "place": "mist-1"}
    read = {"air_c": Decimal(32), "rh_percent": Decimal(40), "light_w_m2": Decimal(400)}
    services.record_reading(**who, at=now - timedelta(hours=4), **read)  # type: ignore[arg-type]
    assert "Read at the bed" not in shown(client)
    services.record_reading(**who, at=now - timedelta(minutes=5), **read)  # type: ignore[arg-type]
    page = words(shown(client, "/mist?tmin=15&tmax=25"))
    assert "2.9 kPa short of full. By that a burst about every 8 min." in page


def test_the_brightest_light_that_may_be_read_has_its_times(
    client: Client, garden: Garden, grower: Member
) -> None:
    now = datetime.now(UTC).replace(microsecond=0)
    services.record_reading(
        garden=garden,
        by=grower,
        now=now,
        place="mist-1",
        at=now - timedelta(minutes=5),
        air_c=Decimal(32),
        rh_percent=Decimal(40),
        light_w_m2=Decimal(1900),
    )
    page = words(shown(client))
    assert "No weather is written down for today." in page
    assert "2.9 kPa short of full. By that a burst about every" in page


def test_without_light_or_weather_an_instrument_says_nothing(
    client: Client, garden: Garden, grower: Member
) -> None:
    now = datetime.now(UTC).replace(microsecond=0)
    who = {"garden": garden, "by": grower, "now": now, "place": "mist-1", "at": now - timedelta(minutes=5)}
    services.record_reading(**who, air_c=Decimal(32), rh_percent=Decimal(40))  # type: ignore[arg-type]
    assert "Read at the bed" not in shown(client)


# --- what was seen --------------------------------------------------------------------------------------


def test_dry_leaves_make_the_next_times_shorter_and_soggy_medium_longer(
    client: Client, weather: Callable[..., WeatherDay]
) -> None:
    weather(tmax_c=20, rh_mean_percent=70, cloud_fraction=Decimal("0.9"))
    usual = shortest(shown(client))
    see(client, "leaves-dry")
    page = shown(client)
    assert shortest(page) == pytest.approx(0.75 * usual, abs=3)
    assert "Time between bursts × 0.75" in page
    assert "leaves dry; grower" in page
    see(client, "medium-soggy")
    assert "Time between bursts × 0.94" in shown(client)


def test_it_is_saved_once_however_often_it_is_pressed(client: Client) -> None:
    filled = form(shown(client)) | {"seen": "leaves-dry"}
    for _ in range(2):
        assert client.post("/mist/seen", filled).status_code == 302
    assert Bed.rows.count() == 1


def test_the_other_button_of_the_same_form_is_a_record_of_its_own(client: Client) -> None:
    filled = form(shown(client))
    client.post("/mist/seen", filled | {"seen": "leaves-dry"})
    assert client.post("/mist/seen", filled | {"seen": "medium-soggy"}).status_code == 302
    assert Bed.rows.count() == 2


def test_it_can_be_undone(client: Client) -> None:
    see(client, "leaves-dry")
    page = shown(client)
    saved = re.search(r'name="saved" value="([^"]+)"', page)
    assert saved
    assert "leaves dry before the burst" in page
    client.post("/undo", {"saved": saved[1]})
    assert Withdrawal.rows.count() == 1
    assert "Not learned yet" in shown(client)


@pytest.mark.parametrize(
    "wrong", [{"seen": ""}, {"seen": "leaves-wet"}, {"at": "noon"}, {"place": "nowhere"}]
)
def test_what_does_not_say_is_not_saved(client: Client, wrong: dict[str, str]) -> None:
    filled = form(shown(client)) | {"seen": "leaves-dry"} | wrong
    assert client.post("/mist/seen", filled).status_code in (404, 422)
    assert not Bed.rows.exists()


def test_a_reader_sees_the_times_and_no_buttons(
    reader: Member, as_member: Callable[[Member], Client], weather: Callable[..., WeatherDay]
) -> None:
    weather()
    page = shown(as_member(reader))
    assert shortest(page)
    assert "/mist/seen" not in page
    assert "/mist/nozzles" not in page


def test_the_factor_counts_once_what_two_people_saw_within_the_hour(
    client: Client, garden: Garden, grower: Member, volunteer: Member
) -> None:
    at = datetime.now(UTC).replace(microsecond=0) - timedelta(hours=2)
    for who, later in ((grower, 0), (volunteer, 10)):
        services.record_bed(
            garden=garden,
            by=who,
            now=at + timedelta(hours=1),
            place="mist-1",
            at=at + timedelta(minutes=later),
            seen="leaves-dry",
        )
    page = shown(client)
    assert "Time between bursts × 0.75" in page
    assert "counted once" in page


# --- nozzles --------------------------------------------------------------------------------------------

CANS = {"place": "mist-1", "caught_ml": "20", "can_diameter_mm": "100", "minutes": "10"}


def test_a_test_with_cans_gives_the_burst(client: Client) -> None:
    assert "Not known: test the nozzles first." in shown(client)
    assert client.post("/mist/nozzles", CANS).status_code == 302
    assert Place.rows.get(place="mist-1").mist_mm_per_min == Decimal("0.25")
    assert "About 28 s" in words(shown(client))


@pytest.mark.parametrize("wrong", [{"caught_ml": "0"}, {"minutes": ""}, {"can_diameter_mm": "wide"}])
def test_a_test_that_cannot_be_is_told_and_stays_typed(client: Client, wrong: dict[str, str]) -> None:
    answer = client.post("/mist/nozzles", CANS | wrong)
    assert answer.status_code == 422
    assert next(iter(wrong)) in answer.content.decode()
    assert Place.rows.get(place="mist-1").mist_mm_per_min is None


# --- the ways to it -------------------------------------------------------------------------------------


def test_garden_and_place_lead_to_it(client: Client) -> None:
    assert 'href="/mist"' in shown(client, "/garden")
    assert "/mist?place=mist-1" in shown(client, "/rows/places/row?key=mist-1")
    assert "/mist?place" not in shown(client, "/rows/places/row?key=frame-1")


def test_today_has_the_two_buttons_at_a_mist_bench(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now, place="frame-1", cover="tent", stuck_on=date(2025, 9, 1))
    assert "/mist/seen" not in shown(client, "/")
    stick(garden, grower, now, place="mist-1", cover="mist", stuck_on=date(2025, 9, 1))
    page = shown(client, "/")
    assert page.count('action="/mist/seen"') == 1
    assert 'data-record="bed"' in page
    answer = client.post("/mist/seen", form(page) | {"seen": "medium-soggy"})
    assert answer["Location"] == "/"
    assert Bed.rows.get().seen == "medium-soggy"


def test_of_many_mist_beds_today_leads_to_their_pages(
    client: Client, garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    for n in range(4):
        place = {"place": f"more-{n}", "kind": "bench", "cover": "mist"}
        services.add_reference(garden=garden, by=owner, now=now, table="places", row=place)
        stick(garden, grower, now, place=f"more-{n}", cover="mist", stuck_on=date(2025, 9, 1))
    page = shown(client, "/")
    assert 'action="/mist/seen"' not in page
    assert page.count('href="/mist?place=more-') == 4
