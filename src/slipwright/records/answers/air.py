"""The air at the places of a garden, as instruments read it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from slipwright.craft.air import dew_point_c, vpd_kpa
from slipwright.records import selectors
from slipwright.records.models import Garden, Reading
from slipwright.records.rows import moment
from slipwright.records.states import local_day


@dataclass(frozen=True, slots=True)
class Read:
    """One reading, and the deficit that follows from it [kPa]."""

    at: datetime
    on: date
    air_c: float | None
    rh_percent: float | None
    medium_c: float | None
    light_w_m2: float | None
    source: str
    vpd_kpa: float | None


@dataclass(frozen=True, slots=True)
class AirAt:
    """The newest readings of one place, oldest first."""

    place: str
    reads: tuple[Read, ...]

    @property
    def newest(self) -> Read:
        """The newest reading."""
        return self.reads[-1]

    @property
    def of_air(self) -> Read | None:
        """The newest reading a deficit follows from."""
        return next((read for read in reversed(self.reads) if read.vpd_kpa is not None), None)

    @property
    def vpd_range(self) -> tuple[float, float] | None:
        """Lowest and highest deficit of the day of the newest one [kPa]."""
        if self.of_air is None:
            return None
        day = [r.vpd_kpa for r in self.reads if r.vpd_kpa is not None and r.on == self.of_air.on]
        return min(day), max(day)

    @property
    def dew_point_c(self) -> float | None:
        """The temperature at which the air read last would drop its water [°C]."""
        read = self.of_air
        if read is None or read.air_c is None or not read.rh_percent:
            return None
        return float(dew_point_c(read.air_c, read.rh_percent))

    @property
    def course(self) -> tuple[tuple[datetime, float], ...]:
        """Moments and deficits, for the chart."""
        return tuple((read.at, read.vpd_kpa) for read in self.reads if read.vpd_kpa is not None)


def air_of_places(garden: Garden, place: str = "") -> list[AirAt]:
    """Return the air of each place that has readings, or of one place. A query, and one a place."""
    found = selectors.newest_readings(garden, place)
    return [AirAt(name, tuple(map(_read, rows))) for name, rows in found.items()]


def _read(row: Reading) -> Read:
    air_c, rh_percent, medium_c, light_w_m2 = (
        None if value is None else float(value)
        for value in (row.air_c, row.rh_percent, row.medium_c, row.light_w_m2)
    )
    both = air_c is not None and rh_percent is not None
    return Read(
        at=moment(row.at, row.at_offset_min),
        on=local_day(row.at, row.at_offset_min),
        air_c=air_c,
        rh_percent=rh_percent,
        medium_c=medium_c,
        light_w_m2=light_w_m2,
        source=row.source,
        vpd_kpa=float(vpd_kpa(air_c, rh_percent)) if both else None,  # type: ignore[arg-type]
    )
