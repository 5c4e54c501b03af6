"""What became of potted plants, as it was written down, and what it says of living and of days."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from slipwright.rooting.grow_prior import GrowPrior
from slipwright.rooting.ranges import SplitNormal
from slipwright.rooting.ready_days import Came, score_of_days
from slipwright.rooting.surviving import Fate

Stage = Literal["potted", "weaned", "established", "finished"]
STAGES: tuple[Stage, ...] = ("potted", "weaned", "established", "finished")
STAGE_ORDER: Mapping[str, int] = {stage: k for k, stage in enumerate(STAGES)}
#: of the hazard between potting and finished, this much lies behind a plant of each stage
HAZARD_BEHIND: Mapping[str, float] = {"potted": 0.0, "weaned": 0.35, "established": 0.8, "finished": 1.0}
#: a plant written down as having come so far did so within this last part of its days
NOTED_WITHIN = 0.25


@dataclass(frozen=True, slots=True)
class Became:
    """One entry: so many came so far, so many died; ``gone`` where those that came left the garden's pots."""

    on: date
    ready_as: str
    n_reached: int | None = None
    n_lost: int | None = None
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Grown:
    """The potted plants of one batch: pottings (day, number) and what was written down since."""

    batch: str
    taxon: str
    wood: str
    stuck_on: date
    potted: tuple[tuple[date, int], ...]
    became: tuple[Became, ...] = ()

    @property
    def n_potted(self) -> int:
        """Plants potted."""
        return sum(n for _, n in self.potted)

    def potted_on(self, by: date | None = None) -> date:
        """Return the day of its last potting by a day; else of its first or of sticking."""
        days = sorted(on for on, _ in self.potted) or [self.stuck_on]
        return max((on for on in days if by is None or on <= by), default=days[0])


def fate_of(grown: Grown, prior: GrowPrior) -> Fate | None:
    """How many of a batch's plants lived and died, those not followed to the end in part.

    Parameters
    ----------
    grown : Grown
        The batch.
    prior : GrowPrior
        For the days by which it may be known how far they are.

    Returns
    -------
    (float, float) or None
        Lived and lost [1]; None where nobody wrote anything down.

    Notes
    -----
    A plant last seen at a stage that has a part f of the hazard behind it counts as f of one that lived:
    p^f is the chance that it came so far.  A plant lost counts whole: 1 - p^f is f(1-p) to first order.
    Plants of no named stage that stood when the lost were counted have the part their days say.

    References
    ----------
    Our own parts (0, .35, .8, 1): common practice, no source.

    Examples
    --------
    >>> day = date(2026, 3, 1)
    >>> roses = Grown("K7Q2", "Rosa", "hardwood", date(2025, 11, 1), ((day, 10),))
    >>> fate_of(roses, GrowPrior((0.6, 0.8, 0.92), ())) is None
    True
    """
    if not grown.became:
        return None
    lost = sum(one.n_lost or 0 for one in grown.became)
    reached = _reached(grown, lost)
    standing = max(grown.n_potted - lost - max(reached.values()), 0)
    lived, before = 0.0, 0
    for stage in reversed(STAGES):
        lived += HAZARD_BEHIND[stage] * (reached[stage] - before)
        before = reached[stage]
    counted = [one.on for one in grown.became if one.n_lost is not None]
    if counted:
        counted_on = max(counted)
        days = (counted_on - grown.potted_on(counted_on)).days
        before_potting = (grown.potted_on() - grown.stuck_on).days
        lived += standing * _behind(days, *prior.middle_days(grown.wood, before_potting))
    return (lived, float(lost)) if lived + lost > 0 else None


def _behind(days: int, weaned: float, finished: float) -> float:
    """Part of the hazard that lies behind a plant so many days after potting."""
    first = HAZARD_BEHIND["weaned"]
    if days <= weaned:
        return first * max(days, 0) / weaned
    return min(first + (1 - first) * (days - weaned) / (finished - weaned), 1.0)


def _reached(grown: Grown, lost: int, until: date | None = None) -> dict[str, int]:
    """Plants known to have come at least to each stage, by a day."""
    most = max(grown.n_potted - lost, 0) if grown.n_potted else None
    found: dict[str, int] = {}
    at_least = 0
    for stage in reversed(STAGES):
        rows = [one for one in grown.became if one.ready_as == stage and (until is None or one.on <= until)]
        gone = sum(one.n_reached or 0 for one in rows if one.gone)
        stayed = sum(one.n_reached or 0 for one in rows if not one.gone)
        # those of a later stage passed this one, and may have been counted at it
        at_least = max(at_least + gone, stayed + gone)
        found[stage] = at_least if most is None else min(at_least, most)
    return found


def reached_of(grown: Grown, *, until: date | None = None) -> Mapping[str, int]:
    """How many of a batch's plants are known to have come at least to each stage.

    Parameters
    ----------
    grown : Grown
        The batch.
    until : date, optional
        Entries of later days are left out.

    Returns
    -------
    mapping of str to int
        By stage, potted to finished.

    Notes
    -----
    Plants counted at a later stage passed the earlier ones, and are not counted twice.

    References
    ----------
    Our own counting.

    Examples
    --------
    >>> roses = Grown("K7Q2", "Rosa", "hardwood", date(2026, 1, 1), ((date(2026, 3, 1), 10),),
    ...     (Became(date(2026, 3, 11), "weaned", 9, 1), Became(date(2026, 9, 1), "finished", 6, 0)))
    >>> reached_of(roses)["weaned"], reached_of(roses)["finished"]
    (9, 6)
    """
    lost = sum(one.n_lost or 0 for one in grown.became if until is None or one.on <= until)
    return _reached(grown, lost, until)


