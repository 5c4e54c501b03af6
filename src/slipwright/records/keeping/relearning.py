"""When the helper learns from a garden again: after a while of quiet, not too often, and each night."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from importlib import import_module
from uuid import UUID
from zoneinfo import ZoneInfo

from slipwright.handbook import Handbook
from slipwright.records.keeping import diary
from slipwright.records.models import Garden
from slipwright.records.selectors.fits import fit_now, newest_full_fit
from slipwright.records.tables.progress import Progress, quiet

#: nothing must have been written for so long
QUIET = timedelta(seconds=10)
#: and it is so long since the last time, or so many times what that took
AT_MOST_EACH = timedelta(minutes=1)
TIMES_ITS_LENGTH = 5
#: from this hour of the garden's clock the night's work is due
NIGHT = time(3)


@dataclass
class Relearning:
    """Keeps what was learned of gardens up with their records.

    ``progress`` is told how far a fit has come.
    """

    progress: Progress = quiet
    #: how long nothing must have been written
    quiet_for: timedelta = QUIET
    _seen: dict[UUID, tuple[Hashable, datetime]] = field(default_factory=dict)
    _not_before: dict[UUID, datetime] = field(default_factory=dict)
    _settled: dict[UUID, Hashable] = field(default_factory=dict)

    def one_pass(self, garden: Garden, handbook: Handbook, *, now: datetime) -> bool:
        """Learn from a garden if it is time, and return whether anything new was learned.

        ``garden`` must have just been read; one in which nothing was written costs no query.
        """
        night = _night_before(garden, now)
        asked = diary.stands("learn-asked")
        stands_at = (garden.last_number, garden.last_edit, garden.fit_id, night, asked)
        if self._settled.get(garden.garden) == stands_at:
            return False
        seen, since = self._seen.get(garden.garden, (None, now))
        written = (garden.last_number, garden.last_edit)
        if seen != written:
            since = now
            self._seen[garden.garden] = (written, now)
        if now - since < self.quiet_for or now < self._not_before.get(garden.garden, now):
            return False
        # if it fails it is not tried again at once
        self._not_before[garden.garden] = now + AT_MOST_EACH
        learned = self._learn(garden, handbook, now, night, asked)
        self._settled[garden.garden] = (*written, garden.fit_id, night, asked)
        return learned

    def _learn(
        self, garden: Garden, handbook: Handbook, now: datetime, night: datetime, asked: float | None
    ) -> bool:
        fit = fit_now(garden, with_found=False)
        whole = newest_full_fit(garden)
        due = max(night.timestamp(), asked or 0)
        full = whole is None or whole.learned_up_to.timestamp() < due
        # a night's fit that is due looks at the records themselves: what they mean may be another now
        if fit is not None and not fit.is_stale and not full and fit.is_of_this_model:
            return False
        refit = import_module("slipwright.records.answers.refit")
        begun = datetime.now(now.tzinfo)
        learned: bool = refit.learn(garden, handbook, now=now, full=full, progress=self.progress)
        took = datetime.now(now.tzinfo) - begun
        self._not_before[garden.garden] = now + max(AT_MOST_EACH, took * TIMES_ITS_LENGTH)
        return learned


def _night_before(garden: Garden, now: datetime) -> datetime:
    """Return when the night's work was last due on the garden's clock."""
    here = now.astimezone(ZoneInfo(garden.time_zone))
    due = datetime.combine(here.date(), NIGHT, here.tzinfo)
    return due if due <= here else datetime.combine(here.date() - timedelta(days=1), NIGHT, here.tzinfo)
