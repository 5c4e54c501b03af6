"""Forecasts and acts of open batches, worked out beforehand and kept until something changes.

``refresh`` is the helper process's; ``told_batches`` is asked by pages. What is kept rests on the day,
on where the batch stands and on its newest look (a fingerprint): where any is another now, it is not used.
Where only more was learned since, it is told until the helper has worked it out anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any

import numpy as np
from django.db import transaction

from slipwright.advice.round import ActName, acts_for
from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, has_page, patience_of_batch, record_of_batch, rule_of
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.sayings import put_away, said_again
from slipwright.records.answers.walk import SEED, batches_on_round, learned_for, round_days
from slipwright.records.models import BatchForecast, Garden
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.listing import Kept, forecasts_kept, forget_ended, keep_forecasts
from slipwright.records.tables.progress import Progress
from slipwright.rooting.dates import ROUND_DAYS, give_up_on
from slipwright.rooting.forecast import Forecast, forecast_batch
from slipwright.rooting.learned import Learned

#: raise it where what is kept takes another form or is worked out in another way
FORM = 6
#: batches worked out and kept in one transaction
AT_ONCE = 50
#: batches worked out while a page is asked for; the rest wait for the helper
WITH_A_PAGE = 10
#: points of a curve between today and the end of patience
_POINTS = 8
#: acts that cannot wait, whatever the reason
_URGENT: tuple[ActName, ...] = ("shade", "protect")


@dataclass(frozen=True, slots=True)
class ToldAct:
    """One thing to do with a batch; ``urgent`` where it cannot wait."""

    act: ActName
    why: str
    urgent: bool = False
    #: False where a plant may be cut, and nobody wants it
    is_asked: bool = True


@dataclass(frozen=True, slots=True)
class Curve:
    """A batch day by day, in days since sticking: rooted as counted, and what may come."""

    seen: tuple[tuple[int, int], ...]
    ahead: tuple[int, ...]
    p10: tuple[int, ...]
    p50: tuple[int, ...]
    p90: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a batch on a day: its acts, its curve, what they rest on."""

    acts: tuple[ToldAct, ...]
    curve: Curve
    rests_on: str
    #: worked out by what was learned before the last time, while the helper is at it
    is_older: bool = False

    @property
    def n_to_come(self) -> int:
        """Cuttings that likely still root until patience runs out: the middle, less those counted."""
        counted = self.curve.seen[-1][1] if self.curve.seen else 0
        return max(self.curve.p50[-1] - counted, 0) if self.curve.p50 else 0

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep; sentences keep how they were put together."""
        curve = self.curve
        return {
            "acts": [[act.act, put_away(act.why), act.urgent] for act in self.acts],
            "seen": curve.seen,
            "ahead": [curve.ahead, curve.p10, curve.p50, curve.p90],
            "rests_on": put_away(self.rests_on),
        }


def told_from(kept: Mapping[str, Any]) -> Told:
    """Return what ``Told.as_kept`` put away."""
    acts = tuple(ToldAct(act, said_again(why), urgent) for act, why, urgent in kept["acts"])
    seen = tuple((day, n) for day, n in kept["seen"])
    ahead, p10, p50, p90 = (tuple(points) for points in kept["ahead"])
    return Told(acts, Curve(seen, ahead, p10, p50, p90), said_again(kept["rests_on"]))


@lru_cache(maxsize=2_000)
def _read(kept: str) -> Told:
    """Return what was kept as JSON; most of it was read before, for a page before."""
    return told_from(json.loads(kept))


#: gardens at the last pass that was done to its end
_DONE: Remembered[bool] = Remembered()


# --- working out --------------------------------------------------------------------------------------


def refresh(garden: Garden, handbook: Handbook, *, on: date, now: datetime) -> int:
    """Work out and keep what is told of every open batch that is not yet told; return how many were.

    A garden in which nothing was written since costs one query.
    """
    columns = ("last_number", "last_edit", "fit_id")
    last_number, last_edit, garden.fit_id = Garden.objects.values_list(*columns).get(pk=garden.pk)
    rests_on = (as_of(last_number, last_edit, on), garden.fit_id)
    if _DONE.get(garden.garden, rests_on):
        return 0
    batches = selectors.states_of_open_batches(garden)
    kept = forecasts_kept(garden)
    marks = {batch.pk: _mark_of(garden, batch, kept.get(batch.pk)) for batch in batches}
    due = [batch for batch in batches if not _holds(kept.get(batch.pk), marks[batch.pk], on)]
    for start in range(0, len(due), AT_ONCE):
        some = due[start : start + AT_ONCE]
        told = work_out(garden, batches_on_round(garden, handbook, some), on=on)
        with transaction.atomic():
            keep_forecasts(
                [
                    BatchForecast(
                        batch_id=batch.pk,
                        garden=garden,
                        on=on,
                        rests_on=marks[batch.pk],
                        told=one.as_kept(),
                        made_at=now,
                    )
                    for batch, one in zip(some, told, strict=True)
                ]
            )
    forget_ended(garden)
    _DONE.keep(garden.garden, rests_on, True)
    return len(due)


def told_batches(
    garden: Garden,
    handbook: Handbook,
    batches: Sequence[BatchNow],
    *,
    on: date,
    waits: Progress | None = None,
) -> dict[int, Told]:
    """Return what is told of open batches on a day, by key; those missing are still being worked out.

    ``garden`` must have just been read. At most ``WITH_A_PAGE`` are worked out here and now; for somebody
    who ``waits``, all that is not kept as of now, and they are told how far it has come. One query, more
    where some are.
    """
    kept = forecasts_kept(garden)
    found: dict[int, Told] = {}
    missing: list[BatchNow] = []
    for batch in batches:
        one = kept.get(batch.pk)
        mark = _mark_of(garden, batch, one)
        if one is not None and _holds(one, mark, on):
            found[batch.pk] = _read(one.told)
        elif waits is None and one is not None and _holds_yet(one, mark, on):
            found[batch.pk] = replace(_read(one.told), is_older=True)
        else:
            missing.append(batch)
    due = missing[:WITH_A_PAGE] if waits is None else missing
    for start in range(0, len(due), AT_ONCE):
        some = due[start : start + AT_ONCE]
        if waits:
            waits(start, len(due), "what each batch will likely do")
        fresh = work_out(garden, batches_on_round(garden, handbook, some), on=on)
        found |= {batch.pk: told for batch, told in zip(some, fresh, strict=True)}
    return found


def work_out(garden: Garden, batches: Sequence[BatchOnRound], *, on: date) -> list[Told]:
    """Return what is told of some batches on a day."""
    south, days = is_south(float(garden.latitude_deg)), round_days(garden)
    learned = learned_for(garden, batches)
    forecasts = {
        batch.batch: _forecast(batch, learned, on, south, days)
        for batch in batches
        if on >= batch.counts.stuck_on
    }
    generator = np.random.default_rng(SEED)
    acts: dict[str, list[ToldAct]] = {}
    by_code = {batch.batch: batch for batch in batches}
    for act in acts_for(
        batches,
        on=on,
        generator=generator,
        south=south,
        round_days=days,
        learned=learned,
        forecasts=forecasts,
    ):
        batch = by_code[act.batch or ""]
        known = batch.counts.until(on)
        rot = act.act == "look" and bool(known.looks) and known.looks[-1].rot_seen
        acts.setdefault(batch.batch, []).append(ToldAct(act.act, act.why, rot or act.act in _URGENT))
    told = []
    for batch in batches:
        forecast = forecasts.get(batch.batch)
        told.append(
            Told(
                tuple(acts.get(batch.batch, ())),
                _curve(batch, forecast, on),
                forecast.rests_on.text if forecast else "",
            )
        )
    return told


def _days_left(batch: BatchOnRound, on: date) -> int:
    return max((give_up_on(batch.counts.stuck_on, patience_of_batch(batch)) - on).days, 0)


def _forecast(batch: BatchOnRound, learned: Learned, on: date, south: bool, days: int) -> Forecast:
    left = _days_left(batch, on)
    return forecast_batch(
        learned,
        record_of_batch(batch, south=south),
        on=on,
        # a generator of its own, so that a batch is told alike whichever others are worked out with it
        generator=np.random.default_rng(SEED),
        patience_days=patience_of_batch(batch),
        from_page=has_page(batch),
        ahead=sorted({ROUND_DAYS, *(round(left * k / _POINTS) for k in range(_POINTS + 1))}),
        pot_up=rule_of(batch),
        south=south,
        round_days=days,
    )


def _curve(batch: BatchOnRound, forecast: Forecast | None, on: date) -> Curve:
    counts = batch.counts.until(on)
    seen: list[tuple[int, int]] = []
    rooted = 0
    for look in counts.looks:
        rooted += look.n_rooted or 0
        if look.n_rooted is not None:
            seen.append((max((look.on - counts.stuck_on).days, 0), rooted))
    last = on + timedelta(days=_days_left(batch, on))
    days = [day for day in forecast.days if day.on <= last] if forecast else []
    return Curve(
        tuple(_newest_of_each_day(seen)[-_POINTS * 2 :]),
        tuple((day.on - counts.stuck_on).days for day in days),
        tuple(day.rooted.p10 for day in days),
        tuple(day.rooted.p50 for day in days),
        tuple(day.rooted.p90 for day in days),
    )


def _newest_of_each_day(seen: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    return list(dict(seen).items())


# --- what it rests on ---------------------------------------------------------------------------------


def _holds(kept: Kept | None, mark: str, on: date) -> bool:
    return kept is not None and (kept.on, kept.rests_on) == (on, mark)


def _holds_yet(kept: Kept, mark: str, on: date) -> bool:
    """Return whether the batch is as it was, on the same day; more may have been learned since."""
    return kept.on == on and kept.rests_on.split(" ")[0] == mark.split(" ")[0]


def _mark_of(garden: Garden, batch: BatchNow, kept: Kept | None) -> str:
    """Return a mark of all that acts and curve of an open batch rest on, and after a blank what was learned.

    Where as many looks count as before and any of them is another one, so is the newest, or a flag.
    """
    newest = kept.newest_look if kept else None
    own = _mark(FORM, float(garden.latitude_deg), garden.round_days, newest, *_standing(batch))
    return f"{own} {garden.fit_id or 0}"


def _standing(batch: BatchNow) -> tuple[object, ...]:
    return (
        batch.taxon,
        batch.patience_days,
        batch.wood,
        batch.plant,
        batch.stuck_on,
        batch.n_stuck,
        batch.place,
        batch.cover_now,
        batch.n_rooted,
        batch.n_lost,
        batch.n_removed,
        batch.n_lost_rooted,
        batch.n_potted,
        batch.n_looks,
        batch.last_look_on,
        batch.flags,
    )


def _mark(*parts: object) -> str:
    return hashlib.sha256("|".join(map(str, parts)).encode()).hexdigest()[:24]
