"""The calendar feed read by a reader of our own, as strict as RFC 5545, beside the lenient library.

Sources: RFC 5545, Desruisseaux 2009, *Internet Calendaring and Scheduling Core Object Specification*,
sections 3.1 (content lines and folding), 3.2, 3.3.4 (DATE), 3.3.5 (DATE-TIME), 3.3.6 (DURATION),
3.3.8 (INTEGER), 3.3.11 (TEXT), 3.4, 3.6 and 3.6.1 (components); RFC 7986, Daboo 2016, *New Properties
for iCalendar*, sections 5.1, 5.7, 5.8.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs.calendar import Event, calendar_feed

STAMP = datetime(2026, 9, 10, 8, 0, tzinfo=UTC)

# -- the strict reader ------------------------------------------------------------------------------

NAME = re.compile(r"[A-Za-z0-9-]+")  # 3.1: iana-token / x-name
SAFE = r'[^\x00-\x08\x0a-\x1f\x7f",;:]'  # 3.1: SAFE-CHAR
QSAFE = r'"[^\x00-\x08\x0a-\x1f\x7f"]*"'
PARAM = re.compile(rf";([A-Za-z0-9-]+)=((?:{QSAFE}|{SAFE}*)(?:,(?:{QSAFE}|{SAFE}*))*)")
VALUE = re.compile(r"[^\x00-\x08\x0a-\x1f\x7f]*")  # 3.1: VALUE-CHAR, all but CONTROL
TEXT = re.compile(r"(?:\\[\\;,Nn]|[^\\;,\x00-\x08\x0a-\x1f\x7f])*")  # 3.3.11
TEXT_LIST = re.compile(rf"{TEXT.pattern}(?:,{TEXT.pattern})*")
DATE_TIME_UTC = re.compile(r"\d{8}T\d{6}Z")
DURATION = re.compile(r"[+-]?P(?:\d+W|\d+D(?:T(?:\d+H)?(?:\d+M)?(?:\d+S)?)?|T(?:\d+H)?(?:\d+M)?(?:\d+S)?)")
ONCE_IN_EVENT = {
    *("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "URL", "LAST-MODIFIED"),
    *("SEQUENCE", "TRANSP"),
}


class Broken(ValueError):
    """A feed that is not iCalendar."""


@dataclass
class Component:
    name: str
    lines: list[tuple[str, dict[str, str], str]] = field(default_factory=list)
    parts: list[Component] = field(default_factory=list)

    def values(self, name: str) -> list[str]:
        return [value for line, _, value in self.lines if line == name]

    def params(self, name: str) -> dict[str, str]:
        return next(params for line, params, _ in self.lines if line == name)

    def text(self, name: str) -> str:
        (value,) = self.values(name)
        if not TEXT.fullmatch(value):
            raise Broken(f"{name} is no TEXT: {value!r}")
        return unescaped(value)


def unescaped(text: str) -> str:
    return re.sub(r"\\([\\;,Nn])", lambda m: "\n" if m[1] in "Nn" else m[1], text)


def unfolded(feed: bytes) -> list[str]:
    if not feed.endswith(b"\r\n"):
        raise Broken("the last line is not ended by CRLF")
    physical = feed[:-2].split(b"\r\n")
    for line in physical:
        if b"\r" in line or b"\n" in line:
            raise Broken("a lone CR or LF")
        if len(line) > 75:
            raise Broken(f"a line of {len(line)} octets")
        line.decode("utf-8")  # folding may not cut a character: each physical line is UTF-8 by itself
    return re.sub(rb"\r\n[ \t]", b"", feed[:-2]).decode("utf-8").split("\r\n")


def content_line(line: str) -> tuple[str, dict[str, str], str]:
    name = NAME.match(line)
    if not name:
        raise Broken(f"no name: {line!r}")
    params, at = {}, name.end()
    while at < len(line) and line[at] == ";":
        found = PARAM.match(line, at)
        if not found:
            raise Broken(f"a bad parameter: {line!r}")
        params[found[1].upper()] = found[2]
        at = found.end()
    if line[at : at + 1] != ":" or not VALUE.fullmatch(line, at + 1):
        raise Broken(f"a bad value: {line!r}")
    return name[0].upper(), params, line[at + 1 :]


def strict(feed: bytes) -> Component:
    stack: list[Component] = [Component("")]
    for line in unfolded(feed):
        name, params, value = content_line(line)
        if name == "BEGIN":
            stack.append(Component(value.upper()))
        elif name == "END":
            done = stack.pop()
            if done.name != value.upper():
                raise Broken(f"END:{value} closes {done.name}")
            stack[-1].parts.append(done)
        else:
            stack[-1].lines.append((name, params, value))
    if len(stack) != 1 or stack[0].lines or [c.name for c in stack[0].parts] != ["VCALENDAR"]:
        raise Broken("not one VCALENDAR")
    calendar = stack[0].parts[0]
    check_calendar(calendar)
    return calendar


def check_calendar(calendar: Component) -> None:
    for name in ("PRODID", "VERSION"):  # 3.6: required, once
        if len(calendar.values(name)) != 1:
            raise Broken(f"{name} is not there once")
    if calendar.values("VERSION") != ["2.0"]:
        raise Broken("VERSION is not 2.0")
    if not calendar.parts:
        raise Broken("a calendar without a component")  # 3.6: component = 1*(...)
    for interval in calendar.values("REFRESH-INTERVAL"):  # RFC 7986, 5.7: VALUE=DURATION is required
        if calendar.params("REFRESH-INTERVAL").get("VALUE") != "DURATION" or not DURATION.fullmatch(interval):
            raise Broken(f"REFRESH-INTERVAL {interval!r}")
    uids = [check_event(part) for part in calendar.parts if part.name == "VEVENT"]
    if len(uids) != len(set(uids)):
        raise Broken("a UID twice")


def check_event(event: Component) -> str:
    for name in ONCE_IN_EVENT:
        if len(event.values(name)) > 1:
            raise Broken(f"{name} more than once")
    for name in ("DTSTAMP", "LAST-MODIFIED"):  # 3.8.7: UTC
        (instant,) = event.values(name)
        if not DATE_TIME_UTC.fullmatch(instant):
            raise Broken(f"{name} {instant!r}")
    for name in ("DTSTART", "DTEND"):
        if event.params(name) != {"VALUE": "DATE"}:
            raise Broken(f"{name} is not VALUE=DATE")
    if not days(event)[0] < days(event)[1]:
        raise Broken("DTEND is not later than DTSTART")  # 3.8.2.2
    if not re.fullmatch(r"\d+", event.values("SEQUENCE")[0]):
        raise Broken("SEQUENCE is no number")
    for listed in event.values("CATEGORIES"):
        if not TEXT_LIST.fullmatch(listed):
            raise Broken(f"CATEGORIES {listed!r}")
    return event.text("UID")


def days(event: Component) -> tuple[date, date]:
    start, end = (
        datetime.strptime(event.values(name)[0], "%Y%m%d").replace(tzinfo=UTC).date()
        for name in ("DTSTART", "DTEND")
    )
    return start, end


def categories(event: Component) -> tuple[str, ...]:
    parts = [re.findall(rf"(?:^|,)({TEXT.pattern})", value) for value in event.values("CATEGORIES")]
    return tuple(unescaped(part) for found in parts for part in found)


# -- what may be expected of a text -----------------------------------------------------------------


def held(text: str) -> str:
    """What iCalendar can hold of a text: 3.3.11 leaves no place for controls but tab and line break."""
    text = re.sub("\r\n|[\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029]", "\n", text)
    return "".join(c for c in text if c in "\n\t" or unicodedata.category(c) != "Cc")


SPICE = st.sampled_from(
    [",", ";", "\\", "\n", "\r\n", "\\n", ":", '"', "🌹", "é", "e\u0301", "鉢", "\t", " ", "\u2028"]
)
TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=("Cs",)), max_size=60),
    st.lists(st.one_of(SPICE, st.text("abc", max_size=30)), max_size=40).map("".join),
)
DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))
EVENTS = st.lists(
    st.builds(
        Event,
        uid=st.uuids().map(str),
        on=DAYS,
        summary=TEXTS,
        description=TEXTS,
        url=st.sampled_from(["", "https://garden.example/b/K7Q2M9T3?x=1;y=2,3"]),
        categories=st.lists(
            st.text(st.characters(categories=("L",)), min_size=1, max_size=9), max_size=3
        ).map(tuple),
        sequence=st.integers(0, 99),
    ),
    max_size=4,
    unique_by=lambda event: event.uid,
)


@given(EVENTS, TEXTS)
@settings(deadline=None)
def test_what_went_in_comes_out_of_the_strict_reader(events: list[Event], name: str) -> None:
    calendar = strict(calendar_feed(events, name=name, stamp=STAMP))
    assert calendar.text("NAME") == calendar.text("X-WR-CALNAME") == held(name)
    read = {part.text("UID"): part for part in calendar.parts if part.name == "VEVENT"}
    assert len(read) == len(events)
    for event in events:
        part = read[event.uid]
        assert part.text("SUMMARY") == held(event.summary)
        described = [part.text("DESCRIPTION")] if part.values("DESCRIPTION") else []
        assert described == ([held(event.description)] if event.description else [])
        assert part.values("URL") == ([event.url] if event.url else [])
        assert days(part) == (event.on, event.on + timedelta(days=1))
        assert categories(part) == event.categories


@given(EVENTS, TEXTS)
@settings(deadline=None, max_examples=50)
def test_the_lenient_library_reads_the_same(events: list[Event], name: str) -> None:
    feed = calendar_feed(events, name=name, stamp=STAMP)
    ours = {part.text("UID"): part for part in strict(feed).parts if part.name == "VEVENT"}
    theirs = {str(part["UID"]): part for part in icalendar.Calendar.from_ical(feed).walk("VEVENT")}
    assert ours.keys() == theirs.keys()
    for uid, part in ours.items():
        assert part.text("SUMMARY") == str(theirs[uid]["SUMMARY"])
        assert days(part) == (theirs[uid]["DTSTART"].dt, theirs[uid]["DTEND"].dt)


@pytest.mark.parametrize("on", [date(2026, 12, 31), date(2028, 2, 29), date(2026, 3, 29), date(2020, 12, 31)])
def test_days_at_the_edges_of_months_years_and_summer_time(on: date) -> None:
    event = Event("a", on, "Look")
    (part,) = strict(calendar_feed([event], name="G", stamp=STAMP)).parts
    assert days(part) == (on, on + timedelta(days=1))


def test_a_feed_without_tasks_is_still_a_calendar() -> None:
    assert [part.name for part in strict(calendar_feed([], name="G", stamp=STAMP)).parts] == ["VTIMEZONE"]


def test_half_a_sign_does_not_break_the_feed() -> None:
    (part,) = strict(calendar_feed([Event("a", date(2026, 9, 17), "x\ud83cy")], name="G", stamp=STAMP)).parts
    assert part.text("SUMMARY") == "x\ufffdy"


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        (b"\r\n", b"\n", "CRLF"),
        (b"SUMMARY:Look", b"SUMMARY:" + b"x" * 80, "octets"),
        (b"SUMMARY:Look", b"SUMMARY:a,b", "no TEXT"),
        (b"SUMMARY:Look", b"SUMMARY:a\x07b", "bad value"),
        (b"DTEND;VALUE=DATE:20260918", b"DTEND;VALUE=DATE:20260917", "not later"),
        (b"DTEND;VALUE=DATE:", b"DTEND:", "VALUE=DATE"),
        (b"VERSION:2.0\r\n", b"", "VERSION"),
        (b"END:VEVENT", b"END:VTODO", "closes"),
        (b"DTSTAMP:20260910T080000Z", b"DTSTAMP:20260910T080000", "DTSTAMP"),
    ],
)
def test_the_strict_reader_is_strict(old: bytes, new: bytes, why: str) -> None:
    feed = calendar_feed([Event("a", date(2026, 9, 17), "Look")], name="G", stamp=STAMP)
    assert old in feed
    with pytest.raises(Broken, match=why):
        strict(feed.replace(old, new)).parts[0].text("SUMMARY")
