"""Daily weather and its forecast from one open service, where the setting says so. It is off by default.

The service is Open-Meteo: weather models of national services for any place on land, as JSON without a key
for gardens that earn nothing by it; the data under CC BY 4.0. The setting may also name another address that
answers in the same form: a server of one's own, or the service's own for those who pay.

What is told of past days is what models made of the observations around, not what a thermometer in the
garden read; what was observed stands before it.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from http.client import HTTPException
from ipaddress import ip_address
from pathlib import Path
from typing import Any, Final
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode, urlsplit
from urllib.request import HTTPRedirectHandler, Request, build_opener

from django.conf import settings

from slipwright import __version__
from slipwright.records.models import Garden
from slipwright.records.rows import Row

SERVICE: Final = "open-meteo"
SOURCE: Final = "Open-Meteo"
ADDRESS: Final = "https://api.open-meteo.com/v1/forecast"
#: an answer is good for so long
GOOD_FOR: Final = timedelta(hours=3)
#: days asked for before today, so that a helper that stood still for a while misses none, and from today on
PAST_DAYS, FORECAST_DAYS = 14, 8
TIMEOUT_S, TRIES, FIRST_WAIT_S = 10.0, 3, 1.0
#: a service that says when to come again is believed up to here
LONGEST_WAIT_S: Final = 10.0
MOST_BYTES: Final = 1_000_000
#: ``TIMEOUT_S`` is for each wait of an answer, this for the whole of it
LONGEST_ANSWER_S: Final = 30.0
#: what is asked for: the unit it must come in, our column, and how many of theirs make one of ours
_ASKED: Final[Mapping[str, tuple[str, str, float]]] = {
    "temperature_2m_min": ("°C", "tmin_c", 1),
    "temperature_2m_max": ("°C", "tmax_c", 1),
    "relative_humidity_2m_mean": ("%", "rh_mean_percent", 1),
    "sunshine_duration": ("s", "sunshine_h", 3600),
    "cloud_cover_mean": ("%", "cloud_fraction", 100),
    "shortwave_radiation_sum": ("MJ/m²", "radiation_mj_m2", 1),
    "precipitation_sum": ("mm", "rain_mm", 1),
}
_AGAIN: Final = frozenset({408, 425, 429, 500, 502, 503, 504})


class FetchFailed(RuntimeError):
    """The service gave no weather: why, in words that can be shown."""


@dataclass(frozen=True, slots=True)
class Credit:
    """Who is to be named beside the data, and under which licence they stand."""

    name: str
    address: str
    licence: str
    licence_address: str


CREDIT: Final = Credit(
    "Weather data by Open-Meteo.com",
    "https://open-meteo.com/",
    "CC BY 4.0",
    "https://creativecommons.org/licenses/by/4.0/",
)


def credit_of(source: str) -> Credit | None:
    """Return who is to be named beside a day from ``source``: nobody unless it is the service."""
    return CREDIT if source == SOURCE else None


def address() -> str:
    """Return where weather is fetched; empty where it is not. Raise ``FetchFailed`` for a bad setting."""
    said = str(settings.WEATHER).strip()
    if said.lower() in ("", "off", "no", "0"):
        return ""
    if said.lower() == SERVICE:
        return ADDRESS
    try:
        parts = urlsplit(said)
    except ValueError:
        parts = urlsplit("")
    host = parts.hostname or ""
    if not host or not (parts.scheme == "https" or (parts.scheme == "http" and _is_near(host))):
        raise FetchFailed(
            f"SLIPWRIGHT_WEATHER must be {SERVICE}, or the https address of a server like it; "
            "http only inside your own network"
        )
    return said


def _is_near(host: str) -> bool:
    """Return whether a host is this machine or of its own network, where nobody else listens."""
    try:
        return ip_address(host).is_private
    except ValueError:
        return "." not in host or host.endswith((".local", ".lan", ".internal", ".home.arpa"))


def is_on() -> bool:
    """Return whether the setting asks for weather to be fetched, well or badly written."""
    try:
        return bool(address())
    except FetchFailed:
        return True


def asked_of(garden: Garden, where: str) -> str:
    """Return the address of a garden's weather; its place is told to about a kilometre."""
    query: dict[str, str | int] = {
        "latitude": f"{garden.latitude_deg:.2f}",
        "longitude": f"{garden.longitude_deg:.2f}",
        "daily": ",".join(_ASKED),
        "timezone": garden.time_zone,
        "past_days": PAST_DAYS,
        "forecast_days": FORECAST_DAYS,
    }
    if garden.altitude_m is not None:
        query["elevation"] = f"{garden.altitude_m:.0f}"
    return f"{where}{'&' if '?' in where else '?'}{urlencode(query)}"


def fetched_days(
    garden: Garden,
    *,
    now: datetime,
    today: date,
    tries: int = TRIES,
    wait: Callable[[float], object] = time.sleep,
) -> list[Row]:
    """Return the days the service tells of as rows of ``weather.csv``; today and later are forecasts.

    An answer of the last three hours is taken from the disk. Raises ``FetchFailed``.
    """
    where = address()
    if not where:
        raise FetchFailed("fetching weather is off; turn it on by SLIPWRIGHT_WEATHER=" + SERVICE)
    url = asked_of(garden, where)
    file = _kept(f"{url} {today}")  # what is a forecast today is an observation tomorrow
    answer = _from_disk(file, now)
    if answer is None:
        answer = _asked(url, tries, wait)
        days = _rows(answer, today)
        _to_disk(file, now, answer)
        return days
    return _rows(answer, today)


