"""A calendar feed: what is to be done on which day, for any calendar program to subscribe to.

All entries are whole days.  A task keeps its UID when its day changes, so subscribers move the entry
and do not add a second one.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    import icalendar

PRODID: Final = "-//Slipwright//Slipwright calendar//EN"
REFRESH: Final = timedelta(hours=12)
"""How often a subscriber is asked to look again; a lower bound, and only a wish (RFC 7986, 5.7)."""
_LINE_BREAKS: Final = "\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"


@dataclass(frozen=True)
class Event:
    """One task: a whole day, or whole days from ``on`` to ``until``, both included."""

    uid: str
    on: date
    summary: str
    until: date | None = None
    description: str = ""
    url: str = ""
    categories: tuple[str, ...] = ()
    changed_at: datetime | None = None
    sequence: int = 0


def calendar_feed(
    events: Iterable[Event], *, name: str, stamp: datetime, description: str = "", url: str = ""
) -> bytes:
    """Return events as an iCalendar object.

    Parameters
    ----------
    events : iterable of Event
        The tasks, in any order.
    name : str
        Name of the calendar, as subscribers see it.
    stamp : datetime
        When the feed was made, with its time zone; also the time of last change of an event that
        has no ``changed_at``.
    description : str
        What the calendar holds.
    url : str
        Where the feed can be fetched again.

    Returns
    -------
    bytes
        UTF-8 text, lines of at most 75 octets ended by CRLF.

    Raises
    ------
    BadArgument
        If two events have one UID, an event ends before it begins, an instant has no time zone, or
        an address is not plain ASCII without spaces.

    Notes
    -----
    The end of an event is exclusive (the day after the last). DTSTAMP and LAST-MODIFIED are the
    same instant, as RFC 5545 3.8.7.2 has it for objects without a METHOD. Control characters,
    which iCalendar text may not hold, are left out; line breaks of every kind become one.
    An iCalendar object must hold a component, so a feed without events holds the time zone UTC.

    References
    ----------
    RFC 5545 (iCalendar) 3.1, 3.3.4, 3.3.11, 3.6.1, 3.8; RFC 7986 5.1, 5.2, 5.7, 5.8.

    Examples
    --------
    >>> look = Event("look-1@garden.example", date(2026, 9, 17), "Look: Rosa 'Lantern Keeper'")
    >>> feed = calendar_feed([look], name="Garden", stamp=datetime(2026, 9, 10, 8, 0, tzinfo=UTC))
    >>> b"DTEND;VALUE=DATE:20260918" in feed
    True
    """
    import icalendar  # costs more to import than most commands take

    ordered = sorted(events, key=lambda event: (event.on, event.uid))
    _check(ordered)
    calendar = icalendar.Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    for field in ("name", "x-wr-calname"):
        # Typed by hand: the library does not know these names as text and would not escape them.
        calendar.add(field, icalendar.vText(_text(name)), encode=False)
    if description:
        calendar.add("description", _text(description))
    if url:
        calendar.add("source", _address(url), parameters={"VALUE": "URI"})
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    # Typed by hand too: without a type the library writes a clock time, not a duration.
    calendar.add("x-published-ttl", icalendar.vDuration(REFRESH), encode=False)
    for event in ordered:
        calendar.add_component(_event(event, _instant(stamp)))
    if not ordered:
        calendar.add_component(_utc())
    return bytes(calendar.to_ical())


def _check(events: Sequence[Event]) -> None:
    seen: set[str] = set()
    for event in events:
        uid = _text(event.uid)
        if not uid:
            raise BadArgument("uid", "not be empty", event.uid)
        if uid in seen:
            raise BadArgument("uid", "belong to one event only", event.uid)
        seen.add(uid)
        if event.until is not None and event.until < event.on:
            raise BadArgument("until", f"not lie before {event.on}", event.until)
        if event.sequence < 0:
            raise BadArgument("sequence", "be 0 or more", event.sequence)


def _event(event: Event, stamp: datetime) -> icalendar.Event:
    import icalendar

    changed = _instant(event.changed_at) if event.changed_at else stamp
    entry = icalendar.Event()
    entry.add("uid", _text(event.uid))
    entry.add("dtstamp", changed)
    entry.add("last-modified", changed)
    entry.add("sequence", event.sequence)
    entry.add("dtstart", event.on)
    entry.add("dtend", (event.until or event.on) + timedelta(days=1))
    entry.add("summary", _text(event.summary))
    if event.description:
        entry.add("description", _text(event.description))
    if event.url:
        entry.add("url", _address(event.url))
    categories = [_text(category) for category in event.categories]
    if categories:
        entry.add("categories", categories)
    entry.add("transp", "TRANSPARENT")  # a day with work to do is not a day without time
    return entry


def _utc() -> icalendar.Timezone:
    import icalendar

    zone, standard = icalendar.Timezone(), icalendar.TimezoneStandard()
    zone.add("tzid", "Etc/UTC")
    standard.add("dtstart", datetime(1970, 1, 1))  # noqa: DTZ001 (local time, RFC 5545 3.6.5)
    standard.add("tzoffsetfrom", timedelta(0))
    standard.add("tzoffsetto", timedelta(0))
    zone.add_component(standard)
    return zone


def _instant(at: datetime) -> datetime:
    if at.tzinfo is None:
        raise BadArgument("stamp", "have a time zone", at)
    return at.astimezone(UTC).replace(microsecond=0)


def _text(text: str) -> str:
    """Text as iCalendar can hold it: one kind of line break, no control characters, no half signs."""
    text = text.replace("\r\n", "\n")
    for char in _LINE_BREAKS:
        text = text.replace(char, "\n")
    return "".join(
        "\ufffd" if unicodedata.category(char) == "Cs" else char
        for char in text
        if char in "\n\t" or unicodedata.category(char) != "Cc"
    )


def _address(url: str) -> str:
    if not (url.isascii() and url.isprintable()) or " " in url:
        raise BadArgument("url", "be plain ASCII without spaces", url)
    return url
