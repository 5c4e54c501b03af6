"""What the looks at batches found, taken apart into fates with a chance each.

Between two looks at which all is known, the fates of those at risk are a multinomial: rooted between two
looks that counted the rooted, lost between two that counted the lost, waiting at the end.  Such a stretch is
a spell.  A count left empty does not break the spell off: fates it would have parted stay together, and their
chances add up, which is exact.

Within a spell, time is cut at the edges of the cells and at the looks; the pieces are segments.  A fate's
chance is a sum of parts: having rooted within a segment, having been lost in one, waiting at the end of one.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.cells import CELLS, Cells
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.ranges import Array

Index = NDArray[np.intp]

#: looks on one day are told apart by so much, a look on the day of sticking comes so much after it [days]
LEAST_GAP_DAYS = 0.25
#: parts of a chance: rooted within a segment, lost within it, waiting at its end
ROOTED, LOST, WAITING = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Fate:
    """A number of cuttings and the times between which their fate fell.

    They rooted within ``rooted``, or were lost within ``lost``, or waited on the day ``waited``; where
    several are given it is not known which.  A number below nought divides: of those alive, so many.
    """

    n: float
    rooted: tuple[float, float] | None = None
    lost: tuple[float, float] | None = None
    waited: float | None = None


@dataclass(frozen=True, slots=True)
class Spell:
    """Fates of those that waited on ``start``."""

    start: float
    fates: tuple[Fate, ...]

    @property
    def times(self) -> set[float]:
        """Days at which a fate begins or ends."""
        found: set[float] = set()
        for fate in self.fates:
            found.update(fate.rooted or (), fate.lost or ())
            if fate.waited is not None:
                found.add(fate.waited)
        return found


def spells_of(batch: BatchCounts) -> list[Spell]:
    """Take the looks at a batch apart into spells.

    Parameters
    ----------
    batch : BatchCounts
        What was stuck and what the looks found, in the order of days.

    Returns
    -------
    list of Spell
        One from each look at which all was known to the next; empty where nothing was counted.

    Notes
    -----
    Of rooted, lost and waiting any two give the third.  Removed ones waited on the day of their look, and
    so did those thrown away as given up.  A tried sample, r of k alive found rooted, counts with the chance
    rooted / (rooted + waiting) until the rooted are counted.  A look that counted only what waits counts
    until a look counts more.  Numbers that do not add up are cut to what can be at risk.

    References
    ----------
    Competing risks seen at intervals, definition.

    Examples
    --------
    >>> from datetime import date
    >>> looks = (LookCounts(date(2026, 9, 8), n_rooted=2, n_lost=1),)
    >>> [fate.n for fate in spells_of(BatchCounts(date(2026, 9, 1), 10, looks))[0].fates]
    [2.0, 1.0, 7.0]
    """
    walk = _Walk(float(batch.n_stuck))
    before = 0.0
    for look in batch.looks:
        before = max(float((look.on - batch.stuck_on).days), before + LEAST_GAP_DAYS)
        walk.take(look, before)
    walk.close()
    return walk.spells


class _Walk:
    """The looks at one batch, taken one by one."""

    def __init__(self, n_stuck: float) -> None:
        self.spells: list[Spell] = []
        self.at_risk = n_stuck  # waiting, or gone and not counted yet
        self._open(0.0)

    def _open(self, start: float) -> None:
        self.start = self.rooted_to = self.lost_to = start
        self.fates: list[Fate] = []
        self.tried: tuple[float, float, float] | None = None
        self.waiting_only: list[tuple[float, float]] = []  # looks that counted no more than what waits

    def take(self, look: LookCounts, day: float) -> None:
        rooted, lost, removed = self._counts(look)
        if rooted is not None and lost is not None:
            waits = self.at_risk - rooted - lost
            self._add(rooted, Fate(rooted, rooted=(self.rooted_to, day)))
            self._add(lost, Fate(lost, lost=(self.lost_to, day)))
            self._add(waits, Fate(waits, waited=day))
            self._put_away()
            self.at_risk = waits - removed
            self._open(day)
            return
        if rooted is not None:
            self._add(rooted, Fate(rooted, rooted=(self.rooted_to, day)))
            self.rooted_to, self.tried, self.waiting_only = day, None, []
            self.at_risk -= rooted
        if lost is not None:
            self._add(lost, Fate(lost, lost=(self.lost_to, day)))
            self.lost_to, self.waiting_only = day, []
            self.at_risk -= lost
        if removed:
            self._add(removed, Fate(removed, waited=day))
            self.at_risk -= removed
            self.waiting_only = [(at, max(waits - removed, 0.0)) for at, waits in self.waiting_only]
        if rooted is None and look.n_tried:
            n_tried = min(float(look.n_tried), self.at_risk)
            self.tried = (day, n_tried, min(float(look.n_tried_rooted or 0), n_tried))
        if rooted is None and lost is None and look.n_waiting is not None:
            fewest = min((waits for _, waits in self.waiting_only), default=self.at_risk)
            self.waiting_only.append((day, min(float(look.n_waiting), fewest)))

    def _counts(self, look: LookCounts) -> tuple[float | None, float | None, float]:
        """Rooted, lost, removed of a look, cut to what is at risk; the third of two worked out."""
        rooted: float | None = look.n_rooted
        lost: float | None = look.n_lost
        removed = float(look.n_removed or 0)
        if look.cause == "given-up" and lost is not None:
            removed, lost = removed + lost, 0
        if look.n_waiting is not None and (rooted is None) != (lost is None):
            rest = max(self.at_risk - removed - look.n_waiting - (rooted or lost or 0), 0)
            rooted, lost = (rest, lost) if rooted is None else (rooted, rest)
        r = None if rooted is None else min(float(rooted), self.at_risk)
        gone = None if lost is None else min(float(lost), self.at_risk - (r or 0.0))
        left = self.at_risk - (r or 0.0) - (gone or 0.0)
        return r, gone, min(removed, left)

    def close(self) -> None:
        """End with what is not known of those still at risk."""
        if self.waiting_only:
            left, rooted_to, lost_to = self.at_risk, self.rooted_to, self.lost_to
            for day, waits in self.waiting_only:
                self._add(left - waits, Fate(left - waits, rooted=(rooted_to, day), lost=(lost_to, day)))
                left, rooted_to, lost_to = waits, day, day
            self._add(left, Fate(left, waited=day))
        elif (last := max(self.rooted_to, self.lost_to)) > self.start:
            self._add(
                self.at_risk,
                Fate(self.at_risk, rooted=(self.rooted_to, last), lost=(self.lost_to, last), waited=last),
            )
        if self.tried is not None:
            day, n, n_rooted = self.tried
            since = (self.rooted_to, day)
            self._add(n_rooted, Fate(n_rooted, rooted=since))
            self._add(n - n_rooted, Fate(n - n_rooted, waited=day))
            self._add(n, Fate(-n, rooted=since, waited=day))
        self._put_away()

    def _add(self, n: float, fate: Fate) -> None:
        if n > 0:
            self.fates.append(fate)

    def _put_away(self) -> None:
        if self.fates:
            self.spells.append(Spell(self.start, tuple(self.fates)))


@dataclass(frozen=True)
class Segments:
    """Spells of many batches as flat arrays, in the order of batches.

    ``batch``, ``cell``, ``days`` and ``place`` (in its spell, from 0) are by segment; ``fate_n`` by fate;
    ``part_fate``, ``part_kind`` and ``part_segment`` by part of a fate's chance, fates together.
    ``times`` is the clocks' time of each cell.
    """

    n_batches: int
    batch: Index
    cell: Index
    days: Array
    place: Index
    fate_n: Array
    part_fate: Index
    part_kind: Index
    part_segment: Index
    times: Array

    @cached_property
    def fate_first(self) -> Index:
        """First part of each fate."""
        return np.flatnonzero(np.diff(self.part_fate, prepend=-1))

    @cached_property
    def fate_batch(self) -> Index:
        """Batch of each fate."""
        return self.batch[self.part_segment[self.fate_first]]

    @cached_property
    def segment_runs(self) -> tuple[Index, Index]:
        """First segment of each batch that has any, and which batch it is."""
        return _runs(self.batch)

    @cached_property
    def fate_runs(self) -> tuple[Index, Index]:
        """First fate of each batch that has any, and which batch it is."""
        return _runs(self.fate_batch)

    @cached_property
    def mixed_runs(self) -> tuple[Index, Index]:
        """First part of a fate with several, of each batch that has any, and which batch it is."""
        return _runs(self.batch[self.part_segment[self.mixed[0]]])

    @cached_property
    def by_place(self) -> list[Index]:
        """Segments by their place in their spell."""
        return [np.flatnonzero(self.place == k) for k in range(int(self.place.max(initial=-1)) + 1)]

    @cached_property
    def parts_of_kind(self) -> list[tuple[Index, Index, Index]]:
        """By kind of part: the parts in the order of segments, where each segment begins, which it is."""
        found = []
        for kind in (ROOTED, LOST, WAITING):
            parts = np.flatnonzero(self.part_kind == kind)
            parts = parts[np.argsort(self.part_segment[parts], kind="stable")]
            found.append((parts, *_runs(self.part_segment[parts])))
        return found

    @cached_property
    def mixed(self) -> tuple[Index, Index, Index]:
        """Parts of fates that have several, where each such fate begins among them, and its number there."""
        many = np.bincount(self.part_fate, minlength=len(self.fate_n)) > 1
        parts = np.flatnonzero(many[self.part_fate])
        starts = np.diff(self.part_fate[parts], prepend=-1) != 0
        return parts, np.flatnonzero(starts), np.cumsum(starts) - 1

    def runs(self, n_segments: int) -> list[tuple[slice, Segments]]:
        """Cut into runs of whole batches of about so many segments each."""
        n_runs = max(round(len(self.batch) / n_segments), 1)
        edges = np.linspace(0, self.n_batches, min(n_runs, max(self.n_batches, 1)) + 1).astype(int)
        chosen = [slice(a, b) for a, b in pairwise(edges.tolist())]
        return [(one, self._of(one)) for one in chosen] if len(chosen) > 1 else [(chosen[0], self)]

    def _of(self, chosen: slice) -> Segments:
        first, last = np.searchsorted(self.batch, [chosen.start, chosen.stop])
        fates = slice(*np.searchsorted(self.fate_batch, [chosen.start, chosen.stop]))
        begin = self.fate_first[fates.start] if fates.start < len(self.fate_n) else len(self.part_fate)
        end = self.fate_first[fates.stop] if fates.stop < len(self.fate_n) else len(self.part_fate)
        parts = slice(int(begin), int(end))
        return Segments(
            chosen.stop - chosen.start,
            self.batch[first:last] - chosen.start,
            self.cell[first:last],
            self.days[first:last],
            self.place[first:last],
            self.fate_n[fates],
            self.part_fate[parts] - fates.start,
            self.part_kind[parts],
            self.part_segment[parts] - first,
            self.times,
        )


def _runs(values: Index) -> tuple[Index, Index]:
    """Where each run of equal values begins, and the value."""
    first = np.flatnonzero(np.diff(values, prepend=-1))
    return first, values[first]


def segments_of(batches: Iterable[BatchCounts], cells: Cells = CELLS) -> Segments:
    """Cut the spells of many batches into segments.

    Parameters
    ----------
    batches : iterable of BatchCounts
        The batches.
    cells : Cells
        Where the clocks' hazards may change.

    Returns
    -------
    Segments
        Flat arrays for the likelihood.

    Notes
    -----
    A segment ends where a cell does or where a fate begins or ends; the last cell goes on for ever.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from datetime import date
    >>> looks = (LookCounts(date(2026, 9, 8), n_rooted=2, n_lost=1),)
    >>> segments_of([BatchCounts(date(2026, 9, 1), 10, looks)]).days.tolist()
    [4.0, 3.0]
    """
    return segments_of_spells([spells_of(batch) for batch in batches], cells)


def segments_of_spells(batches: Sequence[Sequence[Spell]], cells: Cells = CELLS) -> Segments:
    """Cut given spells into segments.

    Parameters
    ----------
    batches : sequence of sequences of Spell
        The spells of each batch.
    cells : Cells
        Where the clocks' hazards may change.

    Returns
    -------
    Segments
        Flat arrays for the likelihood.

    Notes
    -----
    As `segments_of`, where the spells are known already.

    References
    ----------
    Definition.

    Examples
    --------
    >>> segments_of_spells([[]]).n_batches
    1
    """
    flat = _Flat(cells)
    for number, spells in enumerate(batches):
        for spell in spells:
            flat.add(number, spell)
    return flat.done(len(batches))


class _Flat:
    """Lists that grow into `Segments`."""

    def __init__(self, cells: Cells) -> None:
        self.times = cells.times
        self.edges = list(cells.edges)
        self.inner = self.edges[1:-1]  # the last cell goes on for ever
        self.batch: list[int] = []
        self.cell: list[int] = []
        self.days: list[float] = []
        self.place: list[int] = []
        self.fates: list[float] = []
        self.parts: list[tuple[int, int, int]] = []

    def add(self, batch: int, spell: Spell) -> None:
        times = spell.times
        times.add(spell.start)
        last = max(times)
        edges = self.inner[bisect_right(self.inner, spell.start) : bisect_left(self.inner, last)]
        points = sorted(times.union(edges)) if len(times) > 2 else [spell.start, *edges, last]
        base = len(self.days)
        cell = min(bisect_right(self.edges, spell.start), len(self.edges) - 1) - 1
        for k in range(len(points) - 1):
            if k and points[k] == self.edges[cell + 1] and cell < len(self.edges) - 2:
                cell += 1
            self.batch.append(batch)
            self.cell.append(cell)
            self.days.append(points[k + 1] - points[k])
            self.place.append(k)
        at = {point: base + k for k, point in enumerate(points)}  # segment that begins there
        for fate in spell.fates:
            number = len(self.fates)
            self.fates.append(fate.n)
            for kind, span in ((ROOTED, fate.rooted), (LOST, fate.lost)):
                if span is not None:
                    self.parts.extend([(number, kind, s) for s in range(at[span[0]], at[span[1]])])
            if fate.waited is not None:
                self.parts.append((number, WAITING, at[fate.waited] - 1))

    def done(self, n_batches: int) -> Segments:
        parts = np.array(self.parts, dtype=np.intp).reshape(-1, 3)
        return Segments(
            n_batches,
            np.array(self.batch, dtype=np.intp),
            np.array(self.cell, dtype=np.intp),
            np.array(self.days),
            np.array(self.place, dtype=np.intp),
            np.array(self.fates),
            parts[:, 0].copy(),
            parts[:, 1].copy(),
            parts[:, 2].copy(),
            self.times,
        )
