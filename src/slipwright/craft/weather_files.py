"""Files of daily weather: our own table, and the two published forms of a GHCN-Daily station's record."""

from __future__ import annotations

import csv
import gzip
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from slipwright.craft import _ghcn
from slipwright.craft._ghcn import LIMITS
from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from slipwright.craft.weather import Weather

#: a station's record of 150 years with all its elements is below this, opened out
MOST_BYTES: Final = 100_000_000
Form = Literal["weather.csv", "dly", "by-station"]


@dataclass(frozen=True, slots=True)
class WeatherFile:
    """What a file of weather holds.

    Parameters
    ----------
    form : {"weather.csv", "dly", "by-station"}
        How it is written.
    station : str
        The station's code; empty in our own table.
    rows : tuple of mapping
        A row a day as text, under the columns of ``weather.csv``.
    n_flagged : int
        Values left out because a check of quality failed them [1].
    n_beyond : int
        Values left out because no weather is like that, and days whose highest lies below their lowest [1].
    n_half : int
        Days left out because only one of lowest and highest is there [1].

    References
    ----------
    NOAA NCEI, ``readme.txt`` of GHCN-Daily.

    Examples
    --------
    >>> WeatherFile("dly", "XX000000001", ({"on": "2026-05-01", "tmin_c": "4.5", "tmax_c": "14"},)).weather.on
    array(['2026-05-01'], dtype='datetime64[D]')
    """

    form: Form
    station: str
    rows: tuple[Mapping[str, str], ...]
    n_flagged: int = 0
    n_beyond: int = 0
    n_half: int = 0

    @property
    def weather(self) -> Weather:
        """Its days; of a day forecast and seen what was seen, of several forecasts the newest."""
        from slipwright.craft.weather import MORE, Weather

        newest = sorted(self.rows, key=lambda row: (row["on"], row.get("made_on") or "9999-12-31"))
        days = list({row["on"]: row for row in newest}.values())
        columns = {
            name: [float(row.get(name) or "nan") for row in days] for name in ("tmin_c", "tmax_c", *MORE)
        }
        seen = [not row.get("made_on") for row in days]
        return Weather(
            on=[row["on"] for row in days],  # type: ignore[arg-type]
            is_forecast=[not one for one in seen],  # type: ignore[arg-type]
            **columns,  # type: ignore[arg-type]
        )


def read(path: Path | str) -> WeatherFile:
    """Return what a file of weather holds.

    Parameters
    ----------
    path : path
        A table ``weather.csv``, a GHCN-Daily station file (``.dly``) or its by-station CSV, also packed with
        gzip.

    Returns
    -------
    WeatherFile
        Its days, and how many values were left out.

    References
    ----------
    NOAA NCEI, ``readme.txt`` of GHCN-Daily, section III, and ``readme-by_station.txt``.

    Examples
    --------
    >>> read("no-such-file")
    Traceback (most recent call last):
    slipwright.craft.errors.BadArgument: weather must be a file that can be read \
(No such file or directory), not 'no-such-file'
    """
    try:
        return read_bytes(Path(path).read_bytes())
    except OSError as error:
        raise BadArgument("weather", f"be a file that can be read ({error.strerror})", str(path)) from error


def read_bytes(content: bytes) -> WeatherFile:
    r"""Return what the bytes of a file of weather hold; ``BadArgument`` names the line that will not do.

    Parameters
    ----------
    content : bytes
        The file, also packed with gzip.

    Returns
    -------
    WeatherFile
        Its days, and how many values were left out.

    References
    ----------
    As ``read``.

    Examples
    --------
    >>> lines = b"XX000000001,20260501,TMIN,45,,,S,\nXX000000001,20260501,TMAX,140,,,S,\n"
    >>> print(read_bytes(lines).rows[0]["tmin_c"], read_bytes(lines).form)
    4.5 by-station
    """
    return read_text(unpacked(content))


