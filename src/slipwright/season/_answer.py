"""The programme as plain data, added up anew from the batches that were chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from slipwright.season._master import Parts
from slipwright.season._plans import Plans
from slipwright.season._promised import Promise
from slipwright.season._ways import Ways, standing_use
from slipwright.season.asked import Season
from slipwright.season.programme import Line, Load, Loosened, Programme, Seconds, Stop, WantPlan


def answer_of(
    season: Season,
    ways: Ways,
    plans: Plans,
    parts: Parts,
    promises: Sequence[Promise],
    stops: Mapping[int, tuple[Stop, ...]],
    loosened: Sequence[Loosened],
    seconds: Seconds,
    seed: int,
) -> Programme:
    """Return the programme as plain data.

    Parameters
    ----------
    season : Season
        What was asked.
    ways : Ways
        Options.
    plans : Plans
        All plans.
    parts : Parts
        The best choice in parts, for its bound.
    promises : sequence of Promise
        What each want gets.
    stops : mapping
        What stops wants, by their places.
    loosened : sequence of Loosened
        What more room would bring.
    seconds : Seconds
        How long each part took.
    seed : int
        Seed of the programme [1].

    Returns
    -------
    Programme
        Lines by week; loads of all rows.

    Notes
    -----
    Cost and loads are added up from the options as they were asked, not from what was solved.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.season.planning import programme_of
    >>> programme_of(Season((), ()), lambda *asked: None, n_workers=0).lines
    ()
    """
    lines, wants = [], []
    used = dict(zip((row.row for row in season.rows), standing_use(season).tolist(), strict=True))
    penalty = moves = 0.0
    for place, (want, promise) in enumerate(zip(season.wants, promises, strict=True)):
        for option, n in zip(promise.options.tolist(), promise.n.tolist(), strict=True):
            lines.append(_line(want.want, ways, option, n))
            moves += float(ways.moved[option])
            for row, amount in ways.options[option].use_each.items():
                used[row] += n * amount
            for row, amount in ways.options[option].use_once.items():
                used[row] += amount
        value = float(plans.value_each[place])
        penalty += value * (want.n_wanted - promise.target)
        wants.append(
            WantPlan(
                want.want,
                want.n_wanted,
                want.assurance,
                promise.target,
                promise.promised,
                promise.promised_planned,
                want.n_wanted - promise.target,
                stops.get(place, ()),
                value,
                want.value_each is not None,
                promise.ready,
                promise.standing,
            )
        )
    lines.sort(key=lambda line: (line.week, line.want, line.option))
    cost = float(sum(line.cost for line in lines))
    total = cost + penalty + moves
    loads = tuple(
        Load(row.row, row.kind, row.place, row.week, used[row.row], row.room) for row in season.rows
    )
    return Programme(
        tuple(lines),
        tuple(wants),
        loads,
        tuple(loosened),
        cost,
        penalty,
        moves,
        parts.bound,
        float((total - parts.bound) / total) if total > 0 else 0.0,
        len(plans),
        seconds,
        seed,
    )


def _line(want: str, ways: Ways, place: int, n: int) -> Line:
    option = ways.options[place]
    return Line(
        option.week,
        want,
        option.option,
        option.taxon,
        option.wood,
        option.method,
        option.plant,
        n,
        int(np.ceil(n / option.n_per_container)),
        n * option.cost_each + option.cost_once,
    )
