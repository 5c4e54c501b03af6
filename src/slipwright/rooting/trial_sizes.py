"""How many units of how many cuttings a trial needs, when units of the same arm differ."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from slipwright.craft.errors import BadArgument
from slipwright.rooting._trial_limits import MOST_UNITS, check_shares, check_sizes
from slipwright.rooting.spreads import SPREADS
from slipwright.rooting.trial_arms import chance_of_false_alarm, power_of_all
from slipwright.rooting.trial_power import power_to_tell

#: spread of units on the logit scale when nothing better is known: that of the garden's batches
BATCH_SPREAD = SPREADS["batch"][0]
#: cuttings a unit that are looked at beside the one asked for: common practice, no source
USUAL_PER_UNIT = (1, 2, 4, 6, 8, 12, 16, 24, 48)
MOST_ARMS = 24


@dataclass(frozen=True)
class Size:
    """One way to size a trial, and its power: the chance to tell the least certain arm from the first.

    ``power_all`` is the chance that all arms are told from the first in one trial.
    """

    n_per_unit: int
    n_units_per_arm: int
    n_cuttings: int
    power: float
    power_all: float


@dataclass(frozen=True)
class TrialPlan:
    """The size of a trial, other sizes of the same power, and each pair's own power.

    ``p_false_alarm`` is the chance that some arm is told from the first where none differs.
    """

    shares: Mapping[str, float]
    spread: float
    power_wished: float
    size: Size
    alternatives: tuple[Size, ...]
    pairs: tuple[tuple[str, str, float], ...]
    p_false_alarm: float

    @property
    def n_units(self) -> int:
        """Units in all arms."""
        return self.size.n_units_per_arm * len(self.shares)

    @property
    def verdict(self) -> str:
        """What to do, in one sentence."""
        size, reached = self.size, _in_100(self.size.power)
        differ = (
            "units that are all alike" if self.spread == 0 else f"units that differ (spread {self.spread:g})"
        )
        told = f"tell the arms apart {reached} times in 100"
        if len(self.shares) > 2:
            told = (
                f"tell each arm from the first {reached} times in 100, and all of them "
                f"{_in_100(size.power_all)} times in 100,"
            )
        return (
            f"{_many(size.n_units_per_arm, 'unit')} an arm of {_many(size.n_per_unit, 'cutting')} each, "
            f"{size.n_cuttings:,} in all, {told} if they root as expected, with {differ}."
        )

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to be wary of: with several arms chance finds more."""
        if len(self.shares) == 2:
            return ()
        return (
            f"With {len(self.shares)} arms some arm is told from the first about "
            f"{math.ceil(100 * self.p_false_alarm)} times in 100 though none differs: "
            "do again what was found before you rely on it.",
        )

    def as_json(self) -> dict[str, Any]:
        """Return the size as it stands in ``trial plan --json``."""
        return {
            "arms": [{"arm": arm, "share": share} for arm, share in self.shares.items()],
            "spread": self.spread,
            "power_wished": self.power_wished,
            "power": self.size.power,
            "power_all": self.size.power_all,
            "p_false_alarm": self.p_false_alarm,
            "n_units_per_arm": self.size.n_units_per_arm,
            "n_per_unit": self.size.n_per_unit,
            "n_units": self.n_units,
            "n_cuttings": self.size.n_cuttings,
            "pairs": [{"arm": arm, "against": first, "power": power} for first, arm, power in self.pairs],
            "alternatives": [asdict(size) for size in self.alternatives],
            "verdict": self.verdict,
        }


def _in_100(chance: float) -> int:
    return math.floor(100 * chance)


def _many(n: int, what: str) -> str:
    return f"{n:,} {what}" if n == 1 else f"{n:,} {what}s"


