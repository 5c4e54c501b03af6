"""What a batch not yet stuck will likely do: which share roots, in how many weeks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import Kind, Learned
from slipwright.rooting.ranges import Array

Points = tuple[float, float, float]
_POINTS = (0.1, 0.5, 0.9)
#: days of the curve that the weeks are read from
_N_DAYS = 64


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """Shares of a batch that root in time, by draw, and the weeks one cutting takes that does.

    ``p_rooted`` are the 10, 50 and 90 per cent points from batch to batch, ``weeks_to_root`` those from
    cutting to cutting.
    """

    rooted: Array
    p_rooted: Points
    weeks_to_root: Points
    patience_days: float


def outlook_of(learned: Learned, cuttings: Cuttings, kind: Kind, patience_days: float) -> Outlook:
    """Return what a batch not yet stuck will likely do.

    Parameters
    ----------
    learned : Learned
        What is known: draws of the prior, or of what records taught.
    cuttings : Cuttings
        What is to be stuck.
    kind : Kind
        Where it will stand among plants and seasons.
    patience_days : float
        Days after sticking at which waiting ends [days].

    Returns
    -------
    Outlook
        Shares rooted by the end of patience, and weeks.

    Notes
    -----
    Shares by `slipwright.rooting.curves.fates`.  Weeks: points of the mean curve of the rooted over all
    draws, as a share of those rooted by the end of patience, read between days evenly.

    References
    ----------
    As `slipwright.rooting.learned`.

    Examples
    --------
    >>> from slipwright.rooting.learned import before_records
    >>> rose = Kind("Rosa", "Rosa", "semi-hardwood", "2026")
    >>> outlook = outlook_of(before_records(), Cuttings(), rose, 120)
    >>> outlook.p_rooted == tuple(sorted(outlook.p_rooted))
    True
    """
    days = np.linspace(0, patience_days, _N_DAYS)
    rooted = fates(learned.clocks(cuttings, kind), days)[0]
    low, middle, high = np.quantile(rooted[-1], _POINTS).tolist()
    curve = rooted.mean(axis=1)
    early, usual, late = (np.interp(_POINTS, curve / curve[-1], days) / 7).tolist()
    return Outlook(rooted[-1], (low, middle, high), (early, usual, late), patience_days)
