"""Draws of a batch's clocks that fit its own looks, and what still waits thrown forward."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slipwright.rooting.clocks import Clocks
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.ranges import Array, Counts

#: the least chance of anything seen: the normal curve is exact to 1e-7, and nobody counts better
LEAST_CHANCE = 1e-6
#: draws that must count after weighing, as a share, before they are drawn anew nearer to the looks
LEAST_EFFECTIVE = 0.2
FRESH_SHARE = 0.2


@dataclass(frozen=True, slots=True)
class Step:
    """What one look says of those at risk: places in ``Seen.days``, numbers, ``None`` not counted."""

    rooted_from: int
    lost_from: int
    to: int
    n_at_risk: int
    n_rooted: int | None
    n_lost: int | None


@dataclass(frozen=True, slots=True)
class Seen:
    """The looks of a batch as steps between days, and where each fate was last counted."""

    days: Array
    steps: tuple[Step, ...]
    tried: tuple[Step, int, int] | None
    rooted_to: int
    lost_to: int


def seen_steps(batch: BatchCounts) -> Seen:
    """Turn looks into steps; counts that do not add up are cut to what can be at risk."""
    days = [0.0]
    steps: list[Step] = []
    tried: tuple[Step, int, int] | None = None
    at_risk, rooted_to, lost_to = batch.n_stuck, 0, 0
    for look in batch.looks:
        days.append(max(float((look.on - batch.stuck_on).days), days[-1]))
        here = len(days) - 1
        rooted = None if look.n_rooted is None else min(look.n_rooted, at_risk)
        lost = None if look.n_lost is None else min(look.n_lost, at_risk - (rooted or 0))
        step = Step(rooted_to, lost_to, here, at_risk, rooted, lost)
        if rooted is not None:
            tried = None
        elif look.n_tried:
            tried = (step, look.n_tried, min(look.n_tried_rooted or 0, look.n_tried))
        if rooted is not None or lost is not None:
            steps.append(step)
        rooted_to = rooted_to if rooted is None else here
        lost_to = lost_to if lost is None else here
        at_risk = max(at_risk - (rooted or 0) - (lost or 0) - (look.n_removed or 0), 0)
    return Seen(np.array(days), tuple(steps), tried, rooted_to, lost_to)


def _log_chance(clocks: Clocks, seen: Seen, z: Array) -> Array:
    """Log chance of what the looks found, in each draw."""
    ever, lost_share = clocks.draws(z)
    rooted_by = ever * clocks.rooted_by(seen.days, z)
    lost_by = lost_share * clocks.lost_by(seen.days)[:, None]
    total = np.zeros(z.shape[1])

    def chances(step: Step) -> tuple[Array, Array]:
        left = np.maximum(1 - rooted_by[step.rooted_from] - lost_by[step.lost_from], LEAST_CHANCE)
        return (
            (rooted_by[step.to] - rooted_by[step.rooted_from]) / left,
            (lost_by[step.to] - lost_by[step.lost_from]) / left,
        )

    for step in seen.steps:
        p_rooted, p_lost = chances(step)
        rest = np.ones_like(p_rooted)
        n_rest = step.n_at_risk
        for count, chance in ((step.n_rooted, p_rooted), (step.n_lost, p_lost)):
            if count is not None:
                total += count * np.log(np.maximum(chance, LEAST_CHANCE))
                rest = rest - chance
                n_rest -= count
        total += n_rest * np.log(np.maximum(rest, LEAST_CHANCE))
    if seen.tried:
        step, n_tried, n_tried_rooted = seen.tried
        p_rooted, p_lost = chances(step)
        chance = np.clip(p_rooted / np.maximum(1 - p_lost, LEAST_CHANCE), LEAST_CHANCE, 1 - LEAST_CHANCE)
        total += n_tried_rooted * np.log(chance) + (n_tried - n_tried_rooted) * np.log1p(-chance)
    return total


def _weights(log_weight: Array, power: float = 1.0) -> Array:
    weight = np.exp(power * (log_weight - log_weight.max()))
    return np.asarray(weight / weight.sum())


def fitting_draws(clocks: Clocks, seen: Seen, z0: Array, generator: np.random.Generator) -> Array:
    """Equally weighted draws that fit the looks."""
    if not seen.steps and seen.tried is None:
        return z0
    n_draws = z0.shape[1]
    enough = LEAST_EFFECTIVE * n_draws
    z, log_weight = z0, _log_chance(clocks, seen, z0)
    for _ in range(4):
        if 1 / np.sum(_weights(log_weight) ** 2) >= enough:
            break
        mean, root = _normal_through(z, log_weight, enough / 2)
        n_fresh = int(FRESH_SHARE * n_draws)
        z = np.hstack([z0[:, :n_fresh], mean[:, None] + root @ z0[:, n_fresh:]])
        log_weight = _log_chance(clocks, seen, z) - _log_over_prior(z, mean, root)
    ladder = (np.arange(n_draws) + generator.random()) / n_draws
    picked = np.searchsorted(np.cumsum(_weights(log_weight)), ladder).clip(max=n_draws - 1)
    return np.asarray(z[:, picked])


def _normal_through(z: Array, log_weight: Array, enough: float) -> tuple[Array, Array]:
    """Mean and root of covariance of the weighed draws, weights softened until enough count."""
    power = 1.0
    while 1 / np.sum((weight := _weights(log_weight, power)) ** 2) < enough and power > 1e-4:
        power *= 0.7
    mean = z @ weight
    away = z - mean[:, None]
    # a little wider than what was fitted, so that nothing is cut off
    spread = 1.4 * (away * weight) @ away.T + 1e-3 * np.eye(3)
    return mean, np.asarray(np.linalg.cholesky(spread), dtype=float)


def _log_over_prior(z: Array, mean: Array, root: Array) -> Array:
    """Log of the density drawn from (a fifth fresh, the rest fitted) over the standard normal."""
    score = np.linalg.solve(root, z - mean[:, None])
    log_ratio = 0.5 * np.sum(z * z - score * score, axis=0) - math.log(np.prod(np.diag(root)))
    return np.asarray(np.logaddexp(math.log(FRESH_SHARE), math.log(1 - FRESH_SHARE) + log_ratio))


def thrown_forward(
    clocks: Clocks,
    seen: Seen,
    z: Array,
    batch: BatchCounts,
    ages: Counts,
    generator: np.random.Generator,
) -> tuple[Counts, Counts]:
    """Rooted and lost in each draw at the given ages, of shape (n_ages, n_draws)."""
    ever, lost_share = clocks.draws(z)
    rooted_from, lost_from = seen.days[seen.rooted_to], seen.days[seen.lost_to]
    days_rooted = np.concatenate([[rooted_from], np.maximum(ages, rooted_from)])
    days_lost = np.concatenate([[lost_from], np.maximum(ages, lost_from)])
    rooted_by = ever * clocks.rooted_by(days_rooted, z)
    lost_by = lost_share * clocks.lost_by(days_lost)[:, None]
    left = 1 - rooted_by - lost_by
    waiting = np.full(z.shape[1], batch.n_waiting)
    rooted = np.full((len(ages), z.shape[1]), batch.n_rooted)
    lost = np.full((len(ages), z.shape[1]), batch.n_lost)
    for k in range(len(ages)):
        at_risk = np.maximum(left[k], LEAST_CHANCE)
        p_rooted = np.clip((rooted_by[k + 1] - rooted_by[k]) / at_risk, 0, 1)
        p_lost = np.clip((lost_by[k + 1] - lost_by[k]) / at_risk, 0, 1)
        new_rooted = generator.binomial(waiting, p_rooted)
        rest = np.maximum(1 - p_rooted, LEAST_CHANCE)
        new_lost = generator.binomial(waiting - new_rooted, np.minimum(p_lost / rest, 1))
        waiting = waiting - new_rooted - new_lost
        rooted[k:] += new_rooted
        lost[k:] += new_lost
    return rooted, lost
