"""From weaning to ready: what stands, and what each batch likely comes to next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import cast

from slipwright.advice.plan import DAYS_A_MONTH
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Spread, Wood, WoodLeaf
from slipwright.records import selectors
from slipwright.records.models import Garden, Sticking
from slipwright.records.selectors import Growing
from slipwright.records.words import READY_AS


@dataclass(frozen=True, slots=True)
class Next:
    """A stage to come, with its days 8 times in 10 and on whose word."""

    ready_as: str
    p10: date
    p50: date
    p90: date
    origin: str


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
    """Return what grows on, by place in the order of the walk. Two queries."""
    found: dict[str, list[GrowingOn]] = {}
    for one in selectors.growing_on(garden, on=on):
        found.setdefault(one.place, []).append(_with_days(handbook, one, on))
    return tuple(Bench(place, tuple(batches)) for place, batches in found.items())


def origins_of(benches: Sequence[Bench]) -> list[str]:
    """Return on whose word the days of what is next stand, each once."""
    origins = (after.origin for bench in benches for one in bench.batches for after in one.coming)
    return list(dict.fromkeys(origins))


def growing_batch(
    garden: Garden, handbook: Handbook, sticking: Sticking, *, on: date, without: str = ""
) -> GrowingOn:
    """Return how the potted plants of one batch stand and what is next, an outcome left out."""
    return _with_days(handbook, selectors.growing_of(garden, sticking, on=on, without=without), on)


def _with_days(handbook: Handbook, one: Growing, on: date) -> GrowingOn:
    page = handbook.page_of(one.taxon)
    leaf = page.woods.get(cast(Wood, one.wood)) if page else None
    days = (on - one.last_potted_on).days if one.last_potted_on else None
    coming = from_the_last_due(stages_ahead(one, leaf), on) if leaf else ()
    due = coming[0].p50 <= on if coming else one.reached == "finished"
    return GrowingOn(one, days, coming, due)


def from_the_last_due(coming: tuple[Next, ...], on: date) -> tuple[Next, ...]:
    """Leave out the stages before one that is due itself: to ask for the later one is enough."""
    n_due = sum(1 for stage in coming if stage.p50 <= on)
    return coming[max(n_due - 1, 0) :]


def stages_ahead(one: Growing, leaf: WoodLeaf) -> tuple[Next, ...]:
    """Return the stages that are still to come, by the handbook: weaned, counted from potting, then finished.

    For "established" the handbook has no days of its own.
    """
    coming = []
    if one.last_potted_on and _before(one.reached, "weaned"):
        coming.append(_next("weaned", one.last_potted_on, leaf.weaning_days, 1.0))
    if _before(one.reached, "finished"):
        coming.append(_next("finished", one.stuck_on, leaf.months_to_finished, DAYS_A_MONTH))
    return tuple(coming)


def _before(reached: str, stage: str) -> bool:
    order: Sequence[str] = READY_AS
    return not reached or order.index(reached) < order.index(stage)


def _next(ready_as: str, start: date, spread: Spread, days_each: float) -> Next:
    p10, p50, p90 = (
        start + timedelta(days=round(n * days_each)) for n in (spread.p10, spread.p50, spread.p90)
    )
    return Next(ready_as, p10, p50, p90, spread.origin.words)
