"""What a programme is held against: seasons played cutting by cutting, rooms added up anew, the flat rule."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from bench import season_worlds as worlds
from bench.season_worlds import World
from slipwright.season.asked import Season, Want
from slipwright.season.programme import Line, Programme

AT_ONCE = 4_000_000
FACTORS = np.arange(1.0, 4.01, 0.05)
#: a want counts as honestly met this far below its assurance; a rule as honest for this share of wants
BELOW, MOST = 0.01, 0.95


def worst_excess(season: Season, programme: Programme) -> float:
    """Add up what all lines use, and return the largest excess over a room, as a share of it."""
    options = {(want.want, option.option): option for want in season.wants for option in want.options}
    used = {row.row: 0.0 for row in season.rows}
    for line in programme.lines:
        option = options[line.want, line.option]
        for row, amount in option.use_each.items():
            used[row] += amount * line.n_to_stick
        for row, amount in option.use_once.items():
            used[row] += amount
    return max((used[row.row] - row.room) / max(row.room, 1e-9) for row in season.rows)


def played(world: World, want: Want, lines: Sequence[Line], n_seasons: int, seed: int) -> float:
    """Play seasons cutting by cutting; return the share in which the want is met.

    Written apart from the draws: each cutting roots or not, at a moment, is found at the next weekly look or
    given up, outlives potting or not, and takes its own time to size.
    """
    taxon = world.taxa[want.want]
    generator = np.random.default_rng([seed, int(want.want[1:])])
    met = 0
    n_at_once = max(1, AT_ONCE // max((line.n_to_stick for line in lines), default=1))
    for start in range(0, n_seasons, n_at_once):
        n = min(n_at_once, n_seasons - start)
        effect = generator.normal(0, worlds.SD_TAXON, n)
        of_method = generator.normal(0, worlds.SD_METHOD, (4, n))
        stretch = generator.normal(0, worlds.SD_STRETCH, n)
        ready = np.zeros(n, int)
        for line in lines:
            method, week = world.place[want.want, line.option]
            batch = generator.normal(0, worlds.SD_BATCH, n)
            log_odds = taxon.logit[method] + effect + of_method[method] + batch
            roots = generator.random((n, line.n_to_stick), np.float32) < (
                taxon.surviving / (1 + np.exp(-log_odds))
            )[:, None].astype(np.float32)
            z = generator.standard_normal((2, n, line.n_to_stick), np.float32)
            root = np.float32(taxon.root_weeks[method])
            weeks = np.exp(z[0] * np.float32(worlds.SD_ROOT) + stretch[:, None].astype(np.float32)) * root
            in_time = weeks <= math.floor(worlds.GIVEN_UP * root)
            grow = np.exp(z[1] * np.float32(worlds.SD_GROW) + stretch[:, None].astype(np.float32))
            grow *= np.float32(taxon.grow_weeks[method])
            ready += (roots & in_time & (np.ceil(weeks) + grow <= taxon.due - week)).sum(axis=1)
        met += int((ready >= want.n_wanted).sum())
    return met / n_seasons


@dataclass(frozen=True)
class Flat:
    """The flat rule with one factor, and with a factor of its own for each want."""

    factor: float
    cost: float
    cost_of_own: float
    share_honest: float
    mean: float


def flat_rule(world: World, wants: Iterable[Want], n_draws: int = 20_000) -> Flat:
    """Stick wanted / assumed rate x factor, in the first open week; no heed of wood and room.

    The assumed rate is the mean of the whole chain, kindly exact: of the method that is best on average, in
    the first week within 90 % of its best. The one factor is the smallest that meets 95 % of wants with
    their assurance less .01.
    """
    chances, costs, wished = [], [], []
    for want in wants:
        drawn = world.draws(want, tuple(range(len(want.options))), n_draws, 77)
        mean = np.asarray(drawn.ready, float).mean(axis=1)
        methods = np.array([world.place[want.want, option.option][0] for option in want.options])
        best = methods == methods[int(np.argmax(mean))]
        place = int(np.flatnonzero(best & (mean >= 0.9 * mean.max()))[0])
        option, share = want.options[place], np.asarray(drawn.ready[place], float)
        per = option.n_per_container
        numbers = np.ceil(want.n_wanted / mean[place] * FACTORS / per).astype(int) * per
        generator = np.random.default_rng(3)
        chances.append([float((generator.binomial(n, share) >= want.n_wanted).mean()) for n in numbers])
        costs.append(numbers * option.cost_each + option.cost_once)
        wished.append(want.assurance)
    chance, cost, least = np.array(chances), np.array(costs), np.array(wished)[:, None] - BELOW
    honest = (chance >= least).mean(axis=0)
    common = int(np.argmax(honest >= MOST)) if (honest >= MOST).any() else len(FACTORS) - 1
    own = np.where((chance >= least).any(axis=1), (chance >= least).argmax(axis=1), len(FACTORS) - 1)
    return Flat(
        float(FACTORS[common]),
        float(cost[:, common].sum()),
        float(cost[np.arange(len(cost)), own].sum()),
        float(honest[common]),
        float(chance[:, common].mean()),
    )
