"""How good forecasts turned out: those kept as they were made, and what would have been forecast before.

``refresh`` is the helper's; forecasts are held against what came once for each time something was learned.
Pages ask ``scores_of``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, cast
from uuid import UUID

from slipwright.advice.walk import BatchOnRound, patience_of_batch
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Wood
from slipwright.records import selectors
from slipwright.records.answers.forecasts import made as forecasts_made
from slipwright.records.answers.forecasts.afterwards import (
    MOST_SEASONS,
    SeasonLooked,
    fitted,
    newest_seasons_begin,
    season_begins,
    seasons_looked_back,
)
from slipwright.records.answers.forecasts.turned_out import Scores, scores_from, scores_in
from slipwright.records.answers.histories import whole_history
from slipwright.records.answers.history_mark import mark_of
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.trials.now import days_to_count
from slipwright.records.model_version import model_version
from slipwright.records.models import Garden
from slipwright.records.selectors.fits import fit_now, kept_with_fit, newest_kept_with_fit
from slipwright.records.selectors.forecasts_made import Made, forecast_as_stuck, newest_made
from slipwright.records.selectors.trials import trial_of_batches
from slipwright.records.services.fits import keep_with_fit
from slipwright.rooting.came import rooted_by
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import give_up_on
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.looking_back import Looked, known_then, over_by
from slipwright.rooting.plain_average import PlainAverage, plain_average, points_of_average

#: the name under which a fit keeps how good forecasts turned out
KEPT_AS = "forecasts"
#: raise it where what is kept takes another form or is worked out in another way
FORM = 3
#: forecasts made that are held against what came, the newest whose day has come
MOST_MADE = 50_000

#: within so many days what was worked out afterwards stands where few of its batches are others
AGAIN_DAYS, FEW = 30, 0.1

#: gardens of so few batches are held against what came as soon as something was learned, others in quiet
AT_ONCE = 300

Left = Counter[str]


def scores_of(garden: Garden) -> tuple[Scores | None, Scores | None]:
    """Return how good forecasts turned out: those made, and those worked out afterwards. One or two queries.

    None where there are none. ``garden`` must have just been read. What was found of an earlier fit stands
    until the helper has worked it out anew.
    """
    kept = kept_with_fit(garden, KEPT_AS) or newest_kept_with_fit(garden, KEPT_AS)
    if not kept or kept.get("form") != FORM:
        return None, None
    return scores_from(kept["made"]), scores_from(kept["afterwards"])


#: the fit of gardens at the last pass that was done to its end
_DONE: Remembered[bool] = Remembered()


def refresh(garden: Garden, handbook: Handbook, *, on: date, now: datetime) -> int:
    """Make the forecasts that are due, and hold those made against what came; return of how many batches.

    At most one season is worked out afterwards. A large garden's are held against what came later, in quiet,
    and so are those of one in which it failed.
    A garden in which nothing was written since costs one query.
    """
    n = forecasts_made.refresh(garden, handbook, on=on, now=now)
    rests_on = as_of(0, 0), garden.fit_id
    if not _DONE.get(garden.garden, rests_on):
        # before it is tried: a fault is not to be met again in each pass
        _DONE.keep(garden.garden, rests_on, True)
        fit = fit_now(garden, with_found=False)
        is_small = fit is not None and fit.n_batches <= AT_ONCE
        if is_small and rescore(garden, handbook, on=on, at_most=1):
            # there may be another season: it is done in the next pass
            _DONE.keep(garden.garden, None, True)
    return n


def rescore(garden: Garden, handbook: Handbook, *, on: date, at_most: int = MOST_SEASONS) -> bool:
    """Hold forecasts against what came, if something was learned since; return whether anything was done.

    At most so many seasons are worked out afterwards; the others when it is asked again, and until the last
    of them what was worked out before stands. ``garden`` must have just been read. A garden in which nothing
    was learned since costs two queries.
    """
    fit = fit_now(garden, with_found=False)
    if fit is None or not fit.is_of_this_model:
        return False
    kept = kept_with_fit(garden, KEPT_AS)
    if kept and kept.get("form") == FORM and not kept["has_more"]:
        return False
    records = whole_history(garden, handbook).records
    patience = _patience(garden, handbook)
    by_code = {record.kind.batch: record for record in records if record.kind.batch in patience}
    records = list(by_code.values())
    made, n_not_yet = newest_made(garden, newest_seasons_begin(records), on, MOST_MADE)
    n_made = len(made) + n_not_yet
    average = plain_average(over_by(records, patience))
    looked, left = _held_against(made, by_code, average)
    if n_not_yet:
        # of those to come only the batches that were quick would be known
        left["not-yet"] = n_not_yet
    as_stuck = forecast_as_stuck(garden)
    trials = trial_of_batches(garden)
    afterwards = _afterwards(
        garden, records, patience, as_stuck, trials, on=on, is_full=fit.is_full, at_most=at_most
    )
    scores = {
        "form": FORM,
        "made": scores_in(looked, by_code, n_made=n_made, left_out=left, trials=trials) if n_made else None,
        **afterwards,
    }
    keep_with_fit(fit.pk, KEPT_AS, scores)
    return True


def _patience(garden: Garden, handbook: Handbook) -> dict[str, float]:
    """Return by code of a batch after how many days waiting ends: for a pot of a trial with its count."""
    counted_after = days_to_count(garden)
    known: dict[tuple[str, str], float] = {}
    found = {}
    for now in selectors.states_of_all_batches(garden):
        kind = (now.taxon, now.wood)
        if kind not in known:
            known[kind] = patience_of_batch(
                BatchOnRound(
                    now.batch,
                    now.taxon,
                    cast(Wood, now.wood),
                    BatchCounts(now.stuck_on, now.n_stuck),
                    page=handbook.page_of(now.taxon),
                    patience_days=now.patience_days,
                )
            )
        found[now.batch] = counted_after.get(now.batch, known[kind])
    return found


def _held_against(
    made: Iterable[Made], by_code: Mapping[str, BatchRecord], average: PlainAverage
) -> tuple[list[Looked], Left]:
    """Return the forecasts, of those whose day has come, of which it is known what came; why others not."""
    looked, left = [], Left()
    for one in made:
        record = by_code.get(one.batch)
        if record is None or record.counts.n_stuck != one.n_stuck:
            left["another-now"] += 1
            continue
        came = rooted_by(record.counts, one.by_day, since=one.made_on)
        if came.n is None:
            left[came.why] += 1
            continue
        share = None if one.n_looks else average.share(record.kind, one.made_on)
        looked.append(
            Looked(
                one.batch,
                record.kind.season,
                one.made_on,
                one.by_day,
                one.n_stuck,
                one.n_looks,
                one.rooted,
                one.by_handbook,
                None if share is None else tuple(points_of_average(share, one.n_stuck).tolist()),
                came.n,
                came.is_between,
            )
        )
    return looked, left


# --- worked out afterwards ----------------------------------------------------------------------------


#: by garden the seasons worked out so far and the mark of what they rest on, while some are left
_WORKED_OUT: dict[UUID, tuple[str, dict[str, SeasonLooked]]] = {}


def _afterwards(
    garden: Garden,
    records: Sequence[BatchRecord],
    patience: Mapping[str, float],
    as_stuck: set[str],
    trials: Mapping[str, str],
    *,
    on: date,
    is_full: bool,
    at_most: int,
) -> dict[str, Any]:
    """Return what the seasons would have been forecast, with a mark of what it rests on, and when it was.

    It ``has_more`` where seasons are left to work out.

    What was worked out before stands while its records do, and between full fits; for ``AGAIN_DAYS`` in any
    case, as long as the model is the same and few batches have come to it: batches that were open when they
    were loaded come to their end day by day, and each would have all seasons learned from anew.
    """
    asked = [
        record
        for record in records
        if record.kind.batch not in as_stuck
        and give_up_on(record.counts.stuck_on, patience[record.kind.batch]) <= on
    ]
    begins = season_begins(records, {record.kind.season for record in asked})
    codes = {record.kind.batch for record in asked}
    behind = known_then(records, max(begins.values())) if begins else []
    rests_on = [*asked, *(record for record in behind if record.kind.batch not in codes)]
    mark = f"{model_version()} {mark_of(rests_on).data_hash} {len(asked)}"
    rests = {
        "mark": mark,
        "model": model_version(),
        "n_asked": len(asked),
        "worked_on": on.isoformat(),
        "has_more": False,
    }
    before = newest_kept_with_fit(garden, KEPT_AS)
    if before and before.get("form") != FORM:
        before = None
    if before and not before["has_more"] and (not is_full or _stands(before, rests)):
        return {name: before[name] for name in (*rests, "afterwards")}
    of_mark, known = _WORKED_OUT.get(garden.garden, ("", {}))
    seasons, is_all = seasons_looked_back(
        records, asked, patience, fitted, known if of_mark == mark else {}, at_most=at_most
    )
    _WORKED_OUT.pop(garden.garden, None)
    if not is_all:
        _WORKED_OUT[garden.garden] = (mark, seasons)
        return rests | {"has_more": True, "afterwards": before["afterwards"] if before else None}
    looked = [one for _, season in sorted(seasons.items()) for one in season.looked]
    n_asked = sum(season.n_asked for season in seasons.values())
    by_code = {record.kind.batch: record for record in records}
    left = Left({"no-number": n_asked - len(looked)}) if n_asked > len(looked) else Left()
    afterwards = scores_in(looked, by_code, n_made=n_asked, left_out=left, trials=trials) if n_asked else None
    return rests | {"afterwards": afterwards}


def _stands(before: Mapping[str, Any], rests: Mapping[str, Any]) -> bool:
    """Return whether what was worked out before still does."""
    if before["mark"] == rests["mark"]:
        return True
    days = (date.fromisoformat(rests["worked_on"]) - date.fromisoformat(before["worked_on"])).days
    is_little = abs(rests["n_asked"] - before["n_asked"]) <= FEW * before["n_asked"]
    return bool(before["model"] == rests["model"] and is_little and 0 <= days < AGAIN_DAYS)
