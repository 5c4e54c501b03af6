"""What a mist bed teaches: its own factor, from leaves seen dry and medium seen soggy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from slipwright.craft.errors import BadArgument

Seen = Literal["leaves-dry", "medium-soggy"]
STEP: Final[dict[Seen, float]] = {"leaves-dry": 0.75, "medium-soggy": 1.25}
"""What each makes of the time between bursts [-]."""
LEAST: Final = 0.25
"""No bed is misted more often than this makes it [-]."""
MOST: Final = 4.0
"""Nor less often [-]."""
HALF_LIFE_DAYS: Final = 60.0
"""What was learned weighs half as much after so long: leaves, season and nozzles change [d]."""
ONE_SEEING: Final = timedelta(hours=1)
"""The same seen again so soon is one seeing: the new times have not had their turn."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A thing seen at a bed and the factor after it; ``counted`` is False where it was seen just before."""

    at: datetime
    seen: Seen
    factor: float
    counted: bool


def bed_history(seen: Iterable[tuple[datetime, str]]) -> list[Learned]:
    """Return what was seen at a bed with the factor each time, oldest first.

    Parameters
    ----------
    seen : iterable of (datetime, str)
        When, and ``leaves-dry`` or ``medium-soggy``; in any order.

    Returns
    -------
    list of Learned
        One for each.

    Notes
    -----
    The factor is a product: each seeing shortens (0.75) or lengthens (1.25) the time between bursts, and
    what came before is drawn towards 1, half of its logarithm gone in 60 days. It stays within 0.25 and 4.
    The same seen again within the hour counts once.

    References
    ----------
    Our own rule; the steps, the time and the bounds are our estimates.

    Examples
    --------
    >>> noon = datetime(2026, 7, 1, 12)
    >>> again = noon + timedelta(minutes=5)
    >>> [one.factor for one in bed_history([(noon, "leaves-dry"), (again, "leaves-dry")])]
    [0.75, 0.75]
    """
    told: list[Learned] = []
    factor, last, counted_at = 1.0, None, dict[str, datetime]()
    for at, word in sorted(seen, key=lambda one: one[0]):
        if word not in STEP:
            raise BadArgument("seen", "be leaves-dry or medium-soggy", word)
        before = counted_at.get(word)
        counts = before is None or at - before >= ONE_SEEING
        if counts:
            factor = _held(_faded(factor, at - last if last else timedelta()) * STEP[word])
            last = at
            counted_at = {word: at}  # the other word in between begins anew
        told.append(Learned(at, word, factor, counts))
    return told


def bed_factor(seen: Iterable[tuple[datetime, str]], at: datetime) -> float:
    """Return what a bed's time between bursts is multiplied by, at a moment.

    Parameters
    ----------
    seen : iterable of (datetime, str)
        When, and ``leaves-dry`` or ``medium-soggy``; what lies after ``at`` is left out.
    at : datetime
        The moment asked for.

    Returns
    -------
    float
        1 where nothing was seen; below 1 the bed wants mist more often [-].

    References
    ----------
    As `bed_history`.

    Examples
    --------
    >>> noon = datetime(2026, 7, 1, 12)
    >>> bed_factor([(noon, "leaves-dry")], noon)
    0.75
    >>> print(round(bed_factor([(noon, "leaves-dry")], noon + timedelta(days=60)), 3))
    0.866
    """
    told = [one for one in bed_history(one for one in seen if one[0] <= at) if one.counted]
    return _held(_faded(told[-1].factor, at - told[-1].at)) if told else 1.0


def _faded(factor: float, passed: timedelta) -> float:
    weighs: float = 0.5 ** (passed / timedelta(days=HALF_LIFE_DAYS))
    return float(factor**weighs)


def _held(factor: float) -> float:
    return float(min(max(factor, LEAST), MOST))
