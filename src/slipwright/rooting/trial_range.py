"""How many units a trial needs when the usual share and the spread of units are only half known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slipwright.craft.errors import BadArgument
from slipwright.rooting.trial_sizes import BATCH_SPREAD, MOST_ARMS, units_needed

#: how many times the spread that is expected it may well be, low, middle and high: common practice, no source
SPREAD_TIMES = (0.5, 1.0, 1.6)
#: no share of an arm is taken to lie nearer to none or all than this
EDGE = 0.03


@dataclass(frozen=True)
class UnitsNeeded:
    """Units an arm that a trial needs: as expected, and the fewest and most of what may well be so [1].

    None where more than 1,000 would be needed.
    """

    likely: int | None
    fewest: int | None
    most: int | None


def shares_of_arms(usual_share: float, matters: float, n_arms: int) -> Mapping[str, float]:
    """Return the shares a trial is planned with: the first arm's, and all others better by what matters.

    Parameters
    ----------
    usual_share : float
        Share that roots the usual way [-].
    matters : float
        Smallest difference of shares that would be acted upon [-].
    n_arms : int
        Arms of the trial, the usual way included [1].

    Returns
    -------
    mapping of str to float
        Share by arm, A first [-]; where nothing can be better by so much, the others are worse by it.

    Raises
    ------
    BadArgument
        If the difference lies outside 0.01 to 0.9, or there are fewer than 2 arms or too many.

    References
    ----------
    Our own rule.

    Examples
    --------
    >>> {arm: round(share, 2) for arm, share in shares_of_arms(0.9, 0.2, 2).items()}
    {'A': 0.9, 'B': 0.7}
    """
    if not 0.01 <= matters <= 0.9:
        raise BadArgument("matters", "lie from 0.01 to 0.9", matters)
    if not 2 <= n_arms <= MOST_ARMS:
        raise BadArgument("n_arms", f"be from 2 to {MOST_ARMS}", n_arms)
    first = min(max(usual_share, EDGE), 1 - EDGE)
    other = first + matters if first + matters <= 1 - EDGE else first - matters
    if not EDGE <= other <= 1 - EDGE:
        other = 1 - EDGE if first < 0.5 else EDGE
    return {chr(ord("A") + at): first if at == 0 else other for at in range(n_arms)}


def range_of_units(
    usual_share: tuple[float, float, float],
    matters: float,
    *,
    n_arms: int = 2,
    n_per_unit: int = 8,
    spread: float = BATCH_SPREAD,
    power: float = 0.8,
) -> UnitsNeeded:
    """Return the units an arm that a trial needs, with its range.

    Parameters
    ----------
    usual_share : tuple of three float
        10, 50 and 90 per cent points of the share that roots the usual way [-].
    matters : float
        Smallest difference of shares that would be acted upon [-].
    n_arms : int
        Arms of the trial [1].
    n_per_unit : int
        Cuttings in each unit [1].
    spread : float
        Standard deviation of units of the same arm on the logit scale that is expected [-].
    power : float
        Chance wished to tell each arm from the first [-].

    Returns
    -------
    UnitsNeeded
        At the middle of both; and the fewest and most where either is as low or high as may well be.

    References
    ----------
    `slipwright.rooting.trial_sizes.units_needed` at nine points; our own rule.

    Examples
    --------
    >>> range_of_units((0.4, 0.5, 0.6), 0.2)
    UnitsNeeded(likely=17, fewest=12, most=23)
    """

    def needed(share: float, times: float) -> int | None:
        arms = shares_of_arms(share, matters, n_arms)
        return units_needed(arms, power=power, spread=times * spread, n_per_unit=n_per_unit)

    found = [needed(share, times) for share in usual_share for times in SPREAD_TIMES]
    known = [n for n in found if n is not None]
    return UnitsNeeded(
        needed(usual_share[1], 1.0),
        min(known, default=None),
        max(known) if len(known) == len(found) else None,
    )
