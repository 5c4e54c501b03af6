"""A garden's programme: what to stick in which week, what that promises, and what stops the rest."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Mapping, MutableMapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Any

from slipwright.advice.kinds import kind_of
from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.records.answers.learning import learned_of
from slipwright.records.answers.programme.change import changed
from slipwright.records.answers.programme.draws import GardenDraws
from slipwright.records.answers.programme.given import Given, bloom_on, given_of
from slipwright.records.answers.programme.options import Maker
from slipwright.records.answers.programme.progress import Stretch
from slipwright.records.answers.programme.room import rows_of
from slipwright.records.answers.programme.standing import (
    StandingBatch,
    by_want,
    standing_batches,
    weighed,
)
from slipwright.records.answers.programme.use import (
    use_of_standing,
)
from slipwright.records.answers.programme.ways import Stuckable, Ways, ways_to_meet
from slipwright.records.answers.programme.wood import Wood, wood_of
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
FORM = 2
#: assurances beyond these are asked for as these: certainty cannot be stuck for
_LEAST, _MOST = 0.01, 0.99
#: so many wants are planned for before other processes have started
_FEW, _WORKERS = 20, 2
_SEASONS = Said("finding the season of each plant")
_WAYS, _STANDS = Said("finding the ways to meet each want"), Said("counting what stands")
#: which share of the work is done once what is there was read, and once the ways were found
_READ, _FOUND = 0.08, 0.2


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A garden's season as the planner takes it, and what its answers are told by."""

    garden: Garden
    given: Given
    season: Season
    draws: GardenDraws
    maker: Maker
    ways: Mapping[str, Ways]
    stuckable: Mapping[tuple[str, str], Stuckable]
    wood: Wood
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
    change: Mapping[str, Any] | None = None,
) -> GardenProgramme:
    """Return the programme of a garden from a day on. ``garden`` must have just been read.

    ``change`` is one thing taken to be other than it is, as ``change.changed`` has it.
    ``kept`` are lists of plans from before; ``n_workers`` processes are started where there are many wants;
    ``progress`` is told of the whole; the rest as ``slipwright.season.planning.programme_of``.
    """
    began, whole = time.perf_counter(), Stretch(progress)
    problem = problem_of(garden, handbook, on=on, progress=whole.part(0.0, _FOUND), change=change)
    found = programme_of(
        problem.season,
        problem.draws,
        seed=seed,
        kept=kept,
        n_workers=_workers(problem.season) if n_workers is None else n_workers,
        before=before,
        change_cost=change_cost,
        n_scenarios=n_scenarios,
        n_fresh=n_fresh,
        effort=effort,
        said=whole.part(_FOUND, 1.0).share,
    )
    return GardenProgramme(problem, found, time.perf_counter() - began)


def _workers(season: Season) -> int:
    return _WORKERS if len(season.wants) > _FEW else 0


def problem_of(
    garden: Garden,
    handbook: Handbook,
    *,
    on: date,
    progress: Progress = quiet,
    change: Mapping[str, Any] | None = None,
) -> Problem:
    """Return the season of a garden from a day on. ``garden`` must have just been read."""
    whole, read = Stretch(progress), _READ / _FOUND

    def reading(done: int, total: int, label: str) -> None:
        whole.part(0.0, read)(done, total, _SEASONS)

    given = changed(given_of(garden, handbook, on=on, progress=reading), change or {})
    whole.share(read, _WAYS)
    standing = standing_batches(garden, handbook, given)
    ways = {want.want: ways_to_meet(given, want) for want in given.wants}
    facts = _facts(garden, handbook, given, ways)
    kinds = [kind for _, kind in facts.values()] + [one.record.kind for one in standing]
    found = learned_of(garden, kinds)
    learned = before_records() if found is None else found
    maker = Maker(given, learned, facts, frozenset(), whole.part(0.95, 1.0))
    rows = rows_of(given)
    maker = replace(maker, rows=frozenset(row.row for row in rows))
    of_wants = by_want(standing)
    version = f"{FORM} {model_version()} {_learned_from(garden) if found is not None else 'prior'}"
    tried: list[tuple[WantNow, GrowsOn, list[Stuckable]]] = []
    stuckable: dict[tuple[str, str], Stuckable] = {}
    asked = [want for want in given.wants if want.ready_by >= on]

    @cache
    def grows_on(taxon: str) -> GrowsOn:
        return given.growth.of(taxon, given.pages.get(taxon))

    for n, want in enumerate(asked):
        whole.part(0.7, 0.95)(n, len(asked), _WAYS)
        grows = grows_on(want.taxon)
        worth = maker.worth_trying(want, ways[want.want].ways, grows)
        stuckable |= {(want.want, one.name): one for one in worth}
        tried.append((want, grows, worth))
    wood = wood_of(stuckable.values())
    maker, rows = replace(maker, wood=wood), [*rows, *wood.rows]
    wants: list[Want] = []
    for want, grows, worth in tried:
        options = tuple(maker.option(want, one) for one in worth)
        wants.append(_want(want, options, maker, grows, of_wants.get(want.want, ()), version))
    forecasts = {
        name: [replace(one, weighed=weighed(one, learned)) for one in batches]
        for name, batches in of_wants.items()
    }
    draws = GardenDraws(
        learned,
        maker.batches,
        forecasts,
        grows_on,
        is_prior=found is None,
    )
    season = Season(tuple(wants), tuple(rows), _standing(given, maker, standing))
    return Problem(
        garden,
        given,
        season,
        draws,
        maker,
        ways,
        stuckable,
        wood,
        standing,
        tuple(sorted(maker.unknown)),
        found is not None,
    )


def _learned_from(garden: Garden) -> str:
    """Return a mark of what was learned from, the same wherever a garden is kept. One query."""
    fit = fit_now(garden, with_found=False)
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
        maker.progress(n, len(standing), _STANDS)
        course = maker.course(one.record.cuttings, one.record.kind, one.timing.patience_days)
        found.append(Standing(one.now.batch, one.want, use_of_standing(given, one, course, maker.rows)))
    return tuple(found)
