"""The helper beside the pages: learns, plans, weather in, what they show fresh, the log short, copies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TypeVar

from django.contrib.sessions.backends.db import SessionStore
from django.db import connection, connections

from slipwright.handbook import Handbook, load_handbook
from slipwright.records.keeping import daily, weather
from slipwright.records.keeping.opening import garden_file, vendor
from slipwright.records.keeping.planning import Planning
from slipwright.records.keeping.relearning import Relearning
from slipwright.records.keeping.showing import Showing
from slipwright.records.models import Garden
from slipwright.records.selectors import all_gardens, garden_day
from slipwright.records.services import clear_codes

#: bytes of SQLite's log of writes, above which they are moved into the garden's file
LOG_BYTES = 4_000_000
CLEAR_EVERY = timedelta(hours=1)
#: how long a checkpoint may wait to empty the log while others read; it is tried again soon
_WAIT_MS = 250

T = TypeVar("T")
Told = Callable[[str], None]


@dataclass
class Helper:
    """One helper; ``told`` is given each fault in a line, a fault that lasts only once.

    One that ``makes_copies`` also copies the garden each day and looks after the copies. ``plans`` makes
    programmes beside it; it is told when a garden is ripe for its first.
    """

    told: Told
    makes_copies: bool = False
    learns: Relearning = field(default_factory=Relearning)
    shows: Showing = field(default_factory=Showing)
    plans: Planning | None = None
    _handbook: Handbook | None = None
    _cleared_at: datetime | None = None
    _faults: dict[str, str] = field(default_factory=dict)

    def one_pass(self, *, now: datetime) -> int:
        """Do what is to be done now and return how many forecasts were renewed; faults are only told.

        The seasons of plants count as forecasts.
        """
        renewed = 0
        try:
            for garden in self._try("gardens", all_gardens) or []:
                fetching = partial(weather.one_pass, garden, now=now, told=self.told)
                self._try(f"weather of {garden.name}", fetching)
                renewed += self._try(garden.name, partial(self._refresh, garden, now)) or 0
                if self._try(f"learning from {garden.name}", partial(self._learn, garden, now)):
                    renewed += self._try(garden.name, partial(self._refresh, garden, now)) or 0
                self._try(f"forecasts of {garden.name}", partial(self._keep_forecasts, garden, now))
                self._try(f"trials of {garden.name}", partial(self._keep_trials, garden, now))
                self._try(f"findings of {garden.name}", partial(self._show, garden, now))
                if self.plans is not None:
                    asking = partial(self.plans.ask_first, garden, now=now)
                    self._try(f"first programme of {garden.name}", asking)
            self._try("log of writes", checkpoint)
            if self._cleared_at is None or now - self._cleared_at >= CLEAR_EVERY:
                self._cleared_at = now
                self._try("codes", partial(clear_codes, now=now))
                self._try("sessions", SessionStore.clear_expired)
            if self.makes_copies:
                self._try("copies", partial(daily.one_pass, now=now, told=self.told))
        finally:
            # a garden put back from a backup is another file: the next pass opens what is there then
            connections.close_all()
        return renewed

    def _refresh(self, garden: Garden, now: datetime) -> int:
        on, n = garden_day(garden, now), 0
        for name in ("told", "seasons"):
            kept = import_module(f"slipwright.records.answers.{name}")
            n += int(kept.refresh(garden, self._known_plants(), on=on, now=now))
        return n

    def _keep_forecasts(self, garden: Garden, now: datetime) -> int:
        made = import_module("slipwright.records.answers.forecasts.calibration")
        return int(made.refresh(garden, self._known_plants(), on=garden_day(garden, now), now=now))

    def _keep_trials(self, garden: Garden, now: datetime) -> int:
        kept = import_module("slipwright.records.answers.trials.kept")
        return int(kept.refresh(garden, on=garden_day(garden, now)))

    def _show(self, garden: Garden, now: datetime) -> bool:
        return self.shows.one_pass(garden, self._known_plants(), now=now)

    def _learn(self, garden: Garden, now: datetime) -> bool:
        return self.learns.one_pass(garden, self._known_plants(), now=now)

    def _known_plants(self) -> Handbook:
        if self._handbook is None:
            self._handbook = load_handbook()
        return self._handbook

    def _try(self, what: str, act: Callable[[], T]) -> T | None:
        try:
            done = act()
        except Exception as error:  # one garden's fault must not stop the others
            fault = f"{what}: {type(error).__name__}: {error}".replace("\n", "; ")
            if self._faults.get(what) != fault:
                self.told(fault)
            self._faults[what] = fault
            connection.close()
            return None
        self._faults.pop(what, None)
        return done


def checkpoint() -> bool:
    """Move what was written into the garden's file if the log has grown, and return whether it had.

    Nobody is kept waiting: what others still read stays in the log until the next time.
    """
    if vendor() != "sqlite":
        return False
    log = Path(f"{garden_file()}-wal")
    if not log.exists() or log.stat().st_size <= LOG_BYTES:
        return False
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(PASSIVE)")
        busy, in_log, moved = cursor.fetchone()
        if not busy and in_log == moved:
            (usual,) = cursor.execute("PRAGMA busy_timeout").fetchone()
            cursor.execute(f"PRAGMA busy_timeout={_WAIT_MS}")
            try:
                cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            finally:
                cursor.execute(f"PRAGMA busy_timeout={int(usual)}")
    return True
