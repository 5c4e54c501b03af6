"""One batch as its page tells it: where it stands, what may come, what to do next, what made it so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Literal, cast

import numpy as np

from slipwright.advice.rooted import stands_rooted
from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, has_page, patience_of_batch, record_of_batch, rule_of
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, Wood, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.histories import record_of_page
from slipwright.records.answers.walk import SEED, learned_for, round_days
from slipwright.records.models import Garden, Look, Sticking
from slipwright.records.selectors import BatchNow, Happened, History, Warmth
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.dates import pot_up_at
from slipwright.rooting.forecast import Band, Forecast, ForecastDay, forecast_batch
from slipwright.rooting.potting import DayRange, StandsRooted

#: days of the table beside the chart
_STEP_DAYS = 7
#: days kept on the chart after the numbers have settled
_AFTER_DAYS = 7
#: parts in a million of a liquid or a powder to one per cent
_PER_PERCENT = Decimal(10_000)


@dataclass(frozen=True, slots=True)
class Dip:
    """A hormone as it was used: the strength in the scale of its form, and in per cent."""

    auxin: str
    form: str
    strength: Decimal | None
    unit: Literal["mg/L", "mg/kg"]

    @property
    def percent(self) -> Decimal | None:
        """The same strength in per cent: grams in 100 mL, or in 100 g of powder."""
        return None if self.strength is None else self.strength / _PER_PERCENT


@dataclass(frozen=True, slots=True)
class Ahead:
    """What may come of an open batch, cut where its numbers have settled."""

    told: Forecast
    days: tuple[ForecastDay, ...]
    #: the day from which the numbers change no more
    settles: ForecastDay

    @property
    def rooted(self) -> Band:
        """Rooted on that day."""
        return self.settles.rooted

    @property
    def is_certain(self) -> bool:
        """Whether the range is one number."""
        return self.rooted.p10 == self.rooted.p90

    @property
    def weeks(self) -> tuple[ForecastDay, ...]:
        """One day a week, the last day too, for the table."""
        chosen = self.days[::_STEP_DAYS]
        return chosen if chosen[-1] is self.days[-1] else (*chosen, self.days[-1])


@dataclass(frozen=True, slots=True)
class OneBatch:
    """A batch, all that was written about it, and what follows."""

    on: date
    now: BatchNow
    history: History
    page: Page | None
    leaf: WoodLeaf | None
    ahead: Ahead | None
    #: (day, rooted in all) at each look that counts, from the sticking on
    seen: tuple[tuple[date, int], ...]
    dips: tuple[Dip, ...]
    #: of the medium in the first days
    warmth: Warmth | None
    #: rooted and unpotted cuttings at which the batch is potted up
    pot_up_when: int
    #: those that stand rooted and unpotted, as Today's round takes them
    stands: StandsRooted | None

    @property
    def no_more_likely(self) -> bool:
        """Whether, as far as the forecast tells, what has rooted is all there is."""
        return bool(self.ahead and self.ahead.rooted.p90 <= self.now.n_rooted)

    @property
    def medium_parts(self) -> tuple[tuple[str, str], ...]:
        """The parts of the medium, each with how many."""
        medium = self.history.sticking.medium
        parts = (part.rpartition(":") for part in medium.parts.split(";")) if medium and medium.parts else ()
        return tuple((name, amount) for name, _, amount in parts)

    @property
    def day(self) -> int:
        """Days since it was stuck."""
        return (self.on - self.now.stuck_on).days

    @property
    def n_most(self) -> int:
        """Rooted so far and still waiting: more can never root."""
        return self.now.n_rooted + max(self.now.n_waiting, 0)

    @property
    def n_stands_rooted(self) -> int:
        """Rooted cuttings not yet potted."""
        return max(self.now.n_to_pot, 0)

    @property
    def n_lost(self) -> int:
        """Lost while waiting, and after they had rooted."""
        return self.now.n_lost + self.now.n_lost_rooted

    @property
    def n_waiting(self) -> int:
        """Still waiting; nought where the counts do not add up."""
        return max(self.now.n_waiting, 0)

    @property
    def days_unpotted(self) -> int | None:
        """Days for which rooted ones have stood unpotted."""
        return (self.on - self.stands.since).days if self.stands else None

    @property
    def pot_up(self) -> DayRange | None:
        """When it is likely to be potted up."""
        if self.ahead:
            return self.ahead.told.pot_up_on
        return self.stands.pot_up_on if self.stands else None

    @property
    def all_potted(self) -> bool:
        """Whether some were potted and none of the rooted is left to pot."""
        return self.now.n_potted > 0 and not self.n_stands_rooted

    @property
    def may_pot_more(self) -> bool:
        """Whether any is left that stands rooted or may still root."""
        return bool(self.n_stands_rooted or self.n_waiting)

    @property
    def only_two_looks(self) -> bool:
        """Whether all that is to be settled is which of two looks stands."""
        return self.now.only_two_looks

    @property
    def pot_now(self) -> bool:
        """Whether enough stand rooted and the plant's rule lets them be potted today."""
        return bool(self.stands and self.stands.may_pot(self.on))

    @property
    def waits_for_spring(self) -> bool:
        """Whether rooted ones stand that the plant's rule keeps in their pot for now."""
        return bool(self.stands and not self.stands.is_let(self.on))

    @property
    def patience_is_out(self) -> bool:
        """Whether it waits past the day to give up."""
        return bool(self.ahead and self.now.n_waiting > 0 and self.on > self.ahead.told.give_up_on)

    @property
    def unseen_days(self) -> int | None:
        """Days since anybody looked at what waits, where that is long ago."""
        return self.ahead.told.unseen_days if self.ahead else None

    @property
    def by_now(self) -> Band | None:
        """Likely rooted in all today, where that is more than was counted."""
        today = self.ahead.told.days[0].rooted if self.ahead else None
        return today if today and today.p90 > self.now.n_rooted else None

    @property
    def more_to_come(self) -> bool:
        """Whether the numbers ahead are others than today's."""
        return bool(self.ahead and self.ahead.settles.on > self.on)

    @property
    def newest_first(self) -> tuple[Happened, ...]:
        """What happened, newest first."""
        return self.history.events[::-1]