def plan_trial(
    shares: Mapping[str, float], *, power: float = 0.8, spread: float = BATCH_SPREAD, n_per_unit: int = 8
) -> TrialPlan:
    """Return how many units a trial needs.

    Parameters
    ----------
    shares : mapping of str to float
        Expected share of each arm, over many units [-]; every other arm is to be told from the first.
    power : float
        Chance wished to tell each arm from the first, each taken alone [-].
    spread : float
        Standard deviation of units of the same arm on the logit scale [-].
    n_per_unit : int
        Cuttings in each unit [1].

    Returns
    -------
    TrialPlan
        Fewest units an arm that give the power, and the same for other numbers of cuttings a unit.

    Raises
    ------
    BadArgument
        If an arm expects the same as the first, or no number of units up to 1,000 gives the power.

    Notes
    -----
    The power is each arm's own; that of all at once is less, and told beside it (`power_of_all`).
    More units of fewer cuttings always need fewer cuttings in all; the work of a unit is the other side.

    References
    ----------
    `power_to_tell`. The spread expected when none is given is the scale of the prior of the garden's
    batches: common practice, no source.

    Examples
    --------
    >>> plan_trial({"none": 0.5, "iba": 0.7}, spread=0, n_per_unit=1).size.n_units_per_arm
    93
    """
    if not 2 <= len(shares) <= MOST_ARMS:
        raise BadArgument("shares", f"hold 2 to {MOST_ARMS} arms", len(shares))
    if not 0.05 < power < 0.9999:
        raise BadArgument("power", "lie above 0.05 and below 0.9999", power)
    check_sizes(1, n_per_unit, spread)
    check_shares(list(shares.values()))
    first, *others = shares
    for arm in others:
        if abs(shares[arm] - shares[first]) < 1e-6:
            rule = f"differ from {shares[first]:g}, the share of {first}, for anything to be found"
            raise BadArgument(f"share of {arm}", rule, shares[arm])
    size = _least(shares, power, spread, n_per_unit)
    if size is None:
        rule = f"need at most {MOST_UNITS:,} units an arm (a larger difference, or more cuttings a unit)"
        raise BadArgument("shares", rule, dict(shares))
    found = (_least(shares, power, spread, n) for n in USUAL_PER_UNIT if n != n_per_unit)
    pairs = tuple(
        (first, arm, _power(shares, arm, size.n_units_per_arm, n_per_unit, spread)) for arm in others
    )
    false_alarm = chance_of_false_alarm(
        shares[first],
        len(shares),
        n_units_per_arm=size.n_units_per_arm,
        n_per_unit=n_per_unit,
        spread=spread,
    )
    return TrialPlan(
        dict(shares), spread, power, size, tuple(one for one in found if one), pairs, false_alarm
    )


def _power(shares: Mapping[str, float], arm: str, n_units: int, n_per_unit: int, spread: float) -> float:
    first = next(iter(shares))
    pair = (shares[first], shares[arm])
    return power_to_tell(
        pair, n_units_per_arm=n_units, n_per_unit=n_per_unit, spread=spread, n_arms=len(shares)
    )


def units_needed(
    shares: Mapping[str, float], *, power: float = 0.8, spread: float = BATCH_SPREAD, n_per_unit: int = 8
) -> int | None:
    """Return the fewest units an arm that tell every other arm from the first.

    Parameters
    ----------
    shares : mapping of str to float
        Expected share of each arm, over many units [-].
    power : float
        Chance wished to tell each arm from the first, each taken alone [-].
    spread : float
        Standard deviation of units of the same arm on the logit scale [-].
    n_per_unit : int
        Cuttings in each unit [1].

    Returns
    -------
    int or None
        Units an arm [1]; None where even 1,000 are too few.

    References
    ----------
    `slipwright.rooting.trial_power.power_to_tell`.

    Examples
    --------
    >>> units_needed({"none": 0.5, "iba": 0.7}), units_needed({"none": 0.5, "iba": 0.5001})
    (17, None)
    """
    return _fewest(shares, power, spread, n_per_unit)


def _lowest_power(shares: Mapping[str, float], n_units: int, n_per_unit: int, spread: float) -> float:
    return min(_power(shares, arm, n_units, n_per_unit, spread) for arm in list(shares)[1:])


def _fewest(shares: Mapping[str, float], power: float, spread: float, n_per_unit: int) -> int | None:
    """Fewest units an arm, by halving: power never falls with units."""
    low, high = 1, MOST_UNITS
    if _lowest_power(shares, high, n_per_unit, spread) < power:
        return None
    while low < high:
        middle = (low + high) // 2
        reached = _lowest_power(shares, middle, n_per_unit, spread) >= power
        low, high = (low, middle) if reached else (middle + 1, high)
    return low


def _least(shares: Mapping[str, float], power: float, spread: float, n_per_unit: int) -> Size | None:
    low = _fewest(shares, power, spread, n_per_unit)
    if low is None:
        return None
    least = _lowest_power(shares, low, n_per_unit, spread)
    of_all = least
    if len(shares) > 2:
        arms = list(shares.values())
        of_all = power_of_all(arms, n_units_per_arm=low, n_per_unit=n_per_unit, spread=spread)
    return Size(n_per_unit, low, low * n_per_unit * len(shares), least, min(of_all, least))
