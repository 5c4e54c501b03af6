"""Forecasts kept as they are made: of each open batch when it was stuck, and again after each look.

Each says how many will have rooted by the next look and by the end of patience, as learned and by the
handbook alone, both told of the batch's own looks. They are never made anew once the day is over, so that
they can be held against what came.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, patience_of_batch, record_of_batch
from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.trials.now import days_to_count
from slipwright.records.answers.walk import batches_on_round, learned_for, round_days
from slipwright.records.models import Garden
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.forecasts_made import Made, open_batches_not_forecast
from slipwright.records.services.forecasts_made import keep_forecasts_made
from slipwright.rooting.dates import give_up_on
from slipwright.rooting.looking_back import points_of_both

#: batches worked out and kept in one transaction
AT_ONCE = 50
#: batches forecast in one pass: whatever else the helper does is not to wait for a garden just loaded
A_PASS = 400

#: gardens at the last pass that was done to its end
_DONE: Remembered[bool] = Remembered()


def refresh(garden: Garden, handbook: Handbook, *, on: date, now: datetime) -> int:
    """Make and keep what forecasts are due of open batches, some in a pass; return of how many batches.

    A garden in which nothing was written since costs one query.
    """
    columns = ("last_number", "last_edit", "fit_id")
    last_number, last_edit, garden.fit_id = Garden.objects.values_list(*columns).get(pk=garden.pk)
    rests_on = as_of(last_number, last_edit, on)
    if _DONE.get(garden.garden, rests_on):
        return 0
    batches: list[BatchNow] = []
    if due := set(open_batches_not_forecast(garden)):
        # one to be stuck on a day to come is not yet forecast
        batches = [
            now
            for now in selectors.states_of_open_batches(garden)
            if now.pk in due and now.stuck_on <= on and now.n_waiting > 0
        ]
    now_done = batches[:A_PASS]
    for start in range(0, len(now_done), AT_ONCE):
        some = now_done[start : start + AT_ONCE]
        keep_forecasts_made(garden, on, made_of(garden, handbook, some, on=on))
    if len(now_done) == len(batches):
        _DONE.keep(garden.garden, rests_on, True)
    return len(now_done)


def made_of(garden: Garden, handbook: Handbook, batches: Sequence[BatchNow], *, on: date) -> list[Made]:
    """Return the forecasts of some batches on a day, two a batch; one where patience runs out before."""
    standing = batches_on_round(garden, handbook, batches)
    learned = learned_for(garden, standing)
    n_learned_from = learned.behind.get((), (0, 0))[0]
    south, ahead = is_south(float(garden.latitude_deg)), timedelta(days=round_days(garden))
    counted_after = days_to_count(garden) if any(now.arm for now in batches) else {}
    made = []
    for now, batch in zip(batches, standing, strict=True):
        days = _days(batch, on, ahead, counted_after.get(now.batch))
        points = points_of_both(learned, record_of_batch(batch, south=south), days, on=on)
        made += [
            Made(now.pk, now.batch, on, day, now.n_stuck, now.n_looks, n_learned_from, ours, by_handbook)
            for day, (ours, by_handbook) in zip(days, points, strict=True)
        ]
    return made


def _days(batch: BatchOnRound, on: date, ahead: timedelta, counted_after: int | None) -> list[date]:
    # a pot of a trial comes to its end with the count it is judged by
    limit = give_up_on(batch.counts.stuck_on, counted_after or patience_of_batch(batch))
    return sorted({on + ahead, limit}) if limit > on else [on + ahead]
