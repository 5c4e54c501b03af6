"""When the helper works out anew what a quick fit carried along: seldom, and after more quiet.

Those are the findings, and how good forecasts of a large garden turned out.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from importlib import import_module
from uuid import UUID

from slipwright.handbook import Handbook
from slipwright.records.models import Garden
from slipwright.records.selectors import garden_day

#: nothing must have been written for so long
QUIET = timedelta(minutes=2)
#: what could not be worked out is tried again so much later
AGAIN_AFTER = timedelta(minutes=10)


@dataclass
class Showing:
    """Keeps the findings of gardens, and how good their forecasts were, up with what was learned of them."""

    _seen: dict[UUID, tuple[Hashable, datetime]] = field(default_factory=dict)
    _not_before: dict[UUID, datetime] = field(default_factory=dict)
    _settled: dict[UUID, Hashable] = field(default_factory=dict)

    def one_pass(self, garden: Garden, handbook: Handbook, *, now: datetime) -> bool:
        """Work the findings of a garden out anew if it is time, and return whether that was done.

        ``garden`` must have just been read; one in which nothing was written costs no query.
        """
        stands_at = (garden.last_number, garden.last_edit, garden.fit_id)
        if self._settled.get(garden.garden) == stands_at:
            return False
        seen, since = self._seen.get(garden.garden, (None, now))
        if seen != stands_at:
            since = now
            self._seen[garden.garden] = (stands_at, now)
        if now - since < QUIET or now < self._not_before.get(garden.garden, now):
            return False
        self._not_before[garden.garden] = now + AGAIN_AFTER
        scored = import_module("slipwright.records.answers.forecasts.calibration")
        if scored.rescore(garden, handbook, on=garden_day(garden, now), at_most=1):
            # the next season in the next pass: whatever else the helper does is not to wait for all of them
            del self._not_before[garden.garden]
            return True
        made = import_module("slipwright.records.answers.findings.made")
        due: datetime | None = made.due_at(garden)
        if due is not None and now < due:
            self._not_before[garden.garden] = due
            return False
        renewed = due is not None and bool(made.renew(garden, handbook))
        if due is None or renewed:
            self._settled[garden.garden] = stands_at
        return renewed
