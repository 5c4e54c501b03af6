"""From weaning to ready: what stands, and what each batch likely comes to next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import cast

from slipwright.advice.growing import day_of_stage, growing_rests_on, is_learned
from slipwright.handbook import Handbook
from slipwright.handbook.pages import COMMON_PRACTICE, Wood, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.growth import growth_of
from slipwright.records.models import Garden, Sticking
from slipwright.records.selectors import Growing
from slipwright.records.words import READY_AS
from slipwright.rooting.growing import GrowsOn, Growth


@dataclass(frozen=True, slots=True)
class Next:
    """A stage to come, with its days 8 times in 10 and what they rest on."""

    ready_as: str
    p10: date
    p50: date
    p90: date
    rests_on: str
    #: whether the garden's own records have a word in it
    learned: bool = False


@dataclass(frozen=True, slots=True)
class GrowingOn:
    """The potted plants of a batch and what is next; ``coming`` is empty where nothing is known.

    ``due`` says that its next stage has more likely come than not, or that it is
    finished and waits for its place.
    """

    now: Growing
    days: int | None
    coming: tuple[Next, ...]
    due: bool


@dataclass(frozen=True, slots=True)
class DueStage:
    """Batches of one place that are to be looked at for one stage; no stage where they are finished."""

    ready_as: str
    batches: tuple[GrowingOn, ...]


@dataclass(frozen=True, slots=True)
class Bench:
    """What grows on at one place; no name where nobody wrote it down."""

    place: str
    batches: tuple[GrowingOn, ...]

    @property
    def n_standing(self) -> int:
        """Plants that stand there."""
        return sum(one.now.n_standing for one in self.batches)

    @property
    def due(self) -> tuple[GrowingOn, ...]:
        """Batches with something to look at now."""
        return tuple(one for one in self.batches if one.due)

    @property
    def due_by_stage(self) -> tuple[DueStage, ...]:
        """Those to look at now by the stage to look for, in each the longest due first."""
        found: dict[str, list[GrowingOn]] = {stage: [] for stage in ("", *READY_AS)}
        for one in self.due:
            found[one.coming[0].ready_as if one.coming else ""].append(one)
        return tuple(
            DueStage(stage, tuple(sorted(batches, key=_since))) for stage, batches in found.items() if batches
        )

    @property
    def later(self) -> tuple[GrowingOn, ...]:
        """Batches whose next stage lies ahead, the next first, or is not known."""
        return tuple(sorted((one for one in self.batches if not one.due), key=_since))


def _since(one: GrowingOn) -> date:
    return one.coming[0].p50 if one.coming else date.max


def growing_now(garden: Garden, handbook: Handbook, *, on: date) -> tuple[Bench, ...]:
    """Return what grows on, by place in the order of the walk. Two queries, and those of what is known."""
    found: dict[str, list[GrowingOn]] = {}
    growth = growth_of(garden, handbook, on=on)
    for one in selectors.growing_on(garden, on=on):
        found.setdefault(one.place, []).append(_with_days(growth, handbook, one, on))
    return tuple(Bench(place, tuple(batches)) for place, batches in found.items())


def n_learned(benches: Sequence[Bench]) -> int:
    """Return for how many batches the garden's own records have a word in the days of what is next."""
    return sum(1 for bench in benches for one in bench.batches if any(next.learned for next in one.coming))


def growing_batch(
    garden: Garden, handbook: Handbook, sticking: Sticking, *, on: date, without: str = ""
) -> GrowingOn:
    """Return how the potted plants of one batch stand and what is next, an outcome left out."""
    growth = growth_of(garden, handbook, on=on)
    return _with_days(growth, handbook, selectors.growing_of(garden, sticking, on=on, without=without), on)


def _with_days(growth: Growth, handbook: Handbook, one: Growing, on: date) -> GrowingOn:
    page = handbook.page_of(one.taxon)
    leaf = page.woods.get(cast(Wood, one.wood)) if page else None
    days = (on - one.last_potted_on).days if one.last_potted_on else None
    coming = from_the_last_due(stages_ahead(one, growth.of(one.taxon, page), leaf), on)
    due = coming[0].p50 <= on if coming else one.reached == "finished"
    return GrowingOn(one, days, coming, due)


def from_the_last_due(coming: tuple[Next, ...], on: date) -> tuple[Next, ...]:
    """Leave out the stages before one that is due itself: to ask for the later one is enough."""
    n_due = sum(1 for stage in coming if stage.p50 <= on)
    return coming[max(n_due - 1, 0) :]


def stages_ahead(one: Growing, known: GrowsOn, leaf: WoodLeaf | None) -> tuple[Next, ...]:
    """Return the stages that are still to come: weaned and established from potting, finished from sticking.

    For "established" the handbook has no days of its own: it is told only where the garden taught some.
    None comes before one it follows on.
    """
    origins = {
        "weaned": leaf.weaning_days.origin.words if leaf else COMMON_PRACTICE,
        "established": COMMON_PRACTICE,
        "finished": leaf.months_to_finished.origin.words if leaf else COMMON_PRACTICE,
    }
    coming: list[Next] = []
    for stage, origin in origins.items():
        learned = is_learned(known, stage)
        since = one.stuck_on if stage == "finished" else one.last_potted_on
        if since is None or not _before(one.reached, stage) or (stage == "established" and not learned):
            continue
        if (days := day_of_stage(known, stage, one.wood, since)) and (leaf or learned):
            p10, p50, p90 = cast("tuple[date, date, date]", (days.p10, days.p50, days.p90))
            if coming:
                # plants that were potted late are behind the days counted from sticking
                last = coming[-1]
                p10, p50, p90 = max(p10, last.p10), max(p50, last.p50), max(p90, last.p90)
            coming.append(Next(stage, p10, p50, p90, growing_rests_on(known, stage, origin), learned))
    return tuple(coming)


def _before(reached: str, stage: str) -> bool:
    order: Sequence[str] = READY_AS
    return not reached or order.index(reached) < order.index(stage)
