"""What seasons would have been forecast as they were stuck, from what was written down before them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from importlib import import_module
from types import MappingProxyType

from slipwright.records.answers.learning import N_DRAWS
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned
from slipwright.rooting.looking_back import Looked, forecast_when_stuck, known_then, over_by
from slipwright.rooting.plain_average import plain_average

#: seasons held against what came, the newest; batches of each worked out afterwards, picked evenly
MOST_SEASONS, MOST_OF_SEASON = 8, 300


@dataclass(frozen=True, slots=True)
class SeasonLooked:
    """Batches of a season whose forecasts were worked out afterwards, of how many it was tried."""

    looked: Sequence[Looked]
    n_asked: int


def seasons_looked_back(
    records: Sequence[BatchRecord],
    asked: Sequence[BatchRecord],
    patience: Mapping[str, float],
    learn_from: Callable[[Sequence[BatchRecord]], Learned],
    known: Mapping[str, SeasonLooked] = MappingProxyType({}),
    *,
    at_most: int = MOST_SEASONS,
) -> tuple[dict[str, SeasonLooked], bool]:
    """Return by season what some batches would have been forecast as they were stuck, and whether it is all.

    Each season from what was written down before its first batch was stuck; seasons before which nothing was
    counted are left out. Those that are ``known`` are not worked out again, and ``at_most`` so many others.
    """
    of_season: dict[str, list[BatchRecord]] = {}
    for record in asked:
        of_season.setdefault(record.kind.season, []).append(record)
    begins = season_begins(records, of_season)
    found = dict(known)
    for season in sorted(of_season)[-MOST_SEASONS:]:
        if season in found:
            continue
        earlier = known_then(records, begins[season])
        if not any(record.counts.n_looks for record in earlier):
            continue
        if len(found) - len(known) >= at_most:
            return found, False
        some = _evenly(of_season[season])
        average = plain_average(over_by(earlier, patience))
        looked = forecast_when_stuck(learn_from(earlier), average, some, patience, on=begins[season])
        found[season] = SeasonLooked(looked, len(some))
    return found, True


def newest_seasons_begin(records: Sequence[BatchRecord]) -> date:
    """Return the first day of the newest seasons that are held against what came."""
    seasons = sorted({record.kind.season for record in records})[-MOST_SEASONS:]
    return min(season_begins(records, seasons).values(), default=date.min)


def season_begins(records: Iterable[BatchRecord], seasons: Collection[str]) -> dict[str, date]:
    """Return by season the day its first batch was stuck."""
    found: dict[str, date] = {}
    for record in records:
        season, stuck_on = record.kind.season, record.counts.stuck_on
        if season in seasons:
            found[season] = min(found.get(season, stuck_on), stuck_on)
    return found


def fitted(records: Sequence[BatchRecord]) -> Learned:
    """Return what some batches teach, without what holds of any one of them."""
    # what it takes of the linear algebra is loaded only where something is learned
    fitting = import_module("slipwright.rooting.fitting")
    learned: Learned = fitting.fit(records).learned(keep=lambda node: node[0] != "batch", n_draws=N_DRAWS)
    return learned


def _evenly(records: Sequence[BatchRecord]) -> list[BatchRecord]:
    n = len(records)
    if n <= MOST_OF_SEASON:
        return list(records)
    return [records[k * n // MOST_OF_SEASON] for k in range(MOST_OF_SEASON)]
