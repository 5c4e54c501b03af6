"""The calendar feed as the common library reads it; the strict reading is in tests/outside."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import icalendar
import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.calendar import Event, calendar_feed

STAMP = datetime(2026, 9, 10, 8, 0, tzinfo=UTC)
LOOK = Event("look-1@garden", date(2026, 9, 17), "Look: Rosa ‘Lantern Keeper’", categories=("look", "Tent 1"))


def _events(feed: bytes) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(feed).walk("VEVENT"))


def test_a_day_ends_on_the_day_after() -> None:
    (event,) = _events(calendar_feed([LOOK], name="Garden", stamp=STAMP))
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (date(2026, 9, 17), date(2026, 9, 18))


def test_several_days_end_on_the_day_after_the_last() -> None:
    pot_up = Event("pot-up-1", date(2026, 12, 28), "Pot up", until=date(2027, 1, 3))
    (event,) = _events(calendar_feed([pot_up], name="Garden", stamp=STAMP))
    assert event["DTEND"].dt == date(2027, 1, 4)


def test_an_event_of_an_unchanged_task_is_the_same_bytes_in_a_later_feed() -> None:
    changed = datetime(2026, 9, 1, 12, 30, tzinfo=timezone(timedelta(hours=-4)))
    event = Event("a", date(2026, 9, 17), "Look", changed_at=changed)
    feeds = [calendar_feed([event], name="Garden", stamp=STAMP + timedelta(days=n)) for n in (0, 7)]
    assert feeds[0] == feeds[1]
    assert b"DTSTAMP:20260901T163000Z" in feeds[0]
    assert b"LAST-MODIFIED:20260901T163000Z" in feeds[0]


def test_a_moved_task_keeps_its_uid() -> None:
    moved = Event(LOOK.uid, date(2026, 9, 24), LOOK.summary, sequence=1)
    before, after = (_events(calendar_feed([e], name="Garden", stamp=STAMP))[0] for e in (LOOK, moved))
    assert before["UID"] == after["UID"]
    assert (before["SEQUENCE"], after["SEQUENCE"]) == (0, 1)


def test_the_order_of_events_does_not_matter() -> None:
    other = Event("b", date(2026, 9, 16), "Stick")
    assert calendar_feed([LOOK, other], name="G", stamp=STAMP) == calendar_feed(
        [other, LOOK], name="G", stamp=STAMP
    )


def test_the_calendar_says_its_name_and_when_to_look_again() -> None:
    feed = calendar_feed([LOOK], name="Saltmarsh Lane", stamp=STAMP, url="https://garden.example/feed.ics")
    calendar = icalendar.Calendar.from_ical(feed)
    assert calendar["NAME"] == calendar["X-WR-CALNAME"] == "Saltmarsh Lane"
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT12H" in feed
    assert b"\r\nX-PUBLISHED-TTL:PT12H\r\n" in feed
    assert b"SOURCE;VALUE=URI:https://garden.example/feed.ics" in feed


def test_work_does_not_make_a_day_busy() -> None:
    assert b"TRANSP:TRANSPARENT" in calendar_feed([LOOK], name="G", stamp=STAMP)


@pytest.mark.parametrize(
    ("event", "rule"),
    [
        (Event("", date(2026, 9, 17), "x"), "uid must not be empty"),
        (Event(LOOK.uid, date(2026, 9, 18), "x"), "uid must belong to one event only"),
        (Event("b", date(2026, 9, 17), "x", until=date(2026, 9, 16)), "until must not lie before"),
        (Event("b", date(2026, 9, 17), "x", sequence=-1), "sequence must be 0 or more"),
        (Event("b", date(2026, 9, 17), "x", url="https://gärten.example"), "url must be plain ASCII"),
        (Event("b", date(2026, 9, 17), "x", changed_at=datetime(2026, 9, 1)), "have a time zone"),  # noqa: DTZ001
    ],
)
def test_nonsense_is_refused(event: Event, rule: str) -> None:
    with pytest.raises(BadArgument, match=rule):
        calendar_feed([LOOK, event], name="G", stamp=STAMP)
