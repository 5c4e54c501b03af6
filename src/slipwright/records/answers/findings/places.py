"""What the clocks have no term of: month, place, season, firmness; batches are held against the expected."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from slipwright.records.answers.findings.counts import counted_of
from slipwright.records.answers.findings.gap import A_POT, p_needed, units_to_settle
from slipwright.records.answers.findings.kept import Factor, Gap, Level
from slipwright.records.answers.findings.levels import FEWEST
from slipwright.records.answers.findings.seen import SeenBatch
from slipwright.records.answers.findings.shares import Expected, expected
from slipwright.rooting.belief_left import share_left
from slipwright.rooting.learned import Learned
from slipwright.rooting.ranges import Z90, Array, Counts, normal_cdf

#: how far places, months and so on are believed to lie apart before any record, in shares of 1
PRIOR_SD = 0.08
#: of more levels those with most batches are told
MOST_LEVELS = 24
#: the variance of a level of which nothing was counted
_UNKNOWN = 1e6

_OF: tuple[tuple[str, Callable[[SeenBatch], str]], ...] = (
    ("firmness", lambda one: "" if one.firmness is None else str(one.firmness)),
    ("month", lambda one: f"{one.stuck_on.month:02}"),
    ("place", lambda one: one.place),
    ("season", lambda one: one.record.kind.season),
)


def factors_beside_expected(learned: Learned, batches: Sequence[SeenBatch]) -> list[Factor]:
    """Return month, place, season and firmness: how many more rooted than of such cuttings was expected.

    What was expected takes plant, wood, way and length of waiting into account. Batches weigh by how far
    they may lie off, as batches and by counting, so a level of few is pulled towards no difference. Batches
    of one plant, and of one plant and season, lie off together: many of them prove less than as many of
    several plants and seasons.
    """
    off = expected(learned, batches)
    return [_factor(name, batches, [level_of(one) for one in batches], off) for name, level_of in _OF]


def _factor(name: str, batches: Sequence[SeenBatch], levels: Sequence[str], off: Expected) -> Factor:
    fallen: dict[str, list[int]] = {}
    for place, level in enumerate(levels):
        if level:
            fallen.setdefault(level, []).append(place)
    most = sorted(sorted(fallen, key=lambda level: (-len(fallen[level]), level))[:MOST_LEVELS])
    if not most:
        return Factor(name, ())
    middle, covariance = _effects(off, [np.array(fallen[level], dtype=np.intp) for level in most])
    told = []
    for k, level in enumerate(most):
        sd = float(np.sqrt(covariance[k, k]))
        points = (middle[k] - Z90 * sd, float(middle[k]), middle[k] + Z90 * sd)
        counted = counted_of([batches[place] for place in fallen[level]])
        told.append(Level(level, counted, beside=points, p_more=float(normal_cdf(middle[k] / sd))))
    return Factor(name, tuple(told), _gap(told, covariance))


def _effects(off: Expected, fallen: Sequence[Counts]) -> tuple[Array, Array]:
    """Return by level how much more of 1 rooted than expected, all levels at once, and their covariance.

    What levels have in common, the same plants or seasons, does not tell them apart.
    """
    variance = off.own + off.of_wood**2 + off.of_season**2
    n_levels = len(fallen)
    mean, own = np.zeros(n_levels), np.full(n_levels, _UNKNOWN)
    wood = np.zeros((n_levels, int(off.wood.max()) + 1))
    season = np.zeros((n_levels, int(off.season.max()) + 1))
    for k, at in enumerate(fallen):
        told = at[np.isfinite(off.off[at])]
        if told.size:
            weight = 1 / variance[told]
            weight /= weight.sum()
            mean[k], own[k] = weight @ off.off[told], weight**2 @ off.own[told]
            np.add.at(wood[k], off.wood[told], weight * off.of_wood[told])
            np.add.at(season[k], off.season[told], weight * off.of_season[told])
    spread = np.diag(own) + wood @ wood.T + season @ season.T
    prior = PRIOR_SD**2 * np.eye(n_levels)
    gain = np.linalg.solve(prior + spread, prior).T
    return gain @ mean, prior - gain @ prior


def _gap(levels: Sequence[Level], covariance: Array) -> Gap | None:
    """Return the furthest apart of the levels with two batches or more."""
    some = [
        (one.beside[1], k) for k, one in enumerate(levels) if one.beside and one.counted.n_batches >= FEWEST
    ]
    if len(some) < 2:
        return None
    (high, best), (low, worst) = max(some), min(some)
    variance = covariance[best, best] + covariance[worst, worst] - 2 * covariance[best, worst]
    apart, sd = high - low, float(np.sqrt(variance))
    shares = [one.counted.share for one in levels if one.counted.share is not None]
    about = float(np.mean(shares)) if shares else 0.5
    return Gap(
        levels[best].name,
        levels[worst].name,
        (apart - Z90 * sd, apart, apart + Z90 * sd),
        float(normal_cdf(np.asarray(apart / sd))),
        share_left(sd, float(np.sqrt(2)) * PRIOR_SD, apart),
        units_to_settle(round(about - apart / 2, 2), round(about + apart / 2, 2)),
        A_POT,
        p_needed(len(some) * (len(some) - 1) // 2),
    )
