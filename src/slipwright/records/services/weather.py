"""Weather into a garden: a file somebody brings in, or what was fetched. The same again changes nothing.

A day that was observed and one that was forecast are two rows, and what was observed goes before. Gaps are
left open here: nothing is written that nobody saw.
"""

from __future__ import annotations

import csv
import io
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

from slipwright.craft.weather_files import WeatherFile, form_of, read_text, unpacked
from slipwright.records import roles
from slipwright.records.canonical import plain
from slipwright.records.columns import table_named
from slipwright.records.keeping import standing
from slipwright.records.models import Garden, Member, WeatherDay
from slipwright.records.rows import Row, checked
from slipwright.records.tables.loading import load
from slipwright.records.tables.report import LoadReport

WEATHER = table_named("weather")
#: a forecast of the same morning is written anew only where it differs by so much [°C]
WORTH_CHANGING_C = Decimal("0.5")
#: or its light, which heats tents, by so much: some 100 W/m² at a summer's noon [MJ/m²]
WORTH_CHANGING_MJ_M2 = Decimal(3)
#: so many days at once are worth a copy of the garden
_MANY = 100


@dataclass(frozen=True, slots=True)
class WeatherKept:
    """What became of a file of weather; ``station`` is empty where it was our own table."""

    report: LoadReport
    station: str = ""
    n_flagged: int = 0
    n_beyond: int = 0
    n_half: int = 0


def keep_weather_file(
    *, garden: Garden, by: Member | None, now: datetime, content: bytes, only_from: date | None = None
) -> WeatherKept:
    """Take in a table ``weather.csv`` or a station's GHCN-Daily file: all of it, or nothing.

    Of a station's file, days before ``only_from`` are left out. Raises ``BadArgument`` for a file that is
    none of these, and ``LoadFailed``. A command, which knows no member, passes none.
    """
    if by is not None:
        roles.require(by, roles.EDIT, garden)
    text = unpacked(content)
    if form_of(text) == "weather.csv":
        return WeatherKept(_loaded(garden, now, text))
    return _of_station(garden, now, read_text(text), only_from)


def keep_fetched_weather(*, garden: Garden, now: datetime, days: Sequence[Row]) -> LoadReport:
    """Take in what a service told of days gone by and to come, and return what became of it.

    A day observed by anybody else stays as it is. A forecast made the same day before is written anew where
    its lowest or highest differs by half a degree, or its radiation by 3 MJ/m².
    """
    rows = [checked(WEATHER, row) for row in days]
    there = {
        (row.on, row.made_on): row
        for row in WeatherDay.rows.of(garden).filter(on__in=[row["on"] for row in rows])
    }
    wanted = [row for row in rows if _is_news(row, there.get((row["on"], row.get("made_on"))))]
    if not wanted:
        return LoadReport(garden=str(garden.garden))
    return _loaded(garden, now, _table(wanted))


def _is_news(row: Row, there: WeatherDay | None) -> bool:
    if there is None:
        return True
    if there.source != row.get("source"):
        return False
    worth = {"tmin_c": WORTH_CHANGING_C, "tmax_c": WORTH_CHANGING_C, "radiation_mj_m2": WORTH_CHANGING_MJ_M2}
    for name, least in worth.items():
        before, after = getattr(there, name), row.get(name)
        if after is not None and (before is None or abs(Decimal(str(after)) - before) >= least):
            return True
    return False


def _of_station(garden: Garden, now: datetime, told: WeatherFile, only_from: date | None) -> WeatherKept:
    first = only_from.isoformat() if only_from else ""
    rows = [row for row in told.rows if row["on"] >= first]
    report = _loaded(garden, now, _table(rows)) if rows else LoadReport(garden=str(garden.garden))
    return WeatherKept(report, told.station, told.n_flagged, told.n_beyond, told.n_half)


def _table(rows: Iterable[Mapping[str, object]]) -> str:
    text = io.StringIO(newline="")
    lines = csv.DictWriter(text, WEATHER.names)
    lines.writeheader()
    for row in rows:
        lines.writerow({name: plain(value) for name, value in row.items()})  # type: ignore[arg-type]
    return text.getvalue()


def _loaded(garden: Garden, now: datetime, text: str) -> LoadReport:
    with tempfile.TemporaryDirectory(prefix="slipwright-weather-") as folder:
        Path(folder, "weather.csv").write_text(text, encoding="utf-8", newline="")
        report = load(Path(folder), now=now, within=str(garden.garden))
    if report.accepted > _MANY and not report.n_rejected:
        with suppress(OSError):  # the days are kept; the helper makes its copies all the same
            standing.ask_for_copy()
    return report
