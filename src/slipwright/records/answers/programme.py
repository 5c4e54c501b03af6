"""A garden's programme: what to stick in which week, what that promises, and what stops the rest."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Mapping, MutableMapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from slipwright.advice.kinds import kind_of
from slipwright.handbook import Handbook
from slipwright.records.answers.learning import learned_of
from slipwright.records.answers.programme_draws import GardenDraws
from slipwright.records.answers.programme_given import Given, bloom_on, given_of
from slipwright.records.answers.programme_options import Maker
from slipwright.records.answers.programme_room import rows_of
from slipwright.records.answers.programme_standing import (
    StandingBatch,
    by_want,
    standing_batches,
    weighed,
)
from slipwright.records.answers.programme_use import (
    use_of_standing,
)
from slipwright.records.answers.programme_ways import Stuckable, Ways, ways_to_meet
from slipwright.records.model_version import model_version
from slipwright.records.models import Garden
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.fits import fit_now
from slipwright.records.tables.progress import Progress, quiet
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.learned import Kind, before_records
from slipwright.season.asked import Effort, Option, Season, Standing, Want
from slipwright.season.planning import N_FRESH, N_SCENARIOS, programme_of
from slipwright.season.programme import Programme

#: raise it where draws or ways are made otherwise, so that kept lists are not taken
FORM = 1
#: assurances beyond these are asked for as these: certainty cannot be stuck for
_LEAST, _MOST = 0.01, 0.99
#: so many wants are planned for before other processes have started
_FEW, _WORKERS = 20, 2
#: lists of plans this process made and may need again
_KEPT: dict[str, bytes] = {}
_MOST_KEPT = 1_000


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A garden's season as the planner takes it, and what its answers are told by."""

    given: Given
    season: Season
    draws: GardenDraws
    ways: Mapping[str, Ways]
    stuckable: Mapping[tuple[str, str], Stuckable]
    standing: Sequence[StandingBatch]
    #: items somebody should write a cost of
    not_costed: tuple[str, ...]
    is_learned: bool


@dataclass(frozen=True, slots=True, eq=False)
class GardenProgramme:
    """A programme, the season it answers, and how long all of it took [s]."""

    problem: Problem
    programme: Programme
    seconds: float


def programme_of_garden(
    garden: Garden,
    handbook: Handbook,
    *,
    on: date,
    seed: int = 1,
    kept: MutableMapping[str, bytes] | None = None,
    before: Programme | None = None,
    change_cost: float = 0.0,
    n_workers: int | None = None,
    n_scenarios: int = N_SCENARIOS,
    n_fresh: int = N_FRESH,
    effort: Effort | None = None,
    progress: Progress = quiet,
) -> GardenProgramme:
    """Return the programme of a garden from a day on. ``garden`` must have just been read.

    ``kept`` are lists of plans from before, those of this process unless given; ``n_workers`` processes are
    started where there are many wants; the rest as ``slipwright.season.planning.programme_of``.
    """
    began = time.perf_counter()
    problem = problem_of(garden, handbook, on=on, progress=progress)
    lists = _KEPT if kept is None else kept
    while len(_KEPT) > _MOST_KEPT:
        _KEPT.pop(next(iter(_KEPT)))
    found = programme_of(
        problem.season,
        problem.draws,
        seed=seed,
        kept=lists,
        n_workers=_workers(problem.season) if n_workers is None else n_workers,
        before=before,
        change_cost=change_cost,
        n_scenarios=n_scenarios,
        n_fresh=n_fresh,
        effort=effort,
    )
    return GardenProgramme(problem, found, time.perf_counter() - began)


def _workers(season: Season) -> int:
    return _WORKERS if len(season.wants) > _FEW else 0


