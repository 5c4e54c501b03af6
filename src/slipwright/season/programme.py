"""The answer: what to stick in which week, what that promises, and what stops the rest."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Line:
    """One batch of the programme."""

    week: date
    want: str
    option: str
    taxon: str
    wood: str
    method: str
    plant: str
    n_to_stick: int
    n_containers: int
    cost: float


@dataclass(frozen=True, slots=True)
class Stop:
    """What stops a want.

    ``limit`` is ``no_option`` (nothing can be stuck in time), ``chance`` (no number stuck gives the
    assurance), ``together`` (limits that are harmless one by one) or the kind of the rows that are too
    tight; ``alone`` tells that it would be too tight even
    if the want were the only one.
    """

    limit: str
    rows: tuple[str, ...]
    alone: bool


@dataclass(frozen=True, slots=True)
class WantPlan:
    """What a want gets.

    ``planned`` is how many plants its batches give with the assurance wished (`n_wanted`, or fewer where it
    falls short), ``promised`` the probability of `n_wanted` or more on fresh draws, ``promised_planned``
    that of ``planned`` or more.  ``ready`` are the plants ready by the day on fresh draws, 8 times in 10
    between the first and the last; ``standing_ready`` those of batches already stuck alone.
    """

    want: str
    n_wanted: int
    assurance: float
    planned: int
    promised: float
    promised_planned: float
    short_by: int
    stopped_by: tuple[Stop, ...]
    value_each: float
    is_value_stated: bool
    ready: tuple[int, int, int] = (0, 0, 0)
    standing_ready: tuple[int, int, int] = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class Load:
    """Expected use of a row, batches already stuck with it, against its room."""

    row: str
    kind: str
    place: str
    week: date | None
    used: float
    room: float


@dataclass(frozen=True, slots=True)
class Loosened:
    """What more room would bring, found by solving again with it.

    ``gain`` is what cost and penalty together go down by; ``saves`` money alone, below 0 where more plants
    are made for it; ``more_plants`` the plants that wants fall short by less; ``rows`` all rows that were
    loosened together, of one place and weeks without a gap.
    """

    row: str
    by: float
    gain: float
    saves: float
    more_plants: float
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Seconds:
    """How long each part took, on the wall [s]."""

    listing: float
    solving: float
    promising: float
    explaining: float


@dataclass(frozen=True, slots=True)
class Programme:
    """A season's programme.

    ``cost`` is money; ``penalty`` what the plants that are not made count as; ``moves`` what changing
    announced weeks counts as; ``bound`` the least that the three together can be over all plans listed;
    ``gap`` how far above it they lie, as a share of them.
    """

    lines: tuple[Line, ...]
    wants: tuple[WantPlan, ...]
    loads: tuple[Load, ...]
    loosened: tuple[Loosened, ...]
    cost: float
    penalty: float
    moves: float
    bound: float
    gap: float
    n_plans: int
    seconds: Seconds
    seed: int


class NotSolved(RuntimeError):
    """HiGHS gave no answer that can be used; carries what it said.

    Parameters
    ----------
    said : str
        Its message.

    References
    ----------
    Not a figure.

    Examples
    --------
    >>> raise NotSolved("infeasible")
    Traceback (most recent call last):
    slipwright.season.programme.NotSolved: infeasible
    """

    def __init__(self, said: str) -> None:
        super().__init__(said)
        self.said = said
