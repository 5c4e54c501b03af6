"""The weather of days: as seen, as forecast, and as it usually is where a day is not known."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Final

from slipwright.craft._climate import Climatology, climatology, day_of_year, days_from, filled
from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from numpy import bool_, datetime64, float64
    from numpy.typing import NDArray

    from slipwright.craft.weather_files import WeatherFile

    Array = NDArray[float64]
    Days = NDArray[datetime64]

__all__ = [
    "MORE",
    "Climatology",
    "Weather",
    "climatology",
    "day_of_year",
    "days_from",
    "filled",
    "joined",
    "read_weather",
    "weather_file",
]

#: what may be known of a day beside its lowest and highest temperature
MORE: Final = ("rh_mean_percent", "sunshine_h", "cloud_fraction", "radiation_mj_m2", "rain_mm")


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """Daily weather, each day once and in order; nan where something is not known.

    Parameters
    ----------
    on : array_like
        The days, in order, none twice [date].
    tmin_c, tmax_c : array_like
        Lowest and highest air temperature [°C].
    rh_mean_percent, sunshine_h, cloud_fraction, radiation_mj_m2, rain_mm : array_like, optional
        Mean relative humidity [%], hours of sunshine [h], mean cloud cover [-], global radiation [MJ/m²],
        rain [mm].
    is_forecast : array_like, optional
        Whether the day is a forecast [-].
    is_filled : array_like, optional
        Whether the day was not known and stands as it usually is [-].

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> seen = Weather(["2026-05-01", "2026-05-03"], [4, 6], [14, 18])
    >>> print(seen.mean_c, seen.gaps())
    [ 9. 12.] ['2026-05-02']
    """

    on: Days
    tmin_c: Array
    tmax_c: Array
    rh_mean_percent: Array = None  # type: ignore[assignment]
    sunshine_h: Array = None  # type: ignore[assignment]
    cloud_fraction: Array = None  # type: ignore[assignment]
    radiation_mj_m2: Array = None  # type: ignore[assignment]
    rain_mm: Array = None  # type: ignore[assignment]
    is_forecast: NDArray[bool_] = None  # type: ignore[assignment]
    is_filled: NDArray[bool_] = None  # type: ignore[assignment]

    def __post_init__(self) -> None:
        """Take lists for arrays, and refuse days out of order or as many values as days."""
        import numpy as np

        on = np.asarray(self.on, dtype="datetime64[D]")
        if on.ndim != 1 or np.any(np.isnat(on)) or np.any(np.diff(on) <= np.timedelta64(0, "D")):
            raise BadArgument("on", "be days in order, none of them twice", self.on)
        object.__setattr__(self, "on", on)
        for name in ("tmin_c", "tmax_c", *MORE):
            given = getattr(self, name)
            values = np.full(on.shape, np.nan) if given is None else np.asarray(given, dtype=float)
            self._take(name, values)
        for name in ("is_forecast", "is_filled"):
            given = getattr(self, name)
            self._take(name, np.zeros(on.shape, bool) if given is None else np.asarray(given, dtype=bool))
        if np.any(self.tmax_c < self.tmin_c):
            raise BadArgument("tmax_c", "not lie below tmin_c", self.tmax_c)

    def _take(self, name: str, values: NDArray[float64] | NDArray[bool_]) -> None:
        if values.shape != self.on.shape:
            raise BadArgument(name, f"hold one value for each of {len(self.on)} days", values)
        object.__setattr__(self, name, values)

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.on)

    @property
    def mean_c(self) -> Array:
        """The middle of lowest and highest [°C]."""
        return (self.tmin_c + self.tmax_c) / 2

    @property
    def is_known(self) -> NDArray[bool_]:
        """Whether lowest and highest of each day are known [-]."""
        import numpy as np

        return np.isfinite(self.mean_c)

    def of(self, days: Any) -> Weather:
        """Return the weather of these days, in order; a day that is not there has nan.

        Parameters
        ----------
        days : array_like
            The days, in order, none twice [date].

        Returns
        -------
        Weather
            As many days as asked for.
        """
        import numpy as np

        wanted = np.asarray(days, dtype="datetime64[D]")
        at = np.searchsorted(self.on, wanted)
        there = np.zeros(wanted.shape, bool)
        inside = at < len(self.on)
        there[inside] = self.on[at[inside]] == wanted[inside]
        found: dict[str, NDArray[float64] | NDArray[bool_]] = {}
        for field in fields(self)[1:]:
            values = getattr(self, field.name)
            picked = np.full(wanted.shape, False if values.dtype == bool else np.nan)
            picked[there] = values[at[there]]
            found[field.name] = picked
        return Weather(wanted, **found)  # type: ignore[arg-type]

    def gaps(self) -> Days:
        """Return the days between the first and the last whose lowest or highest is not known."""
        import numpy as np

        known = self.on[self.is_known]
        if not len(self.on):
            return known
        return np.setdiff1d(days_from(self.on[0], self.on[-1]), known)


def joined(parts: Sequence[Weather]) -> Weather:
    """Return several weathers as one; of a day known to several the first that knows it stands.

    Parameters
    ----------
    parts : sequence of Weather
        The most trusted first.

    Returns
    -------
    Weather
        All their days; what one leaves open of a day is not taken from another.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> seen = Weather(["2026-05-01"], [4], [14])
    >>> told = Weather(["2026-05-01", "2026-05-02"], [0, 5], [9, 15], is_forecast=[True, True])
    >>> print(joined([seen, told]).tmax_c, joined([seen, told]).is_forecast)
    [14. 15.] [False  True]
    """
    import numpy as np

    if not parts:
        return Weather(np.array([], "datetime64[D]"), np.array([]), np.array([]))
    days = np.unique(np.concatenate([part.on for part in parts]))
    whole = parts[0].of(days)
    for part in parts[1:]:
        also, take = part.of(days), ~whole.is_known
        whole = Weather(
            days,
            **{
                field.name: np.where(take, getattr(also, field.name), getattr(whole, field.name))
                for field in fields(whole)[1:]
            },
        )
    return whole


def read_weather(path: Path | str) -> Weather:
    r"""Return the weather of a file: ``weather.csv``, or the daily record of a station.

    Parameters
    ----------
    path : path
        A table ``weather.csv``, a GHCN-Daily station file (``.dly``), or its by-station CSV.

    Returns
    -------
    Weather
        Its days; ``weather_file`` also tells what was refused.

    References
    ----------
    As ``weather_file``.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "weather.csv")
    ...     _ = file.write_text("on,tmin_c,tmax_c\n2026-05-01,4.5,14\n")
    ...     print(read_weather(file).tmin_c)
    [4.5]
    """
    return weather_file(path).weather


def weather_file(path: Path | str) -> WeatherFile:
    r"""Return what a file of weather holds, and what of it was refused.

    Parameters
    ----------
    path : path
        As ``read_weather``.

    Returns
    -------
    WeatherFile
        The weather, the station or source named in the file, and what was refused.

    References
    ----------
    NOAA NCEI, ``readme.txt`` and ``readme-by_station.txt`` of GHCN-Daily (Menne et al. 2012, J. Atmos.
    Oceanic Technol. 29:897-910).

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder, "station.csv")
    ...     lines = "XX000000001,20260501,TMIN,45,,,S,\nXX000000001,20260501,TMAX,140,,G,S,\n"
    ...     _ = file.write_text(lines)
    ...     print(weather_file(file).n_flagged)
    1
    """
    from slipwright.craft.weather_files import read

    return read(path)