def problem_of(garden: Garden, handbook: Handbook, *, on: date, progress: Progress = quiet) -> Problem:
    """Return the season of a garden from a day on. ``garden`` must have just been read."""
    given = given_of(garden, handbook, on=on, progress=progress)
    standing = standing_batches(garden, handbook, given)
    ways = {want.want: ways_to_meet(given, want) for want in given.wants}
    facts = _facts(garden, handbook, given, ways)
    kinds = [kind for _, kind in facts.values()] + [one.record.kind for one in standing]
    found = learned_of(garden, kinds)
    learned = before_records() if found is None else found
    maker = Maker(given, learned, facts, frozenset(), progress)
    rows = rows_of(given)
    maker = replace(maker, rows=frozenset(row.row for row in rows))
    of_wants = by_want(standing)
    version = f"{FORM} {model_version()} {_learned_from(garden) if found is not None else 'prior'}"
    wants: list[Want] = []
    stuckable: dict[tuple[str, str], Stuckable] = {}
    asked = [want for want in given.wants if want.ready_by >= on]
    for n, want in enumerate(asked):
        progress(n, len(asked), "the ways to meet each want")
        grows = given.growth.of(want.taxon, given.pages.get(want.taxon))
        worth = maker.worth_trying(want, ways[want.want].ways, grows)
        options = tuple(maker.option(want, one) for one in worth)
        stuckable |= {(want.want, one.name): one for one in worth}
        wants.append(_want(want, options, maker, grows, of_wants.get(want.want, ()), version))
    forecasts = {
        name: [replace(one, weighed=weighed(one, learned)) for one in batches]
        for name, batches in of_wants.items()
    }
    draws = GardenDraws(
        learned,
        maker.batches,
        forecasts,
        lambda taxon: given.growth.of(taxon, given.pages.get(taxon)),
        is_prior=found is None,
        told=_Told(progress, len(wants)),
    )
    season = Season(tuple(wants), tuple(rows), _standing(given, maker, standing))
    return Problem(
        given,
        season,
        draws,
        ways,
        stuckable,
        standing,
        tuple(sorted(maker.unknown)),
        found is not None,
    )


def _learned_from(garden: Garden) -> str:
    """Return a mark of what was learned from, the same wherever a garden is kept. One query."""
    fit = fit_now(garden)
    return f"{fit.version} {fit.data_hash}" if fit else ""


def _facts(
    garden: Garden, handbook: Handbook, given: Given, ways: Mapping[str, Ways]
) -> dict[tuple[str, str], tuple[float, Kind]]:
    """Return how near to bloom each way is, and where its batch stands, by taxon and name."""
    asked: dict[tuple[str, str], tuple[str, str, str, str, date]] = {}
    kinds: dict[tuple[str, str], Kind] = {}
    for want in given.wants:
        flowers = given.taxa[want.taxon].flowers
        for one in ways[want.want].ways:
            key, wood, day = (want.taxon, one.name), one.made.wood, one.timing.stuck_on
            if key not in asked:
                asked[key] = (want.taxon, flowers, one.plants[0].plant, wood, day)
                leaf = given.leaf(want.taxon, wood)
                kinds[key] = kind_of(want.taxon, leaf, wood, day, south=given.south)
    near = bloom_on(garden, handbook, list(asked.values())) if asked else []
    return {key: (bloom, kinds[key]) for key, bloom in zip(asked, near, strict=True)}


def _want(
    want: WantNow,
    options: tuple[Option, ...],
    maker: Maker,
    grows: GrowsOn,
    standing: Sequence[StandingBatch],
    version: str,
) -> Want:
    mark = hashlib.sha256(version.encode())
    of_growing = [grows.prior, sorted(grows.scores), grows.n_batches]
    parts: list[object] = [want.want, want.taxon, of_growing, *(one.mark for one in standing)]
    parts += [maker.batches[want.want, option.option] for option in options]
    mark.update("\n".join(map(repr, parts)).encode())
    for array in (grows.shares, *(grows.scores[stage] for stage in sorted(grows.scores))):
        mark.update(b"" if array is None else array.tobytes())
    return Want(
        want.want,
        want.taxon,
        want.n_wanted,
        want.ready_by,
        min(max(float(want.assurance), _LEAST), _MOST),
        options,
        None if want.value_each is None else float(want.value_each),
        mark.hexdigest(),
    )


def _standing(given: Given, maker: Maker, standing: Sequence[StandingBatch]) -> tuple[Standing, ...]:
    found = []
    for n, one in enumerate(standing):
        maker.progress(n, len(standing), "the room of each batch")
        course = maker.course(one.record.cuttings, one.record.kind, one.timing.patience_days)
        found.append(Standing(one.now.batch, one.want, use_of_standing(given, one, course, maker.rows)))
    return tuple(found)


class _Told:
    """Tells how many wants have been drawn for."""

    def __init__(self, progress: Progress, total: int) -> None:
        self._progress, self._total, self._done = progress, total, 0

    def __call__(self) -> None:
        self._progress(min(self._done, self._total), self._total, "plans of each want")
        self._done += 1
