"""Along the shoot: what each part did, and the sweet spot where the ranges bear one out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, partial
from typing import Final

import numpy as np

from slipwright.records.answers.findings.counts import counted_of
from slipwright.records.answers.findings.gap import HALF_OWN, gap_of, points_of
from slipwright.records.answers.findings.kept import Along, Counted, Gap, Level
from slipwright.records.answers.findings.levels import within
from slipwright.records.answers.findings.seen import SeenBatch
from slipwright.records.answers.findings.shares import shares_if
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import Learned, before_records
from slipwright.rooting.ranges import Array

#: parts of the shoot from its tip, where one ends and the next begins, and the middle of each
PARTS: Final = ("tip", "upper", "middle", "lower", "base")
EDGES: Final = (0.15, 0.375, 0.625, 0.85)
MIDDLES: Final = (0.1, 0.25, 0.5, 0.75, 0.95)
#: a part is left out of the sweet spot where it is so likely worse than the best
SURE = 0.9
#: a genus is told of by itself from so many batches on, and of no more genera than these
FEWEST, MOST_GENERA = 6, 12


def along_of(learned: Learned, batches: Sequence[SeenBatch]) -> tuple[Along, ...]:
    """Return how parts of the shoot did: of all plants, then of each genus with batches enough.

    How much one part is better than another is learned of all plants together; a genus whose own counts
    say otherwise gets no sweet spot.
    """
    known = sorted((one for one in batches if _part(one)), key=lambda one: one.record.kind.batch)
    if not known:
        return ()
    of: dict[str, list[SeenBatch]] = {}
    for one in known:
        of.setdefault(one.record.kind.genus, []).append(one)
    genera = sorted((genus for genus in of if len(of[genus]) >= FEWEST), key=lambda one: (-len(of[one]), one))
    told = [_along(learned, "", known)]
    if len(of) > 1:
        told += [_along(learned, genus, of[genus]) for genus in genera[:MOST_GENERA]]
    return tuple(told)


def _part(one: SeenBatch) -> str:
    return within(one.record.cuttings.ripeness, EDGES, PARTS)


def _along(learned: Learned, of: str, batches: Sequence[SeenBatch]) -> Along:
    fallen = {part: [one for one in batches if _part(one) == part] for part in PARTS}
    parts = [part for part in PARTS if fallen[part]]

    def drawn(known: Learned, part: str) -> Array:
        return shares_if(known, batches, partial(_cut_at, ripeness=MIDDLES[PARTS.index(part)]))

    draws = [drawn(learned, part) for part in parts]
    levels = tuple(
        Level(part, counted_of(fallen[part]), share=points_of(one))
        for part, one in zip(parts, draws, strict=True)
    )
    if len(parts) < 2:
        return Along(of, levels, None, None, None)
    order = sorted(range(len(parts)), key=lambda at: -float(np.median(draws[at])))
    best, believed = order[0], cache(partial(drawn, before_records()))

    def held(other: int) -> Gap:
        pair = parts[best], parts[other]
        return gap_of(*pair, (draws[best], draws[other]), (believed(pair[0]), believed(pair[1])))

    sweet = sweet_spot(draws, best) if held(order[-1]).prior_share < HALF_OWN else None
    if sweet and not bears_out([one.counted for one in levels], sweet):
        sweet = None
    there = float(np.mean([np.median(one) for one in draws[sweet[0] : sweet[1] + 1]])) if sweet else None
    rival = next((at for at in order if sweet and not sweet[0] <= at <= sweet[1]), order[1])
    return Along(of, levels, sweet, there, held(rival))


def _cut_at(cuttings: Cuttings, *, ripeness: float) -> Cuttings:
    return replace(cuttings, ripeness=ripeness)


def sweet_spot(draws: Sequence[Array], best: int) -> tuple[int, int] | None:
    """Return first and last of the parts about the best that are not surely worse; None where none is.

    A part further off than one that is surely worse does not count, however little is known of it.
    """
    first = last = best
    while first > 0 and not _surely_worse(draws, first - 1, best):
        first -= 1
    while last < len(draws) - 1 and not _surely_worse(draws, last + 1, best):
        last += 1
    return None if (first, last) == (0, len(draws) - 1) else (first, last)


def _surely_worse(draws: Sequence[Array], one: int, best: int) -> bool:
    return float((draws[best] > draws[one]).mean()) >= SURE


def bears_out(counted: Sequence[Counted], sweet: tuple[int, int]) -> bool:
    """Return whether the counts themselves, of two batches or more on either side, say the same."""
    within_it = _pooled(counted[sweet[0] : sweet[1] + 1])
    beyond = _pooled([*counted[: sweet[0]], *counted[sweet[1] + 1 :]])
    return within_it is not None and beyond is not None and within_it > beyond


def _pooled(counted: Sequence[Counted]) -> float | None:
    told = [(one.share, one.n_stuck) for one in counted if one.share is not None]
    if sum(one.n_batches for one in counted) < 2 or not told:
        return None
    return sum(share * n for share, n in told) / sum(n for _, n in told)
