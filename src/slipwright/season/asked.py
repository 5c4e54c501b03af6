"""What a season's programme is asked for: wants, the ways to meet them, and the room there is."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from slipwright.craft.errors import BadArgument

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

#: a plan is made of at most so many batches
MOST_BATCHES = 3
#: a plant of a want without a stated value counts so many times what the cheapest of it costs
UNSTATED = 5.0
#: rooms are compared with so much slack, against the rounding of sums
SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Row:
    """What there is of one thing, in one week or, where ``week`` is None, in the whole season.

    ``kind`` is ``bench``, ``nursery``, ``hours``, ``shoots`` or any other word; ``place`` the place, or the
    plant that shoots are cut from; ``room`` in m2, hours or shoots.  ``step`` is by how much explanations
    loosen it, in the same unit; 0 stands for a tenth of the room.
    """

    row: str
    kind: str
    place: str
    week: date | None
    room: float
    step: float = 0.0


@dataclass(frozen=True, slots=True)
class Option:
    """One way to make a batch for a want: wood, method, week and plant.

    ``use_each`` is the expected use of a row by one cutting, ``use_once`` by the batch as such; costs are
    money for one cutting and for the batch.
    """

    option: str
    taxon: str
    wood: str
    method: str
    week: date
    plant: str
    n_per_container: int
    cost_each: float
    cost_once: float
    use_each: Mapping[str, float] = field(default_factory=dict)
    use_once: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Want:
    """So many plants by a day with an assurance, and all the ways to make them.

    ``value_each`` is what a plant that is not made counts as, in money; None where nobody has said.
    ``mark`` stands for all that the draws of the want depend on; where it is empty the draws themselves
    are digested.
    """

    want: str
    taxon: str
    n_wanted: int
    due: date
    assurance: float
    options: tuple[Option, ...]
    value_each: float | None = None
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """A batch already stuck for a want, and the room it is expected to take from now on."""

    batch: str
    want: str
    use: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Season:
    """All that one programme is made of."""

    wants: tuple[Want, ...]
    rows: tuple[Row, ...]
    standing: tuple[Standing, ...] = ()

    def __post_init__(self) -> None:
        _once("wants", (want.want for want in self.wants))
        _once("rows", (row.row for row in self.rows))
        for row in self.rows:
            if not (np.isfinite(row.room) and row.room >= 0):
                raise BadArgument("room", "be 0 or more", row.room)
        known = {row.row for row in self.rows}
        for want in self.wants:
            _check(want, known)
        for batch in self.standing:
            _known(batch.use, known)


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """Draws for one want.

    ``ready`` has a row an option asked for, the share of its cuttings ready by the due day, one column a
    draw; ``standing`` how many plants the batches already stuck will have ready, by draw.
    """

    ready: NDArray[np.floating]
    standing: NDArray[np.number] | None = None


@dataclass(frozen=True, slots=True)
class Effort:
    """How far the search for whole plans goes.

    Groups of ``n_wants`` wants are settled anew, over at most ``n_rounds`` rounds: first with ``n_plans``
    plans of each by branching over ``n_nodes`` nodes, and after ``in_vain`` rounds that brought nothing with
    twice the plans and thrice the nodes, for half as many in vain; it ends sooner within ``near`` of the
    bound.
    """

    n_rounds: int = 24
    n_wants: int = 12
    n_plans: int = 12
    n_nodes: int = 30
    near: float = 0.003
    in_vain: int = 6


#: called with a want, the places of options among its options, the number of draws and a seed
Draws = Callable[[Want, tuple[int, ...], int, int], Drawn]


def _once(name: str, ids: Iterable[str]) -> None:
    for one, times in Counter(ids).items():
        if times > 1:
            raise BadArgument(name, "each have an id of their own", one)


def _known(use: Mapping[str, float], known: set[str]) -> None:
    for row, amount in use.items():
        if row not in known:
            raise BadArgument("use", "be of rows there are", row)
        if not (math.isfinite(amount) and amount >= 0):
            raise BadArgument("use", "be 0 or more", amount)


def _check(want: Want, known: set[str]) -> None:
    if want.n_wanted < 1:
        raise BadArgument("n_wanted", "be 1 or more", want.n_wanted)
    if not 0 < want.assurance < 1:
        raise BadArgument("assurance", "lie above 0 and below 1", want.assurance)
    if want.value_each is not None and not (np.isfinite(want.value_each) and want.value_each >= 0):
        raise BadArgument("value_each", "be 0 or more", want.value_each)
    _once("options", (option.option for option in want.options))
    for option in want.options:
        if option.n_per_container < 1:
            raise BadArgument("n_per_container", "be 1 or more", option.n_per_container)
        for cost in (option.cost_each, option.cost_once):
            if not (math.isfinite(cost) and cost >= 0):
                raise BadArgument("cost_each and cost_once", "be 0 or more", cost)
        _known(option.use_each, known)
        _known(option.use_once, known)
