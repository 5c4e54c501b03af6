"""Forecasts beside what came, summed up: how many ranges held, how near they lay, as kept and as told."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.history import BatchRecord
from slipwright.rooting.looking_back import Looked
from slipwright.rooting.reliability import Reliability, reliability
from slipwright.rooting.scoring import HIGH, LOW, MIDDLE, Better, better_by, crps_of_points, held

Verdict = Literal["too-few", "as-meant", "perhaps-narrow", "perhaps-wide", "too-narrow", "too-wide"]
Lean = Literal["", "more", "fewer"]
What = Literal["stuck-end", "stuck-look", "looked-end", "looked-look"]
WHATS: tuple[What, ...] = ("stuck-end", "stuck-look", "looked-end", "looked-look")

#: batches below which nothing is said of how good the ranges are
LEAST_BATCHES = 8
#: batches beyond which it is only said that many more are needed
MOST_TOLD = 500
#: a forecast further ahead than this is one of the end
_A_ROUND = 10
#: the newest forecasts that are shown one by one
N_LATEST = 12
_SEED = 1


@dataclass(frozen=True, slots=True)
class Compared:
    """Forecasts of one sort: how far off they lay [cuttings], by whom, and what is better by which share.

    Of the ``n_average`` of which there was a plain average, ``ours_there`` lay so far off.
    """

    what: str
    n: int
    n_batches: int
    n_held: int
    ours: float
    handbook: float
    than_handbook: Better
    n_average: int
    ours_there: float
    average: float
    than_average: Better | None


@dataclass(frozen=True, slots=True)
class OneForecast:
    """One forecast and what came; the range is 8 times in 10."""

    batch: str
    taxon: str
    made_on: date
    by_day: date
    n_stuck: int
    n_looks: int
    low: int
    middle: int
    high: int
    came: int
    is_between: bool

    @property
    def held(self) -> bool:
        """Whether the range held what came."""
        return self.low <= self.came <= self.high


@dataclass(frozen=True, slots=True)
class Scores:
    """How good forecasts turned out. ``whole`` is of all, ``parts`` by sort, ``seasons`` by season.

    ``ranges`` and ``whole`` are None where it is known of none what came.
    """

    n_made: int
    n_between: int
    left_out: Mapping[str, int]
    ranges: Reliability | None
    whole: Compared | None
    parts: Sequence[Compared]
    seasons: Sequence[Compared]
    latest: Sequence[OneForecast]

    @property
    def verdict(self) -> Verdict:
        """Whether the ranges held as often as they were meant to.

        Right forecasts lie outside what chance does 8 times in 10 in one garden of five: of those it is only
        said that they may be wrong; that they are, where chance does so 1 time in 20.
        """
        ranges = self.ranges
        if ranges is None or ranges.n_batches < LEAST_BATCHES:
            return "too-few"
        low, high = ranges.held_sure
        if ranges.n_held < ranges.held_low:
            return "too-narrow" if ranges.n_held < low else "perhaps-narrow"
        if ranges.n_held > ranges.held_high:
            return "too-wide" if ranges.n_held > high else "perhaps-wide"
        return "as-meant"

    @property
    def lean(self) -> Lean:
        """Whether more or fewer rooted than the middle said, by more than chance does 19 times in 20."""
        ranges = self.ranges
        if ranges is None or ranges.n_batches < LEAST_BATCHES:
            return ""
        low, high = ranges.middle_sure
        if ranges.came[MIDDLE] > high:
            return "fewer"
        return "more" if ranges.came[MIDDLE] < low else ""


def scores_in(
    looked: Sequence[Looked],
    records: Mapping[str, BatchRecord],
    *,
    n_made: int,
    left_out: Mapping[str, int],
    trials: Mapping[str, str],
) -> dict[str, Any]:
    """Return some forecasts summed up, as plain data to keep.

    ``trials`` names the trial of each batch that is a pot of one: pots of one trial, stuck on one day of one
    plant, hit or miss together, and count as one batch.
    """
    ours, came = _points(looked, lambda one: one.ours), np.array([one.came for one in looked])
    batches = _together(looked, trials)
    n_stuck = np.array([one.n_stuck for one in looked])
    kinds = {what: [one for one in looked if _what(one) == what] for what in WHATS}
    seasons = sorted({one.season for one in looked})
    newest = sorted(looked, key=lambda one: (one.by_day, one.made_on, one.batch))[: -N_LATEST - 1 : -1]
    scores = Scores(
        n_made,
        sum(one.is_between for one in looked),
        dict(left_out),
        reliability(ours, came, batches, n_stuck) if looked else None,
        _compared("", looked, trials) if looked else None,
        [_compared(what, some, trials) for what, some in kinds.items() if some],
        [_compared(name, [one for one in looked if one.season == name], trials) for name in seasons],
        [_one(one, records) for one in newest],
    )
    kept = asdict(scores)
    for one in kept["latest"]:
        one["made_on"], one["by_day"] = one["made_on"].isoformat(), one["by_day"].isoformat()
    return kept


def scores_from(kept: Mapping[str, Any] | None) -> Scores | None:
    """Return what ``scores_in`` put away."""
    if kept is None:
        return None
    ranges: dict[str, Any] | None = kept["ranges"] and {
        name: tuple(value) if isinstance(value, list | tuple) else value
        for name, value in kept["ranges"].items()
    }
    return Scores(
        kept["n_made"],
        kept["n_between"],
        kept["left_out"],
        Reliability(**ranges) if ranges else None,
        _compared_from(kept["whole"]) if kept["whole"] else None,
        [_compared_from(one) for one in kept["parts"]],
        [_compared_from(one) for one in kept["seasons"]],
        [
            OneForecast(
                **{
                    **one,
                    "made_on": date.fromisoformat(one["made_on"]),
                    "by_day": date.fromisoformat(one["by_day"]),
                }
            )
            for one in kept["latest"]
        ],
    )


def _compared_from(kept: Mapping[str, Any]) -> Compared:
    than_average = kept["than_average"]
    return Compared(
        **{
            **kept,
            "than_handbook": Better(**kept["than_handbook"]),
            "than_average": Better(**than_average) if than_average else None,
        }
    )


def _what(one: Looked) -> What:
    far = (one.by_day - one.made_on).days > _A_ROUND
    if one.n_looks:
        return "looked-end" if far else "looked-look"
    return "stuck-end" if far else "stuck-look"


def _points(looked: Sequence[Looked], of: Callable[[Looked], Sequence[int]]) -> NDArray[np.int64]:
    return np.array([of(one) for one in looked])


def _together(looked: Sequence[Looked], trials: Mapping[str, str]) -> list[tuple[str, str]]:
    return [("trial", trials[one.batch]) if one.batch in trials else ("batch", one.batch) for one in looked]


def _compared(what: str, looked: Sequence[Looked], trials: Mapping[str, str]) -> Compared:
    generator = np.random.default_rng(_SEED)
    came = np.array([one.came for one in looked])
    batches = _together(looked, trials)
    points = _points(looked, lambda one: one.ours)
    ours = crps_of_points(points, came)
    handbook = crps_of_points(_points(looked, lambda one: one.handbook), came)
    # by the next look the share of those that root in the end says nothing
    there = [k for k, one in enumerate(looked) if one.average and _what(one) == "stuck-end"]
    average = (
        crps_of_points(_points([looked[k] for k in there], lambda one: one.average or ()), came[there])
        if there
        else np.zeros(0)
    )
    return Compared(
        what,
        len(looked),
        len(set(batches)),
        int(held(points, came).sum()),
        _mean(ours),
        _mean(handbook),
        better_by(ours, handbook, batches, generator),
        len(there),
        _mean(ours[there]),
        _mean(average),
        better_by(ours[there], average, [batches[k] for k in there], generator) if there else None,
    )


def _mean(scores: NDArray[np.float64]) -> float:
    return round(float(scores.mean()), 4) if len(scores) else 0.0


def _one(one: Looked, records: Mapping[str, BatchRecord]) -> OneForecast:
    return OneForecast(
        one.batch,
        records[one.batch].kind.taxon,
        one.made_on,
        one.by_day,
        one.n_stuck,
        one.n_looks,
        one.ours[LOW],
        one.ours[MIDDLE],
        one.ours[HIGH],
        one.came,
        one.is_between,
    )


def batches_to_tell(compared: Better) -> int | None:
    """Return about how many batches it takes until a difference is clear; None for more than ``MOST_TOLD``.

    An interval narrows with the root of the number of batches.
    """
    if compared.is_clear or not compared.share:
        return None
    needed = compared.n_batches * ((compared.high - compared.low) / 2 / abs(compared.share)) ** 2
    n = math.ceil(needed / 10) * 10
    return n if n <= MOST_TOLD else None