# --- asking -----------------------------------------------------------------------------------------------


def _asked(url: str, tries: int, wait: Callable[[float], object]) -> Any:
    """Ask, and where it may help ask again after 1, 2, 4 … seconds."""
    pause = FIRST_WAIT_S
    for nth in range(1, tries + 1):
        try:
            return _answer(url)
        except _MayHelp as error:
            if nth == tries:
                raise FetchFailed(f"{error} ({nth} tries)" if nth > 1 else str(error)) from error
            wait(min(max(pause, error.after_s), LONGEST_WAIT_S))
            pause *= 2
    raise FetchFailed("the service was not asked")


class _MayHelp(Exception):
    """What may be gone when asked again; ``after_s`` is what the service said."""

    def __init__(self, words: str, after_s: float = 0.0) -> None:
        super().__init__(words)
        self.after_s = after_s


class _NoFurther(HTTPRedirectHandler):
    """Where a garden lies is told to the address of the setting, and to no other."""

    def redirect_request(self, *asked: Any) -> None:
        raise FetchFailed(f"{urlsplit(asked[0].full_url).hostname} sends on to another address: {asked[-1]}")


def _answer(url: str) -> Any:
    request = Request(url, headers={"User-Agent": f"slipwright/{__version__}", "Accept": "application/json"})  # noqa: S310 (address() lets only the web through)
    host = urlsplit(url).hostname
    try:
        with build_opener(_NoFurther).open(request, timeout=TIMEOUT_S) as answer:
            body = _body(answer, str(host))
    except HTTPError as error:
        reason = _reason(error)
        words = f"{host} answered {error.code}{f': {reason}' if reason else ''}"
        if error.code in _AGAIN:
            after = error.headers.get("Retry-After", "")
            raise _MayHelp(words, float(after) if after.isdigit() else 0.0) from error
        raise FetchFailed(words) from error
    except (URLError, TimeoutError, HTTPException, OSError) as error:
        why = error.reason if isinstance(error, URLError) else error
        raise _MayHelp(f"{host} cannot be reached: {why or type(why).__name__}") from error
    try:
        return json.loads(body)
    except (ValueError, RecursionError) as error:
        raise FetchFailed(f"{host} answered something else than JSON") from error


def _body(answer: Any, host: str) -> bytes:
    body, until = bytearray(), time.monotonic() + LONGEST_ANSWER_S
    while part := answer.read1(65_536):
        body += part
        if len(body) > MOST_BYTES:
            raise FetchFailed(f"{host} answered with more than {MOST_BYTES // 1_000_000} MB")
        if time.monotonic() > until:
            raise _MayHelp(f"{host} takes too long to answer")
    return bytes(body)


def _reason(error: HTTPError) -> str:
    try:
        told = json.loads(error.read(10_000))
        return str(told.get("reason", ""))[:200] if isinstance(told, dict) else ""
    except (ValueError, OSError, HTTPException):
        return ""


# --- what it answered -------------------------------------------------------------------------------------


def _rows(answer: Any, today: date) -> list[Row]:
    daily = answer.get("daily") if isinstance(answer, dict) else None
    units = answer.get("daily_units") if isinstance(answer, dict) else None
    if not isinstance(daily, dict) or not isinstance(units, dict) or not isinstance(daily.get("time"), list):
        raise FetchFailed("the service's answer holds no days")
    columns: dict[str, tuple[list[Any], float]] = {}
    for name, (unit, column, of_ours) in _ASKED.items():
        values = daily.get(name)
        if values is None and column not in ("tmin_c", "tmax_c"):
            continue
        if not isinstance(values, list) or len(values) != len(daily["time"]):
            raise FetchFailed(f"the service's answer holds no {name} for each day")
        if units.get(name) != unit:
            raise FetchFailed(f"the service gives {name} in {units.get(name)!r}, and we asked for {unit}")
        columns[column] = values, of_ours
    rows: list[Row] = []
    for n, said in enumerate(daily["time"]):
        try:
            on = date.fromisoformat(said)
            told = {name: _value(values[n], of_ours) for name, (values, of_ours) in columns.items()}
        except (TypeError, ValueError, ArithmeticError) as error:
            raise FetchFailed(f"the service's answer holds a day that cannot be read ({said!r})") from error
        if any(row["on"] == on for row in rows):
            raise FetchFailed(f"the service's answer holds the same day twice ({on})")
        if told["tmin_c"] is None or told["tmax_c"] is None:
            continue
        row: dict[str, Any] = {name: value for name, value in told.items() if value is not None}
        row |= {"on": on, "source": SOURCE, "made_on": today if on >= today else None}
        rows.append(row)
    return rows


def _value(value: Any, of_ours: float) -> Decimal | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(value)
    return round(Decimal(str(value)) / Decimal(str(of_ours)), 2).normalize()


# --- what is kept on the disk -----------------------------------------------------------------------------


def _kept(url: str) -> Path:
    return Path(settings.WEATHER_CACHE) / f"{hashlib.sha256(url.encode()).hexdigest()[:32]}.json"


def _from_disk(file: Path, now: datetime) -> Any:
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        at = datetime.fromisoformat(kept["at"])
        return kept["answer"] if timedelta() <= now - at < GOOD_FOR else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _to_disk(file: Path, now: datetime, answer: Any) -> None:
    """Keep an answer; where the disk will not have it, it is asked for anew next time."""
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(json.dumps({"at": now.isoformat(), "answer": answer}), encoding="utf-8")
        os.replace(beside, file)
    except OSError:
        beside.unlink(missing_ok=True)