def read_text(text: str) -> WeatherFile:
    r"""Return what the text of a file of weather holds; ``BadArgument`` names the line that will not do.

    Parameters
    ----------
    text : str
        The file, opened out.

    Returns
    -------
    WeatherFile
        Its days, and how many values were left out.

    References
    ----------
    As ``read``.

    Examples
    --------
    >>> read_text("on,tmin_c,tmax_c\n2026-05-01,4.5,14\n").rows[0]["tmin_c"]
    '4.5'
    """
    form = form_of(text)
    try:
        if form == "weather.csv":
            return _table(text)
        return WeatherFile(form, *_ghcn.days_of(_ghcn.dly(text) if form == "dly" else _ghcn.by_station(text)))
    except csv.Error as error:
        raise BadArgument("weather", f"be a table with commas ({error})", f"{text[:40]}…") from error


def form_of(text: str) -> Form:
    """Return how a file of weather is written, by its first line.

    Parameters
    ----------
    text : str
        The file.

    Returns
    -------
    str
        ``dly``, ``by-station``, or ``weather.csv`` where it is neither.

    References
    ----------
    As ``read``.

    Examples
    --------
    >>> form_of("XX000000001202605TMAX  140  S")
    'dly'
    """
    first = text.lstrip("\r\n").partition("\n")[0]
    if _ghcn.BY_STATION.match(first) or first.upper().startswith("ID,"):
        return "by-station"
    return "dly" if _ghcn.DLY.match(first) else "weather.csv"


def unpacked(content: bytes) -> str:
    """Return the text of a file, also where it is packed with gzip.

    Parameters
    ----------
    content : bytes
        The file.

    Returns
    -------
    str
        Its text.

    References
    ----------
    Our own.

    Examples
    --------
    >>> unpacked(gzip.compress(b"on,tmin_c"))
    'on,tmin_c'
    """
    if content.startswith(b"\x1f\x8b"):
        content = _opened_out(content)
    if len(content) > MOST_BYTES:
        raise BadArgument("weather", f"hold no more than {MOST_BYTES // 1_000_000} MB", "more")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadArgument("weather", "be text in UTF-8", error.reason) from error


def _opened_out(content: bytes) -> bytes:
    try:
        with gzip.open(io.BytesIO(content)) as file:
            return file.read(MOST_BYTES + 1)
    except (OSError, EOFError) as error:
        raise BadArgument("weather", "be whole where it is packed with gzip", str(error)) from error


def _table(text: str) -> WeatherFile:
    lines = csv.DictReader(io.StringIO(text, newline=""))
    names = lines.fieldnames or []
    if missing := [name for name in ("on", "tmin_c", "tmax_c") if name not in names]:
        raise BadArgument(
            "weather",
            "be a table weather.csv with the columns on, tmin_c and tmax_c, or a station's GHCN-Daily file",
            f"one without {missing[0]}",
        )
    rows = []
    for row in lines:
        told = {name: value.strip() for name, value in row.items() if name and value and value.strip()}
        if not told:
            continue
        _plausible(told, lines.line_num)
        rows.append(told)
    return WeatherFile("weather.csv", "", tuple(rows))


def _plausible(row: dict[str, str], line: int) -> None:
    for name in ("on", "made_on"):
        if name in row or name == "on":
            row[name] = _ghcn.day(row.get(name, ""), name, line)
    for name, (low, high) in LIMITS.items():
        text = row.get(name, "")
        if not text and name not in ("tmin_c", "tmax_c"):
            continue
        try:
            value = float(text)
        except ValueError:
            raise BadArgument(name, f"be a number, in line {line}", text) from None
        if not low <= value <= high:
            raise BadArgument(name, f"lie between {low:g} and {high:g}, in line {line}", text)
    if float(row["tmax_c"]) < float(row["tmin_c"]):
        raise BadArgument("tmax_c", f"not lie below tmin_c, in line {line}", row["tmax_c"])
