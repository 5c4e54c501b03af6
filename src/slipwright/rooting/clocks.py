"""The two clocks of a batch, rooting and loss, as far as the handbook's ranges tell them.

Until there are records to learn from, a batch is described by four things: which share roots,
which share is lost, on which days the rooted ones root, and how long it is worth waiting.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from slipwright.handbook.pages import Wood, WoodLeaf
from slipwright.rooting.ranges import (
    Z90,
    Array,
    SplitNormal,
    normal_cdf,
    share_curve,
    share_of_logit,
    split_normal,
)

#: how much of the spread of rooting days (as variance) cuttings of one batch have in common
DAYS_IN_COMMON = 0.5
#: how batches that root well lose few: correlation of the two shares on their own scales
ROOTED_WITH_LOST = -0.9
#: shares drawn above this leave no room for doubt
MOST_ROOTED = 0.995


@dataclass(frozen=True, slots=True)
class Clocks:
    """Rooting and loss of one kind of batch.

    ``rooted`` and ``lost`` are shares by the patience limit on the logit scale, as they differ
    from batch to batch; ``log_days`` is the natural logarithm of the day on which one cutting
    roots, among those that root.
    """

    rooted: SplitNormal
    lost: SplitNormal
    log_days: SplitNormal
    patience_days: float
    #: whether a handbook page stands behind it
    from_page: bool = True

    @property
    def share_in_time(self) -> float:
        """Share of the cuttings that root at all which do so by the patience limit [-]."""
        score = self.log_days.score(np.array([math.log(self.patience_days)]))
        return float(normal_cdf(score)[0])

    def draws(self, z: Array) -> tuple[Array, Array]:
        """Shares of a batch that root at all and that are lost, for scores of shape (3, n)."""
        ever = np.minimum(share_of_logit(self.rooted.at(z[0])) / self.share_in_time, MOST_ROOTED)
        score = ROOTED_WITH_LOST * z[0] + math.sqrt(1 - ROOTED_WITH_LOST**2) * z[1]
        lost = np.minimum(share_of_logit(self.lost.at(score)), 1 - ever)
        return ever, lost

    def rooted_by(self, days: Array, z: Array) -> Array:
        """Share of the cuttings that root at all which have done so, of shape (n_days, n_draws)."""
        score = self.log_days.score(np.log(np.maximum(days, 1e-9)))[:, None]
        common = math.sqrt(DAYS_IN_COMMON)
        return normal_cdf((score - common * z[2]) / math.sqrt(1 - DAYS_IN_COMMON))

    def lost_by(self, days: Array) -> Array:
        """Share of the cuttings lost in the end that are lost by each day, of shape (n_days,)."""
        return np.clip(days / self.patience_days, 0.0, 1.0)

    def with_odds(self, *, rooted: float = 1.0, lost: float = 1.0, days: float = 1.0) -> Clocks:
        """Return the same clocks with odds of rooting, odds of loss and days multiplied."""
        return replace(
            self,
            rooted=self.rooted.moved(math.log(rooted)),
            lost=self.lost.moved(math.log(lost)),
            log_days=self.log_days.moved(math.log(days)),
        )


def share_points(clocks: Clocks) -> tuple[float, float, float]:
    """10, 50 and 90 per cent points of the share of a batch that roots by the patience limit.

    Parameters
    ----------
    clocks : Clocks
        Rooting and loss of one kind of batch.

    Returns
    -------
    tuple of three float
        Shares between 0 and 1 [-].

    Notes
    -----
    The points of ``clocks.rooted``, back from the logit scale.

    References
    ----------
    As `clocks_of_leaf`.

    Examples
    --------
    >>> points = share_points(clocks_of_ranges((60, 70, 80), (5, 10, 20), (4, 6, 8), 90))
    >>> [round(point, 3) for point in points]
    [0.6, 0.7, 0.8]
    """
    at = share_of_logit(clocks.rooted.at(np.array([-Z90, 0.0, Z90])))
    return float(at[0]), float(at[1]), float(at[2])


def weeks_points(clocks: Clocks) -> tuple[float, float, float]:
    """10, 50 and 90 per cent points of the weeks one cutting takes, among those that root.

    Parameters
    ----------
    clocks : Clocks
        Rooting and loss of one kind of batch.

    Returns
    -------
    tuple of three float
        Weeks from sticking [weeks].

    Notes
    -----
    The points of ``clocks.log_days``, back from the logarithm, over 7.

    References
    ----------
    As `clocks_of_leaf`.

    Examples
    --------
    >>> points = weeks_points(clocks_of_ranges((60, 70, 80), (5, 10, 20), (4, 6, 8), 90))
    >>> [round(point, 3) for point in points]
    [4.0, 6.0, 8.0]
    """
    at = np.exp(clocks.log_days.at(np.array([-Z90, 0.0, Z90]))) / 7
    return float(at[0]), float(at[1]), float(at[2])


def clocks_of_ranges(
    rooted_percent: tuple[float, float, float],
    lost_percent: tuple[float, float, float],
    weeks: tuple[float, float, float],
    patience_days: float,
    *,
    from_page: bool = True,
) -> Clocks:
    """Rooting and loss of a kind of batch from 10, 50 and 90 per cent points.

    Parameters
    ----------
    rooted_percent, lost_percent : tuple of three float
        Share rooted and share lost by the patience limit, 10/50/90 from batch to batch [%].
    weeks : tuple of three float
        Weeks to root of one cutting, among those that root, 10/50/90 [weeks].
    patience_days : float
        Days after sticking at which waiting ends [days].
    from_page : bool
        Whether a handbook page stands behind the ranges.

    Returns
    -------
    Clocks
        The curves through these points.

    Raises
    ------
    ValueError
        If points fall, a share is outside 0 to 100, or weeks or patience are not positive.

    Notes
    -----
    Shares are split normal on the logit scale, days split normal on the logarithm.  Of a batch
    whose share that roots at all is f and whose share lost is l, the expected rooted and lost of
    n stuck after t days are n f G(t) and n l t/P, where P is the patience and G the log-normal of
    days, half of whose variance cuttings of one batch share: G(t) = Phi((g - sqrt(1/2) z) /
    sqrt(1/2)), g the score of ln t, z the score of the batch.  f is the handbook's share over
    G(P), so that the share by the patience limit is the handbook's.  f and l go together with
    correlation -.9, as what is lost cannot root; l is cut to 1 - f.
    Valid from sticking to a little past the patience limit; leafless cuttings are lost in spells
    rather than at a constant rate, which the ranges only cover on the whole.

    References
    ----------
    The constant rate of loss, the half in common and the correlation are our own: common practice, no source.

    Examples
    --------
    >>> clocks_of_ranges((60, 70, 80), (5, 10, 20), (4, 6, 8), 90).patience_days
    90
    """
    if patience_days <= 0:
        raise ValueError(f"patience_days must be above 0, not {patience_days}")
    if min(weeks) <= 0:
        raise ValueError(f"weeks must be above 0, not {weeks}")
    days = (math.log(7 * week) for week in weeks)
    return Clocks(
        rooted=share_curve(*(percent / 100 for percent in rooted_percent)),
        lost=share_curve(*(percent / 100 for percent in lost_percent)),
        log_days=split_normal(*days),
        patience_days=patience_days,
        from_page=from_page,
    )


def clocks_of_leaf(leaf: WoodLeaf, *, patience_days: float | None = None) -> Clocks:
    """Rooting and loss of one kind of wood by its leaf in the handbook.

    Parameters
    ----------
    leaf : WoodLeaf
        What the handbook says of one kind of wood of a plant.
    patience_days : float, optional
        The garden's own patience, in place of the handbook's [days].

    Returns
    -------
    Clocks
        The curves through the first spread of each quantity: the one the sums use.

    Notes
    -----
    See `clocks_of_ranges`.

    References
    ----------
    Each value carries its source or mark in the handbook.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> page = load_handbook().page_of("Rosa")
    >>> clocks_of_leaf(page.woods["hardwood"]).from_page
    True
    """
    rooted, lost, weeks = leaf.rooted_percent[0], leaf.lost_percent[0], leaf.weeks_to_root[0]
    return clocks_of_ranges(
        (rooted.p10, rooted.p50, rooted.p90),
        (lost.p10, lost.p50, lost.p90),
        (weeks.p10, weeks.p50, weeks.p90),
        leaf.patience_days.value if patience_days is None else patience_days,
    )


_WITHOUT_PAGE: dict[Wood, tuple[tuple[float, float, float], ...]] = {
    "softwood": ((10, 50, 88), (8, 28, 65), (2, 3.5, 6)),
    "semi-hardwood": ((15, 60, 90), (6, 20, 55), (4, 6.5, 11)),
    "hardwood": ((10, 50, 88), (5, 18, 55), (7, 13, 22)),
}
_PATIENCE_WITHOUT_PAGE: dict[Wood, float] = {"softwood": 70, "semi-hardwood": 120, "hardwood": 210}


def clocks_without_page(wood: Wood, *, patience_days: float | None = None) -> Clocks:
    """Rooting and loss of a kind of wood of a plant the handbook does not know.

    Parameters
    ----------
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.
    patience_days : float, optional
        The garden's own patience, in place of 70, 120 or 210 [days].

    Returns
    -------
    Clocks
        Curves wide enough for nearly any shrub.

    Raises
    ------
    ValueError
        If the wood is not one of the three.

    Notes
    -----
    Rooted 10/50/88, 15/60/90 and 10/50/88 %, weeks 2/3.5/6, 4/6.5/11 and 7/13/22 for softwood,
    semi-hardwood and hardwood.

    References
    ----------
    Our own, wide on purpose: common practice, no source.

    Examples
    --------
    >>> clocks_without_page("softwood").from_page
    False
    """
    if wood not in _WITHOUT_PAGE:
        raise ValueError(f"wood must be one of {', '.join(_WITHOUT_PAGE)}, not {wood!r}")
    rooted, lost, weeks = _WITHOUT_PAGE[wood]
    limit = _PATIENCE_WITHOUT_PAGE[wood] if patience_days is None else patience_days
    return clocks_of_ranges(
        (rooted[0], rooted[1], rooted[2]),
        (lost[0], lost[1], lost[2]),
        (weeks[0], weeks[1], weeks[2]),
        limit,
        from_page=False,
    )