def one_batch(garden: Garden, handbook: Handbook, code: str, *, on: date) -> OneBatch:
    """Return a batch with its history and, while it is open, its forecast.

    ``garden`` must have just been read. Eight queries; of an open batch up to five more, for what its
    forecast depends on, of which a process that told another one remembers all but one.
    """
    sticking = selectors.whole_batch(garden, code)
    now = selectors.state_of_batch(sticking)
    history = selectors.history_of(garden, sticking)
    page = handbook.page_of(now.taxon)
    leaf = page.woods.get(cast(Wood, now.wood)) if page else None
    counts = _counts(now, history.looks)
    batch = BatchOnRound(
        now.batch,
        now.taxon,
        cast(Wood, now.wood),
        counts,
        page=page,
        patience_days=now.patience_days,
    )
    known = counts.until(max(on, now.stuck_on))
    warmth = selectors.medium_warmth(garden, sticking)
    if now.ended_on is None and not now.withdrawn:
        record = record_of_page(garden, handbook, sticking, counts, warmth.c if warmth else None)
        ahead = _ahead(garden, replace(batch, cuttings=record.cuttings, kind=record.kind), on)
    else:
        ahead = None
    return OneBatch(
        on=on,
        now=now,
        history=history,
        page=page,
        leaf=leaf,
        ahead=ahead,
        seen=_seen(now, history.looks),
        dips=_dips(sticking),
        warmth=warmth,
        pot_up_when=max(pot_up_at(known.n_waiting + known.n_to_pot), 1),
        stands=stands_rooted(batch, on=on, south=is_south(float(garden.latitude_deg))),
    )


def _counts(now: BatchNow, looks: tuple[Look, ...]) -> BatchCounts:
    """Return the counts that ``selectors.counts_of`` would read, from the looks already read."""
    return BatchCounts(
        stuck_on=now.stuck_on,
        n_stuck=now.n_stuck,
        looks=tuple(
            LookCounts(
                look.on,
                look.n_rooted,
                look.n_lost,
                look.n_removed,
                look.n_lost_rooted,
                look.n_tried,
                look.n_tried_rooted,
                look.cause,
                tuple(look.signs.split(";")) if look.signs else (),
                look.pot_weight,
                look.n_waiting,
            )
            for look in looks
        ),
        n_potted=now.n_potted,
    )


def _ahead(garden: Garden, batch: BatchOnRound, on: date) -> Ahead:
    told = forecast_batch(
        learned_for(garden, [batch]),
        record_of_batch(batch),
        on=on,
        generator=np.random.default_rng(SEED),
        patience_days=patience_of_batch(batch),
        from_page=has_page(batch),
        pot_up=rule_of(batch),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
    )
    end = told.days[-1].rooted
    settled = next(
        i
        for i, day in enumerate(told.days)
        if (day.rooted.p10, day.rooted.p50, day.rooted.p90) == (end.p10, end.p50, end.p90)
    )
    return Ahead(told, told.days[: settled + _AFTER_DAYS + 1], told.days[settled])


def _seen(now: BatchNow, looks: tuple[Look, ...]) -> tuple[tuple[date, int], ...]:
    rooted, seen = 0, [(now.stuck_on, 0)]
    for look in looks:
        if look.n_rooted is not None:
            rooted += look.n_rooted
            seen.append((max(look.on, now.stuck_on), rooted))
    return tuple(seen)


def _dips(sticking: Sticking) -> tuple[Dip, ...]:
    if not sticking.auxin:
        return ()
    if sticking.auxin_form == "talc" or sticking.auxin_mg_per_l is None:
        first = Dip(sticking.auxin, sticking.auxin_form, sticking.auxin_mg_per_kg, "mg/kg")
    else:
        first = Dip(sticking.auxin, sticking.auxin_form, sticking.auxin_mg_per_l, "mg/L")
    if sticking.auxin2 in ("", "none"):
        return (first,)
    return (first, Dip(sticking.auxin2, sticking.auxin_form, sticking.auxin2_mg_per_l, "mg/L"))