def came_of(grown: Grown, stage: str, curve: SplitNormal) -> list[Came]:
    """When a batch's plants came to a stage, in scores of the handbook's curve.

    Parameters
    ----------
    grown : Grown
        The batch.
    stage : {'weaned', 'established', 'finished'}
        The stage.
    curve : SplitNormal
        The handbook's of ln days to it.

    Returns
    -------
    list of Came
        Empty where nothing was written down.

    Notes
    -----
    Days count from the last potting before an entry.  Plants written down on a day came so far since the
    entry before, and within the last quarter of their days.  Plants that had not come so far when others
    were written down came later than that; so did those that died on the way, as far as the last entry
    before.  Later days of silence say nothing.

    References
    ----------
    That a stage is written down within the last quarter of its days is our own: common practice, no source.

    Examples
    --------
    >>> roses = Grown("K7Q2", "Rosa", "hardwood", date(2026, 1, 1), ((date(2026, 3, 1), 10),),
    ...     (Became(date(2026, 3, 11), "weaned", 7, 0),))
    >>> from slipwright.rooting.ready_days import days_curve
    >>> [one.n for one in came_of(roses, "weaned", days_curve(3, 10, 21))]
    [7, 3]
    """
    start = grown.stuck_on if stage == "finished" else grown.potted_on(date.min)
    found: list[Came] = []
    so_far, before, lost = 0, grown.potted_on(date.min), 0
    waits = grown.n_potted or _n_known(grown)
    for on in sorted({one.on for one in grown.became}):
        rows = [one for one in grown.became if one.on == on]
        # a later potting sets the clock of the young plants anew
        start = grown.stuck_on if stage == "finished" else grown.potted_on(on)
        days, died = max((on - start).days, 1), sum(one.n_lost or 0 for one in rows)
        lost += died
        now = min(max(_reached(grown, lost, on)[stage], so_far), so_far + waits)
        if now > so_far:
            early = max((before - start).days, (1 - NOTED_WITHIN) * days)
            early = min(early, (1 - NOTED_WITHIN / 4) * days)
            found.append(Came(score_of_days(curve, early), score_of_days(curve, days), now - so_far))
            waits, so_far = waits - (now - so_far), now
        # those that died had come so far only where all had that stand
        on_way = min(died, waits)
        left = min(
            sum(one.n_reached or 0 for one in rows if one.gone and _short_of(one, stage)), waits - on_way
        )
        found += _later(on_way, (before - start).days, curve) + _later(left, (on - start).days, curve)
        waits, before = waits - on_way - left, on
    return found + (_later(waits, (before - start).days, curve) if grown.became else [])


def _n_known(grown: Grown) -> int:
    lost = sum(one.n_lost or 0 for one in grown.became)
    return lost + max(_reached(grown, lost).values())


def _short_of(one: Became, stage: str) -> bool:
    return STAGE_ORDER.get(one.ready_as, 0) < STAGE_ORDER[stage]


def _later(n: int, days: int, curve: SplitNormal) -> list[Came]:
    return [Came(score_of_days(curve, days), float("inf"), n)] if n > 0 and days > 0 else []


def n_followed(batches: Sequence[Grown]) -> int:
    """How many plants of some batches anything was written down about.

    Parameters
    ----------
    batches : sequence of Grown
        The batches.

    Returns
    -------
    int
        Plants that came so far or died [1].

    References
    ----------
    Definition.

    Examples
    --------
    >>> n_followed([])
    0
    """
    return sum(_n_known(grown) for grown in batches)


def share_followed(batches: Sequence[Grown], stage: str, last: date) -> float:
    """Which share of a plant's batches was followed, of those old enough to be written about.

    Parameters
    ----------
    batches : sequence of Grown
        Every batch of it that was potted, written about or not.
    stage : {'', 'weaned', 'established', 'finished'}
        The stage whose days are asked for; empty: whether they live.
    last : date
        The last day anything was written down.

    Returns
    -------
    float
        Above 0, at most 1 [-]; 1 where nothing was written of the stage.

    Notes
    -----
    The quickest batch says how long after potting (finished: after sticking) there is something to
    write down. Of those that stood so long by ``last``, the ones with an entry so late were followed, the
    others were not. Younger ones do not count.

    References
    ----------
    Our own: common practice, no source.

    Examples
    --------
    >>> day = date(2026, 1, 1)
    >>> noted = Grown("A", "Rosa", "hardwood", day, ((day, 9),), (Became(date(2026, 3, 1), "weaned", 9),))
    >>> silent, young = Grown("B", "Rosa", "hardwood", day, ((day, 9),)), date(2026, 2, 20)
    >>> late = Grown("C", "Rosa", "hardwood", day, ((young, 9),))
    >>> share_followed([noted, silent, late], "weaned", date(2026, 3, 1))
    0.5
    """
    ages = [
        min((one.on - _since(grown, stage)).days for one in told)
        for grown in batches
        if (told := [one for one in grown.became if not stage or _came_to(one, stage)])
    ]
    if not ages:
        return 1.0
    quickest = timedelta(days=min(ages))
    due = [(grown, since) for grown in batches if (since := _since(grown, stage) + quickest) <= last]
    return sum(any(one.on >= since for one in grown.became) for grown, since in due) / len(due)


def _since(grown: Grown, stage: str) -> date:
    return grown.stuck_on if stage == "finished" else grown.potted_on(date.min)


def _came_to(one: Became, stage: str) -> bool:
    return bool(one.n_reached) and not _short_of(one, stage)
