"""Where a batch stands after its looks, and what still waits thrown forward from there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.curves import fates
from slipwright.rooting.learned import ClockDraws
from slipwright.rooting.ranges import Array, Counts

#: numbers are thrown from week to week, and shared evenly over the days between
_STEP_DAYS = 7
#: the least chance of still being open; below it nobody asks
_LEAST = 1e-300


@dataclass(frozen=True, slots=True)
class Standing:
    """Cuttings of a batch as counted: what has rooted, what is lost, what is open and since which days.

    Open are those that wait, or have rooted since ``rooted_to`` or been lost since ``lost_to`` without having
    been counted.  ``waited`` is a later day on which so many of them were seen to wait.
    """

    n_rooted: int
    n_lost: int
    n_open: int
    rooted_to: float = 0.0
    lost_to: float = 0.0
    waited: tuple[float, int] | None = None


def filled(batch: BatchCounts) -> BatchCounts:
    """Return a batch with the third of rooted, lost and waiting worked out where a look counted two.

    Parameters
    ----------
    batch : BatchCounts
        What was stuck and what the looks found, in the order of days.

    Returns
    -------
    BatchCounts
        The same looks; what cannot be worked out stays empty.

    Notes
    -----
    At risk = stuck less all counted before; of these, less removed, the three make the whole.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import LookCounts
    >>> look = LookCounts(date(2026, 9, 8), n_rooted=2, n_waiting=7)
    >>> filled(BatchCounts(date(2026, 9, 1), 10, (look,))).n_lost
    1
    """
    if all(look.n_waiting is None for look in batch.looks):
        return batch
    at_risk, looks = batch.n_stuck, []
    for look in batch.looks:
        rooted, lost, removed = look.n_rooted, look.n_lost, look.n_removed or 0
        if look.n_waiting is not None and (rooted is None) != (lost is None):
            rest = max(at_risk - removed - look.n_waiting - (rooted or lost or 0), 0)
            rooted, lost = (rest, lost) if rooted is None else (rooted, rest)
        at_risk = max(at_risk - (rooted or 0) - (lost or 0) - removed, 0)
        looks.append(replace(look, n_rooted=rooted, n_lost=lost))
    return replace(batch, looks=tuple(looks))


def standing_of(batch: BatchCounts) -> Standing:
    """Where a batch stands after its looks.

    Parameters
    ----------
    batch : BatchCounts
        What was stuck and what the looks found, in the order of days; two of three counts `filled`.

    Returns
    -------
    Standing
        Numbers never below nought, whatever was counted.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import LookCounts
    >>> standing_of(BatchCounts(date(2026, 9, 1), 10, (LookCounts(date(2026, 9, 8), n_lost=1),))).n_open
    9
    """
    rooted_to = lost_to = 0.0
    waited: tuple[float, int] | None = None
    for look in batch.looks:
        day = max(float((look.on - batch.stuck_on).days), 0.0)
        rooted_to = rooted_to if look.n_rooted is None else day
        lost_to = lost_to if look.n_lost is None else day
        if look.n_rooted is not None or look.n_lost is not None:
            waited = None
        elif look.n_waiting is not None:
            waited = (day, look.n_waiting)
        elif waited and look.n_removed:
            waited = (waited[0], max(waited[1] - look.n_removed, 0))
    n_open = batch.n_waiting
    if waited:
        waited = (waited[0], min(waited[1], n_open))
    return Standing(batch.n_rooted, batch.n_lost, n_open, rooted_to, lost_to, waited)


def thrown_forward(
    clocks: ClockDraws, standing: Standing, ages: Counts, generator: np.random.Generator
) -> tuple[Counts, Counts]:
    """Rooted and lost in each draw at some ages.

    Parameters
    ----------
    clocks : ClockDraws
        Draws of the two clocks that fit the looks.
    standing : Standing
        Where the batch stands.
    ages : array of shape (n_ages,)
        Days after sticking, rising [days].
    generator : numpy.random.Generator
        Where the luck of the single cutting comes from.

    Returns
    -------
    tuple of two arrays of shape (n_ages, n_draws)
        Cuttings rooted and lost by the end of each day [1]; never below what was counted, never above
        what lives.

    Notes
    -----
    With R, L the shares rooted and lost by a day, an open cutting has by day t rooted with the chance
    (R(t) - R(r)) / (1 - R(r) - L(l)), r and l the days to which the rooted and the lost were counted, and
    been lost alike.  From age to age, a week apart at most where many are asked for, the open ones are
    thrown binomially; between, their numbers are shared evenly over the days, rounded at random.  Of those
    seen to be gone when only the waiting were counted, each rooted in proportion to the two chances.

    References
    ----------
    Competing risks, definition.

    Examples
    --------
    >>> still = ClockDraws(np.log([[0.05] * 4, [0.01] * 4]), np.zeros((2, 4)), np.zeros((2, 4)))
    >>> found = thrown_forward(still, Standing(2, 1, 9), np.array([7, 400]), np.random.default_rng(1))
    >>> (found[0][1] + found[1][1]).tolist()
    [12, 12, 12, 12]
    """
    at = np.maximum(ages, 0)
    knots = _knots(at)
    rooted, lost = _thrown(clocks, standing, knots, generator)
    if len(knots) == len(at):
        return rooted, lost
    return _between(rooted, knots, at, generator), _between(lost, knots, at, generator)


def _knots(ages: Counts) -> Counts:
    """Ages themselves if they lie weeks apart, else one a week from the first to the last."""
    if len(ages) < 3 or (ages[-1] - ages[0]) / (len(ages) - 1) >= _STEP_DAYS / 2:
        return ages
    return np.append(np.arange(ages[0], ages[-1], _STEP_DAYS), ages[-1])


def _thrown(
    clocks: ClockDraws, standing: Standing, ages: Counts, generator: np.random.Generator
) -> tuple[Counts, Counts]:
    n = clocks.n_draws
    rooted = np.full((len(ages), n), standing.n_rooted)
    lost = np.full((len(ages), n), standing.n_lost)
    from_rooted, from_lost, waiting = standing.rooted_to, standing.lost_to, np.full(n, standing.n_open)
    if standing.waited:
        day, n_waiting = standing.waited
        share = fates(clocks, [from_rooted, from_lost, day])
        by_root, by_loss = share[0, 2] - share[0, 0], share[1, 2] - share[1, 1]
        chance = np.clip(by_root / np.maximum(by_root + by_loss, _LEAST), 0, 1)
        had_rooted = generator.binomial(standing.n_open - n_waiting, chance)
        rooted += had_rooted
        lost += standing.n_open - n_waiting - had_rooted
        from_rooted = from_lost = day
        waiting = np.full(n, n_waiting)
    days = np.concatenate([[from_rooted, from_lost], np.maximum(ages, max(from_rooted, from_lost))])
    share = fates(clocks, days)
    rooted_by = np.concatenate([share[0, :1], share[0, 2:]])
    lost_by = np.concatenate([share[1, 1:2], share[1, 2:]])
    newly_rooted, newly_lost = np.diff(rooted_by, axis=0), np.diff(lost_by, axis=0)
    # added up from the end, so that what is left is not a difference of nearly equal numbers
    left = np.concatenate([newly_rooted + newly_lost, share[2, -1:]])[::-1].cumsum(axis=0)[::-1]
    for k in range(len(ages)):
        at_risk = np.maximum(left[k], _LEAST)
        p_rooted = np.clip(newly_rooted[k] / at_risk, 0, 1)
        p_lost = np.clip(newly_lost[k] / np.maximum(at_risk - newly_rooted[k], _LEAST), 0, 1)
        new_rooted = generator.binomial(waiting, p_rooted)
        new_lost = generator.binomial(waiting - new_rooted, p_lost)
        waiting = waiting - new_rooted - new_lost
        rooted[k:] += new_rooted
        lost[k:] += new_lost
    return rooted, lost


def _between(numbers: Counts, knots: Counts, ages: Counts, generator: np.random.Generator) -> Counts:
    """Numbers at all ages: those of the knots, even between, rounded at random so that none falls."""
    after = np.searchsorted(knots, ages).clip(1, len(knots) - 1)
    part: Array = (ages - knots[after - 1]) / np.maximum(knots[after] - knots[after - 1], 1)
    low = numbers[after - 1]
    rise = (numbers[after] - low) * part[:, None]
    luck = generator.random((len(knots), numbers.shape[1]))[after]
    # a luck of a stretch's own: floor(rise + luck) never falls and ends at the whole
    return np.asarray(low + np.minimum(np.floor(rise + luck), numbers[after] - low), dtype=np.int64)


def expected_rooted(clocks: ClockDraws, standing: Standing, ages: Counts) -> Array:
    """Return the expected number of the open cuttings that have rooted by some ages.

    Parameters
    ----------
    clocks : ClockDraws
        Draws of the two clocks that fit the looks.
    standing : Standing
        Where the batch stands.
    ages : array of shape (n_ages,)
        Days after sticking [days].

    Returns
    -------
    array of shape (n_ages, n_draws)
        Cuttings beside those counted, by draw [1].

    Notes
    -----
    As `thrown_forward`, without the luck of the single cutting.

    References
    ----------
    Competing risks, definition.

    Examples
    --------
    >>> still = ClockDraws(np.log([[0.05], [0.01]]), np.zeros((2, 1)), np.zeros((2, 1)))
    >>> expected_rooted(still, Standing(2, 1, 9), np.array([7])).round(1).tolist()
    [[2.6]]
    """
    share = fates(clocks, np.concatenate([[standing.rooted_to, standing.lost_to], np.maximum(ages, 0)]))
    left = np.maximum(1 - share[0, 0] - share[1, 1], _LEAST)
    return np.asarray(standing.n_open * np.clip((share[0, 2:] - share[0, 0]) / left, 0, 1))
