"""What a new programme changes of the one before, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slipwright.season._lists import whole_standing
from slipwright.season.asked import SLACK, Draws, Season, Want
from slipwright.season.counts import counts_ready, scores_of
from slipwright.season.programme import Line, Programme

#: as far below the assurance a promise may lie
_BELOW = 0.01
#: promises nearer than this count as one
_NOTABLE = 0.005


@dataclass(frozen=True, slots=True)
class Change:
    """One batch of a want, before and now.

    ``kind`` is ``kept``, ``resized``, ``moved`` (another week or way), ``added``, ``dropped`` or ``stuck``.
    ``reason`` is ``""`` for what is kept, else ``stuck`` (it stands by now), ``want_new``, ``want_gone``,
    ``want_changed`` (number, day or assurance), ``closed`` (the way is no longer open), ``outlook`` (what was
    planned no longer gives the want with its assurance), ``room`` (it no longer fits ``row``) or ``others``
    (what is best for all together).  ``p_was`` and ``p_now`` are the chances of the want by the
    batches of before, as promised then and as they stand today.
    """

    want: str
    kind: str
    was: Line | None
    now: Line | None
    reason: str
    row: str = ""
    p_was: float | None = None
    p_now: float | None = None


@dataclass(frozen=True, slots=True)
class Beside:
    """Two programmes in figures, and the wants they treat differently (plants with assurance, promised)."""

    cost: tuple[float, float]
    penalty: tuple[float, float]
    n_to_stick: tuple[int, int]
    n_batches: tuple[int, int]
    n_short: tuple[int, int]
    wants: tuple[tuple[str, tuple[int, int], tuple[float, float]], ...]


def changes(
    before: Programme,
    after: Programme,
    season: Season,
    draw: Draws,
    *,
    season_before: Season | None = None,
    n_scenarios: int = 4_000,
) -> tuple[Change, ...]:
    """Return what changed from one programme to the next, batch by batch, and why.

    Parameters
    ----------
    before, after : Programme
        Programmes.
    season : Season
        What the later one was made of.
    draw : callable
        As `slipwright.season.asked.Draws`, of today.
    season_before : Season, optional
        What the earlier one was made of; without it a changed day of a want goes unnoticed.
    n_scenarios : int
        Draws that the chance of what was planned is found on [1].

    Returns
    -------
    tuple of Change
        By want, in the order of the season, then wants that are gone.

    Notes
    -----
    Batches of a want with the same option belong together; the others are paired in the order of their
    weeks. The reason is one for the whole want: the first that applies in the order given at `Change`.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.season.planning import programme_of
    >>> nothing = programme_of(Season((), ()), lambda *asked: None, n_workers=0)
    >>> changes(nothing, nothing, Season((), ()), lambda *asked: None)
    ()
    """
    was, now = _by_want(before.lines), _by_want(after.lines)
    old = {want.want: want for want in season_before.wants} if season_before else {}
    promised = {want.want: want for want in before.wants}
    stuck = {(batch.want, batch.batch) for batch in season.standing}
    known_stuck = {(batch.want, batch.batch) for batch in season_before.standing} if season_before else set()
    newly_stuck = {want for want, _ in stuck - known_stuck}
    found: list[Change] = []
    for want in season.wants:
        mine, then = now.get(want.want, []), was.get(want.want, [])
        closed = {line.option for line in then} - {option.option for option in want.options}
        if want.want in newly_stuck:
            gone = [line for line in then if line.option in closed]
            found += [Change(want.want, "stuck", line, None, "stuck") for line in gone]
            then = [line for line in then if line not in gone]
            closed = set()
        if _same(then, mine):
            found += [Change(want.want, "kept", line, line, "") for line in mine]
            continue
        reason, row, p_was, p_now = "want_new", "", None, None
        if want.want in promised:
            p_was = promised[want.want].promised
            asked = (promised[want.want].n_wanted, promised[want.want].assurance)
            is_moved = want.want in old and old[want.want].due != want.due
            if asked != (want.n_wanted, want.assurance) or is_moved:
                reason = "want_changed"
            elif closed:
                reason = "closed"
            else:
                p_now = _chance(want, then, draw, after.seed, n_scenarios)
                reason, row = _why(promised[want.want].planned >= want.n_wanted, want, then, p_now, season)
        found += [
            Change(want.want, kind, a, b, "" if kind == "kept" else reason, row, p_was, p_now)
            for kind, a, b in _paired(then, mine)
        ]
    here = {want.want for want in season.wants}
    found += [
        Change(line.want, "dropped", line, None, "want_gone")
        for line in before.lines
        if line.want not in here
    ]
    return tuple(found)


def side_by_side(before: Programme, after: Programme) -> Beside:
    """Two programmes in figures.

    Parameters
    ----------
    before, after : Programme
        Programmes.

    Returns
    -------
    Beside
        Totals, and the wants that differ.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.season.planning import programme_of
    >>> nothing = programme_of(Season((), ()), lambda *asked: None, n_workers=0)
    >>> side_by_side(nothing, nothing).cost
    (0.0, 0.0)
    """
    one, two = ({want.want: want for want in programme.wants} for programme in (before, after))
    differ = []
    for want in sorted(one.keys() | two.keys()):
        planned = [side[want].planned if want in side else 0 for side in (one, two)]
        promised = [side[want].promised if want in side else 0.0 for side in (one, two)]
        if planned[0] != planned[1] or abs(promised[0] - promised[1]) > _NOTABLE:
            differ.append((want, (planned[0], planned[1]), (promised[0], promised[1])))
    return Beside(
        (before.cost, after.cost),
        (before.penalty, after.penalty),
        (sum(line.n_to_stick for line in before.lines), sum(line.n_to_stick for line in after.lines)),
        (len(before.lines), len(after.lines)),
        (sum(want.short_by > 0 for want in before.wants), sum(want.short_by > 0 for want in after.wants)),
        tuple(differ),
    )


def _by_want(lines: Sequence[Line]) -> dict[str, list[Line]]:
    found: dict[str, list[Line]] = {}
    for line in lines:
        found.setdefault(line.want, []).append(line)
    return found


def _same(then: Sequence[Line], now: Sequence[Line]) -> bool:
    return {(a.option, a.n_to_stick) for a in then} == {(b.option, b.n_to_stick) for b in now}


def _paired(then: Sequence[Line], now: Sequence[Line]) -> list[tuple[str, Line | None, Line | None]]:
    here = {line.option: line for line in now}
    stays = {line.option for line in then} & here.keys()
    pairs: list[tuple[str, Line | None, Line | None]] = [
        ("kept" if line.n_to_stick == here[line.option].n_to_stick else "resized", line, here[line.option])
        for line in then
        if line.option in stays
    ]
    left = [line for line in then if line.option not in stays]
    new = [line for line in now if line.option not in stays]
    both = min(len(left), len(new))
    pairs += [("moved", a, b) for a, b in zip(left, new, strict=False)]
    pairs += [("dropped", line, None) for line in left[both:]]
    return pairs + [("added", None, line) for line in new[both:]]


def _chance(want: Want, then: Sequence[Line], draw: Draws, seed: int, n_scenarios: int) -> float:
    """Chance that the batches planned before give the want, as things stand today."""
    place = {option.option: number for number, option in enumerate(want.options)}
    drawn = draw(want, tuple(place[line.option] for line in then), n_scenarios, seed)
    ready = np.asarray(drawn.ready, np.float32).reshape(len(then), n_scenarios)
    plants = whole_standing(drawn, n_scenarios).astype(float)
    for line, shares in zip(then, ready, strict=True):
        plants += counts_ready(shares, line.n_to_stick, scores_of(seed, n_scenarios, want.want, line.option))
    return float((plants >= want.n_wanted).mean())


def _why(was_whole: bool, want: Want, then: Sequence[Line], p_now: float, season: Season) -> tuple[str, str]:
    if was_whole and p_now < want.assurance - _BELOW:
        return "outlook", ""
    options = {option.option: option for option in want.options}
    used: dict[str, float] = {}
    for batch in season.standing:
        for row, amount in batch.use.items():
            used[row] = used.get(row, 0.0) + amount
    mine: set[str] = set()
    for line in then:
        option = options[line.option]
        for row, amount in option.use_each.items():
            used[row] = used.get(row, 0.0) + amount * line.n_to_stick
            mine.add(row)
        for row, amount in option.use_once.items():
            used[row] = used.get(row, 0.0) + amount
            mine.add(row)
    for one in season.rows:
        if one.row in mine and used[one.row] > one.room + SLACK:
            return "room", one.row
    return "others", ""
