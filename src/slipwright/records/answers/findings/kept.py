"""What the records of a garden show, as it is kept with what was learned: numbers only, no words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

#: the name under which a fit keeps findings
KEPT_AS = "shown"
#: raise it where findings are worked out, or kept, in another way
FORM = 1

#: the ends of 8 times in 10 and the middle between them
Points = tuple[float, float, float]
RuleName = Literal["rooted", "weeks", "lost"]


@dataclass(frozen=True, slots=True)
class Counted:
    """What was counted of some batches up to now; still waiting and taken away are not lost.

    ``share`` is the share rooted as far as looks tell, those that wait or were taken away counted as long
    as they were seen; ``weeks`` the week by which half of those had rooted. None where no look tells.
    """

    n_batches: int
    n_stuck: int
    n_rooted: int
    n_waiting: int
    n_lost: int
    n_away: int
    share: float | None = None
    weeks: float | None = None


@dataclass(frozen=True, slots=True)
class Gap:
    """Two ways held against each other: how many more of 1 root ``of`` one than ``beside`` the other.

    ``p_better`` is the chance that it is more at all, ``p_needed`` the one from which on that is told as
    settled: more the more ways were held against each other, for among many chance finds one.
    ``prior_share`` is how much of this is still what was believed before any record. ``n_units`` of
    ``n_per_unit`` cuttings each way would tell a gap like the middle one 8 times in 10, None where a
    thousand would not.
    """

    of: str
    beside: str
    points: Points
    p_better: float
    prior_share: float
    n_units: int | None = None
    n_per_unit: int = 0
    p_needed: float = 0.9


@dataclass(frozen=True, slots=True)
class Level:
    """One way, place or time, and what was counted of it.

    ``value`` is its middle where it is a measure. ``share`` is the share that roots in the long run, all
    else being equal; ``beside`` how many more of 1 rooted than of such cuttings was to be expected, and
    ``p_more`` the chance that it is more at all.
    """

    name: str
    counted: Counted
    value: float | None = None
    share: Points | None = None
    beside: Points | None = None
    p_more: float | None = None


@dataclass(frozen=True, slots=True)
class Factor:
    """One thing in which batches differ, its levels in their own order.

    ``gap`` is what is told of it; ``also`` the pair one would ask about first, where that one is not settled
    while ``gap`` is.
    """

    name: str
    levels: tuple[Level, ...]
    gap: Gap | None = None
    also: Gap | None = None


@dataclass(frozen=True, slots=True)
class Along:
    """Where along the shoot cuttings root: of a genus, or of all plants where ``of`` is empty.

    ``sweet`` are the first and last place of ``levels`` that do best, None where no part stands out;
    ``p_there`` the share that roots there. ``gap`` holds the best part against its nearest rival: the best
    outside the sweet spot, or the next best where there is none.
    """

    of: str
    levels: tuple[Level, ...]
    sweet: tuple[int, int] | None
    p_there: float | None
    gap: Gap | None


@dataclass(frozen=True, slots=True)
class Rule:
    """One figure of the handbook beside the garden's own: shares of 1, or weeks.

    ``low`` to ``high`` is the handbook's range; ``p_below`` and ``p_above`` the chances that the garden's
    own lies outside it.
    """

    name: RuleName
    low: float
    middle: float
    high: float
    own: Points
    p_below: float
    p_above: float
    prior_share: float


@dataclass(frozen=True, slots=True)
class Rate:
    """A wood of a taxon: the share that roots in the long run, of one batch, and as believed before."""

    taxon: str
    wood: str
    counted: Counted
    share: Points
    one_batch: Points
    believed: Points
    weeks: Points
    prior_share: float
    rules: tuple[Rule, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """All of it; ``seasons`` are the first and last year stuck in."""

    n_batches: int
    n_stuck: int
    seasons: tuple[str, str]
    along: tuple[Along, ...]
    rates: tuple[Rate, ...]
    factors: tuple[Factor, ...]

    def as_kept(self) -> dict[str, Any]:
        """Plain data to keep."""
        kept: dict[str, Any] = _rounded(asdict(self))
        return kept


def kept_in(found: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return the findings among what was kept of a fit; None without, or where they are of another form."""
    shown: Mapping[str, Any] | None = found.get(KEPT_AS)
    return shown if shown and shown.get("form") == FORM else None


def shown_from(kept: Mapping[str, Any]) -> Shown:
    """Return what ``Shown.as_kept`` put away."""
    first, last = kept["seasons"]
    return Shown(
        kept["n_batches"],
        kept["n_stuck"],
        (first, last),
        tuple(
            Along(
                one["of"],
                _levels(one["levels"]),
                one["sweet"] and (one["sweet"][0], one["sweet"][1]),
                one["p_there"],
                _gap(one["gap"]),
            )
            for one in kept["along"]
        ),
        tuple(_rate(one) for one in kept["rates"]),
        tuple(
            Factor(one["name"], _levels(one["levels"]), _gap(one["gap"]), _gap(one["also"]))
            for one in kept["factors"]
        ),
    )


def _rate(kept: Mapping[str, Any]) -> Rate:
    points = {name: _points(kept[name]) for name in ("share", "one_batch", "believed", "weeks")}
    rules = tuple(Rule(**(one | {"own": _points(one["own"])})) for one in kept["rules"])
    return Rate(**(dict(kept) | points | {"counted": Counted(**kept["counted"]), "rules": rules}))


def _levels(kept: Sequence[Mapping[str, Any]]) -> tuple[Level, ...]:
    return tuple(
        Level(
            one["name"],
            Counted(**one["counted"]),
            one["value"],
            one["share"] and _points(one["share"]),
            one["beside"] and _points(one["beside"]),
            one["p_more"],
        )
        for one in kept
    )


def _gap(kept: Mapping[str, Any] | None) -> Gap | None:
    return None if kept is None else Gap(**(dict(kept) | {"points": _points(kept["points"])}))


def _points(kept: Sequence[float]) -> Points:
    low, middle, high = kept
    return low, middle, high


def _rounded(kept: Any) -> Any:
    """Round to what a page shows and a little more: it is read with every page."""
    if isinstance(kept, float):
        return round(kept, 4)
    if isinstance(kept, dict):
        return {name: _rounded(value) for name, value in kept.items()}
    if isinstance(kept, list | tuple):
        return [_rounded(value) for value in kept]
    return kept
