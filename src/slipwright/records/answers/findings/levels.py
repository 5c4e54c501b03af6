"""The things in which batches differ that findings tell of, and into which levels they fall."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from statistics import median
from typing import Any

from slipwright.records.answers.findings.counts import counted_of
from slipwright.records.answers.findings.gap import gap_of, is_likely, points_of
from slipwright.records.answers.findings.kept import Factor, Gap, Level
from slipwright.records.answers.findings.seen import SeenBatch
from slipwright.records.answers.findings.shares import shares_if
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import Learned, before_records
from slipwright.rooting.ranges import Array

#: where one level of a measure ends and the next begins
LONG_MM = (80.0, 130.0, 200.0)
WARM_C = (16.0, 20.0, 24.0)
STRONG = (1500.0, 4000.0)
NEAR_BLOOM = (0.05, 0.5)


#: a level of fewer batches is shown, and held against no other
FEWEST = 2


@dataclass(frozen=True, slots=True)
class Ways:
    """One thing the two clocks know of: its levels in order, the level and measure of a batch, setting it.

    ``level_of`` returns an empty name for a batch it says nothing of.
    """

    name: str
    levels: tuple[str, ...]
    level_of: Callable[[Cuttings], str]
    measure_of: Callable[[Cuttings], float | None]
    made: Callable[[Cuttings, str, float | None], Cuttings]
    #: what others are held against where there are batches of it, else the commonest
    beside: str = ""


def within(value: float | None, ends: Sequence[float], names: Sequence[str]) -> str:
    """Return the name of the level a measure falls into, empty where it is not known."""
    return "" if value is None else names[sum(value >= end for end in ends)]


_DOSES = ("low", "middle", "high")


def _dose(one: Cuttings) -> str:
    if one.auxin is None or (one.auxin != "none" and one.strength is None):
        return ""
    if one.auxin in ("none", "soak"):
        return one.auxin
    return f"{one.auxin}-{within(one.strength, STRONG, _DOSES)}"


def _set_dose(one: Cuttings, level: str, value: float | None) -> Cuttings:
    form: Any = level.partition("-")[0]
    return replace(one, auxin=form, strength=0.0 if form == "none" else value)


_LENGTHS = ("short", "usual", "long", "longest")
_WARMTHS = ("cool", "mild", "warm", "hot")
_BLOOMS = ("clear", "near", "in-flower")
_MIDDLES = {"clear": 0.0, "near": 0.25, "in-flower": 0.75}

WAYS = (
    Ways(
        "dose",
        ("none", *(f"{form}-{dose}" for form in ("dip", "talc") for dose in _DOSES), "soak"),
        _dose,
        lambda one: one.strength or None,
        _set_dose,
        beside="none",
    ),
    Ways(
        "length",
        _LENGTHS,
        lambda one: within(one.length_mm, LONG_MM, _LENGTHS),
        lambda one: one.length_mm,
        lambda one, _, value: replace(one, length_mm=value),
    ),
    Ways(
        "cover",
        ("mist", "tent", "open"),
        # what stands over bare cuttings makes no difference that the clocks know of
        lambda one: "" if one.leaves == "none" else one.cover or "",
        lambda one: None,
        lambda one, level, _: replace(one, cover=level),  # type: ignore[arg-type]
    ),
    Ways(
        "warmth",
        _WARMTHS,
        lambda one: within(one.warmth_c, WARM_C, _WARMTHS),
        lambda one: one.warmth_c,
        lambda one, _, value: replace(one, warmth_c=value),
    ),
    Ways(
        "bloom",
        _BLOOMS,
        lambda one: within(one.bloom, NEAR_BLOOM, _BLOOMS),
        lambda one: None,
        lambda one, level, _: replace(one, bloom=_MIDDLES[level]),
    ),
)


def factor_of(learned: Learned, batches: Sequence[SeenBatch], ways: Ways) -> Factor:
    """Return what a garden shows of one thing; nothing is held against another where all are alike."""
    fallen: dict[str, list[SeenBatch]] = {}
    for one in batches:
        if level := ways.level_of(one.record.cuttings):
            fallen.setdefault(level, []).append(one)
    names = [name for name in ways.levels if name in fallen]
    asked = [one for name in names for one in fallen[name]]
    asked.sort(key=lambda one: one.record.kind.batch)
    values = {name: _middle(fallen[name], ways) for name in names}

    def drawn(known: Learned, name: str) -> Array:
        return shares_if(known, asked, partial(_made, ways=ways, level=name, value=values[name]))

    draws = {name: drawn(learned, name) for name in names}
    levels = tuple(
        Level(name, counted_of(fallen[name]), values[name], points_of(draws[name])) for name in names
    )
    believed = cache(partial(drawn, before_records()))

    def held(of: Level, beside: Level, n_held: int) -> Gap:
        shares = draws[of.name], draws[beside.name]
        return gap_of(of.name, beside.name, shares, (believed(of.name), believed(beside.name)), n_held)

    return Factor(ways.name, levels, *told_of(levels, held, ways.beside))


def told_of(
    levels: Sequence[Level], held: Callable[[Level, Level, int], Gap], beside: str = ""
) -> tuple[Gap | None, Gap | None]:
    """Return the pair of levels that is told, and the one that is asked about first where it is another.

    Asked about first is the best beside the usual one. Where that is open while the worst surely is worse,
    the worst is what is told.
    """
    some = sorted((one for one in levels if one.counted.n_batches >= FEWEST), key=_middle_share)
    if len(some) < 2:
        return None, None
    *others, best = some
    usual = max(others, key=lambda one: (one.name == beside, one.counted.n_batches))
    first = held(best, usual, len(others))
    if not is_likely(first) and (worst := others[0]) is not usual:
        # any of all pairs might have been the furthest apart
        furthest = held(best, worst, len(some) * len(others) // 2)
        if is_likely(furthest):
            return furthest, first
    return first, None


def _middle_share(level: Level) -> float:
    return level.share[1] if level.share else 0.0


def _made(cuttings: Cuttings, *, ways: Ways, level: str, value: float | None) -> Cuttings:
    return ways.made(cuttings, level, value)


def _middle(batches: Sequence[SeenBatch], ways: Ways) -> float | None:
    known = [value for one in batches if (value := ways.measure_of(one.record.cuttings)) is not None]
    return float(median(known)) if known else None
