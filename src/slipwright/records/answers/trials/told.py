"""What a trial taught: settled or not, how far it may go the other way, how many pots settle it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from slipwright.records.answers.trials.now import TrialNow
from slipwright.records.answers.trials.plan import USUAL_MATTERS, Arm
from slipwright.rooting._trial_summary import CellMean, Contrast
from slipwright.rooting.trial_range import shares_of_arms
from slipwright.rooting.trial_sizes import units_needed
from slipwright.rooting.trial_table import Trial
from slipwright.rooting.trials import TrialFit, fit_trial

#: chances from which a difference is called one, and from which a likely one: as `slipwright trial` has it
SURE, LIKELY = 0.975, 0.9
#: chance from which two ways are called alike: that they differ by less than what matters
ALIKE = 0.95
#: shares a sum of size is made at are kept clear of none and all
_EDGE = 0.05

#: letter of its way, rooted, and stuck less what was taken away, of a pot
Row = tuple[str, int, int]
Kind = Literal["settled", "alike", "likely", "open", "unrepeated"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is to be said of the surest way beside the first: of ``ahead`` over ``behind``.

    ``by``, ``low`` and ``high`` are mean, 10 and 90 per cent points of the difference of shares; ``p`` the
    chance that the one ahead is the better one. ``n_to_settle`` pots of each of ``n_per_pot`` tell a
    difference of ``matters`` 8 times in 10.
    """

    kind: Kind
    ahead: Arm
    behind: Arm
    by: float
    low: float
    high: float
    p: float
    matters: float
    n_per_pot: int
    n_to_settle: int | None


@dataclass(frozen=True, slots=True)
class ArmCounted:
    """What was counted of one way so far."""

    arm: Arm
    n_pots: int
    n_rooted: int
    n_tried: int


@dataclass(frozen=True, slots=True)
class ArmTold:
    """What was found of one way: pots, cuttings, and its share over many pots."""

    arm: Arm
    n_pots: int
    n_rooted: int
    n_tried: int
    share: CellMean
    pots: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PairTold:
    """Two ways beside each other: ``arm`` over ``against``."""

    arm: Arm
    against: Arm
    found: Contrast


@dataclass(frozen=True, slots=True)
class TrialTold:
    """What a trial taught, from so many of its pots."""

    verdict: Verdict
    arms: tuple[ArmTold, ...]
    pairs: tuple[PairTold, ...]
    fit: TrialFit
    n_counted: int
    n_pots: int


def counted_by_arm(now: TrialNow) -> tuple[ArmCounted, ...]:
    """Return what was counted of each way of which a pot was."""
    found = []
    for arm in now.arms:
        own = [row for row in rows_of(now) if row[0] == arm.letter]
        if own:
            found.append(ArmCounted(arm, len(own), sum(row[1] for row in own), sum(row[2] for row in own)))
    return tuple(found)


def rows_of(now: TrialNow) -> tuple[Row, ...]:
    """Return letter, rooted and tried of the counted pots, way by way: all that a trial is judged by."""
    pots = [pot for pot in now.counted if pot.n_tried]
    # the same table in the same order gives the same figures
    return tuple(
        (arm.letter, pot.n_rooted or 0, pot.n_tried or 0)
        for arm in now.arms
        for pot in pots
        if pot.arm is not None and pot.arm.letter == arm.letter
    )


def told_of(now: TrialNow) -> TrialTold | None:
    """Return what the counted pots say; None where fewer than two ways were counted."""
    rows = rows_of(now)
    letters = {letter for letter, _rooted, _tried in rows}
    arms = [arm for arm in now.arms if arm.letter in letters]
    if len(arms) < 2:
        return None
    fit = _fit(rows)
    by_letter = {arm.letter: arm for arm in arms}
    pairs = tuple(PairTold(by_letter[one.level], by_letter[one.against], one) for one in fit.contrasts)
    return TrialTold(
        _verdict(now, fit, pairs),
        tuple(_arm(arm, rows, cell) for arm, cell in zip(arms, fit.cell_means, strict=True)),
        pairs,
        fit,
        len(rows),
        len(now.pots),
    )


@lru_cache(maxsize=256)
def _fit(rows: tuple[Row, ...]) -> TrialFit:
    letters, rooted, tried = zip(*rows, strict=True)
    counts = np.array(rooted, dtype=np.int64), np.array(tried, dtype=np.int64)
    return fit_trial(Trial(*counts, {"arm": letters}), [("arm",)], reference={"arm": letters[0]})


def _arm(arm: Arm, rows: Sequence[Row], cell: CellMean) -> ArmTold:
    own = [(rooted, tried) for letter, rooted, tried in rows if letter == arm.letter]
    shares = tuple(rooted / tried for rooted, tried in own)
    return ArmTold(arm, len(own), cell.n_rooted, cell.n_stuck, cell, shares)


def _verdict(now: TrialNow, fit: TrialFit, pairs: Sequence[PairTold]) -> Verdict:
    # as it was planned: each way is told from the first, and a chance find is as rare as the plan said
    planned = [one for one in pairs if one.against is pairs[0].against]
    surest = max(planned, key=lambda one: (min(abs(one.found.p_above_0 - 0.5), 0.499), abs(_mean(one))))
    found = surest.found
    by, low, high, p = found.difference.mean, found.difference.q10, found.difference.q90, found.p_above_0
    ahead, behind = surest.arm, surest.against
    if p < 0.5:
        ahead, behind, by, low, high, p = behind, ahead, -by, -high, -low, 1 - p
    matters = now.plan.matters or USUAL_MATTERS
    is_repeated = fit.df > 0
    kind: Kind = "open"
    if not is_repeated:
        kind = "unrepeated"
    elif p >= SURE:
        kind = "settled"
    elif now.plan.matters and all(_alike(one.found, matters) >= ALIKE for one in pairs):
        kind = "alike"
    elif p >= LIKELY:
        kind = "likely"
    n = now.n_per_unit
    return Verdict(kind, ahead, behind, by, low, high, p, matters, n, _to_settle(fit, matters, n, now))


def _mean(pair: PairTold) -> float:
    return pair.found.difference.mean


def _alike(found: Contrast, matters: float) -> float:
    """Return the chance that two ways differ by less than what matters, as of a normal."""
    mean, sd = found.difference.mean, max(found.difference.sd, 1e-6)
    return 0.5 * (
        math.erf((matters - mean) / (sd * math.sqrt(2))) - math.erf((-matters - mean) / (sd * math.sqrt(2)))
    )


def _to_settle(fit: TrialFit, matters: float, n_per_pot: int, now: TrialNow) -> int | None:
    first = min(max(fit.cell_means[0].mean, _EDGE), 1 - _EDGE)
    shares = shares_of_arms(first, matters, len(now.arms))
    return units_needed(shares, spread=round(fit.spread.mean, 2), n_per_unit=n_per_pot)
