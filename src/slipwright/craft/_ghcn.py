"""The daily record of a station as NOAA NCEI publishes it: GHCN-Daily, by fixed columns or with commas.

``readme.txt`` of GHCN-Daily, section III (station files: columns, elements, units, flags), and
``readme-by_station.txt`` (with commas), both NOAA NCEI; read as they are quoted elsewhere.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from slipwright.craft.errors import BadArgument

MISSING: Final = -9999
SOURCE: Final = "NOAA GHCN-Daily"
#: the elements read: the column, and how many of the published unit make one of ours
_ELEMENTS: Final[Mapping[str, tuple[str, int]]] = {
    "TMIN": ("tmin_c", 10),
    "TMAX": ("tmax_c", 10),
    "PRCP": ("rain_mm", 10),
    "RHAV": ("rh_mean_percent", 1),
    "TSUN": ("sunshine_h", 60),
    "ACMH": ("cloud_fraction", 100),
}
LIMITS: Final[Mapping[str, tuple[float, float]]] = {
    "tmin_c": (-90, 60),
    "tmax_c": (-90, 60),
    "rain_mm": (0, 3000),
    "rh_mean_percent": (0, 100),
    "sunshine_h": (0, 24),
    "cloud_fraction": (0, 1),
    "radiation_mj_m2": (0, 60),
}
DLY = re.compile(r"[A-Z0-9_-]{11}\d{6}[A-Z0-9]{4}(?=.{5})")
BY_STATION = re.compile(r"[A-Z0-9_-]{11},\d{8},[A-Z0-9]{4},")


def day(text: str, name: str, line: int) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise BadArgument(name, f"be a day as 2026-05-01, in line {line}", text) from None


@dataclass(frozen=True, slots=True)
class _Told:
    """One value of one day, as the file has it."""

    station: str
    on: str
    element: str
    value: int
    is_flagged: bool
    line: int


def dly(text: str) -> Iterator[_Told]:
    # columns, from 1: station 1-11, year 12-15, month 16-17, element 18-21, then for each day of 31 the
    # value 5 wide and the flags of measurement, quality and source, each 1 wide
    for line, written in enumerate(_lines(text), 1):
        if not written.strip():
            continue
        if not DLY.match(written):
            raise BadArgument("weather", f"hold a station, month and element in line {line}", written[:21])
        if (element := written[17:21]) not in _ELEMENTS:
            continue
        for nth in range(31):
            part = written[21 + 8 * nth : 29 + 8 * nth].ljust(8)
            if not part.strip():
                continue
            value = _whole(part[:5], line)
            if value == MISSING:
                continue
            on = day(f"{written[11:15]}-{written[15:17]}-{nth + 1:02}", "on", line)
            yield _Told(written[:11], on, element, value, part[6] != " ", line)


def by_station(text: str) -> Iterator[_Told]:
    # station, day, element, value, flags of measurement, quality and source, time of reading
    for line, cells in enumerate(csv.reader(_lines(text)), 1):
        if not cells or (line == 1 and cells[0].upper() == "ID"):
            continue
        if len(cells) < 6 or len(cells[0]) != 11 or not re.fullmatch(r"\d{8}", cells[1]):
            raise BadArgument(
                "weather", f"hold a station, day, element, value and flags in line {line}", ",".join(cells)
            )
        if cells[2] not in _ELEMENTS:
            continue
        value = _whole(cells[3], line)
        if value == MISSING:
            continue
        on = day(f"{cells[1][:4]}-{cells[1][4:6]}-{cells[1][6:]}", "on", line)
        yield _Told(cells[0], on, cells[2], value, bool(cells[5].strip()), line)


def _lines(text: str) -> Iterator[str]:
    """Give the lines one by one: a list of them all may be many times as large as the file."""
    first = 0
    while first < len(text):
        end = text.find("\n", first)
        end = len(text) if end < 0 else end
        yield text[first:end].rstrip("\r")
        first = end + 1


def _whole(text: str, line: int) -> int:
    try:
        return int(text)
    except ValueError:
        raise BadArgument("weather", f"hold a whole number in line {line}", text) from None


def days_of(told: Iterator[_Told]) -> tuple[str, tuple[Mapping[str, str], ...], int, int, int]:
    """Put the values of each day together, leaving out what cannot be trusted.

    Returns the station, a row a day, and the counts of values flagged, beyond belief, and days known by half.
    """
    days: dict[str, dict[str, float]] = {}
    station, n_flagged, n_beyond = "", 0, 0
    for one in told:
        station = station or one.station
        if one.station != station:
            raise BadArgument(
                "weather", f"hold one station, not also another in line {one.line}", one.station
            )
        if one.is_flagged:
            n_flagged += 1
            continue
        name, parts = _ELEMENTS[one.element]
        value = one.value / parts
        low, high = LIMITS[name]
        if low <= value <= high:
            days.setdefault(one.on, {})[name] = value
        else:
            n_beyond += 1
    rows, n_half = [], 0
    for on in sorted(days):
        found = days[on]
        if "tmin_c" not in found or "tmax_c" not in found:
            n_half += ("tmin_c" in found) + ("tmax_c" in found)
        elif found["tmax_c"] < found["tmin_c"]:
            n_beyond += 1
        else:
            values = {name: _text(value) for name, value in found.items()}
            rows.append({"on": on, **values, "source": f"{SOURCE} {station}"})
    return station, tuple(rows), n_flagged, n_beyond, n_half


def _text(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
