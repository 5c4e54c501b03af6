"""How much of what is believed is still what was believed before any record, and in words."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from slipwright.craft.said import Said
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import ClockDraws, Kind, before_records
from slipwright.rooting.ranges import SHARE_EDGE, Array


def prior_share(clocks: ClockDraws, cuttings: Cuttings, kind: Kind, patience_days: float) -> float:
    """How much of what is said of a batch's rooted share is still what was believed before any record.

    Parameters
    ----------
    clocks : ClockDraws
        Draws of the batch's clocks, looks and records counted in.
    cuttings : Cuttings
        What was stuck.
    kind : Kind
        Where it stands in the tree of effects.
    patience_days : float
        Days after sticking at which waiting ends [days].

    Returns
    -------
    float
        Between 0 and 1 [-].

    Notes
    -----
    `share_left` of the log odds of the share rooted by the end of patience: it falls where the range narrows
    and where its middle moves. Shares nearer than 0.002 to an end count as 0.002 away.

    References
    ----------
    As `share_left`.

    Examples
    --------
    >>> rose = Kind("Rosa", "Rosa", "semi-hardwood", "2026")
    >>> prior_share(before_records().clocks(Cuttings(), rose), Cuttings(), rose, 120)
    1.0
    """
    return share_of_prior(fates(clocks, [patience_days])[0, 0], cuttings, kind, patience_days)


def share_of_prior(rooted: Array, cuttings: Cuttings, kind: Kind, patience_days: float) -> float:
    """As `prior_share`, from the shares themselves.

    Parameters
    ----------
    rooted : array of shape (n_draws,)
        Draws of the share rooted by the end of patience [-].
    cuttings : Cuttings
        What was stuck.
    kind : Kind
        Where it stands in the tree of effects.
    patience_days : float
        Days after sticking at which waiting ends [days].

    Returns
    -------
    float
        Between 0 and 1 [-].

    References
    ----------
    As `prior_share`.

    Examples
    --------
    >>> rose = Kind("Rosa", "Rosa", "semi-hardwood", "2026")
    >>> share_of_prior(np.full(9, 0.7), Cuttings(), rose, 120)
    0.0
    """
    mean, sd = _log_odds(rooted)
    prior_mean, prior_sd = _prior_log_odds(cuttings, kind.offset, patience_days)
    return share_left(sd, prior_sd, mean - prior_mean)


def share_left(sd: float, prior_sd: float, shift: float) -> float:
    """How much of a belief is left after records: all where it stands as it did, none where it is certain.

    Parameters
    ----------
    sd : float
        Standard deviation of what is believed now [-].
    prior_sd : float
        The same before any record [-].
    shift : float
        How far the middle has moved [-].

    Returns
    -------
    float
        Between 0 and 1 [-].

    Notes
    -----
    min(1, (sd/prior_sd)^2) exp(-(shift/prior_sd)^2/2). The first factor is the weight a normal prior has in
    the mean after records; the second the density it gives to the middle of now, over that at its own. It is
    1 only where neither width nor middle has changed (or the width has grown).

    References
    ----------
    The weight of a normal prior: definition. Their product is our own measure.

    Examples
    --------
    >>> share_left(1.0, 1.0, 0.0), share_left(0.5, 1.0, 0.0), round(share_left(1.0, 1.0, 2.0), 3)
    (1.0, 0.25, 0.135)
    """
    wide = max(prior_sd, 1e-9)
    return min((sd / wide) ** 2, 1.0) * math.exp(-((shift / wide) ** 2) / 2)


@lru_cache(maxsize=4096)
def _prior_log_odds(
    cuttings: Cuttings, offset: tuple[float, float], patience_days: float
) -> tuple[float, float]:
    # before any record no plant differs from another but by its page's offset
    anywhere = Kind("", "", cuttings.wood, "", offset=offset)
    return _log_odds(fates(before_records().clocks(cuttings, anywhere), [patience_days])[0, 0])


def _log_odds(rooted: Array) -> tuple[float, float]:
    """Mean and standard deviation of the log odds."""
    share = np.clip(rooted, SHARE_EDGE, 1 - SHARE_EDGE)
    odds = np.log(share) - np.log1p(-share)
    return float(odds.mean()), float(odds.std())


def share_in_words(share: float, *, from_page: bool = True) -> str:
    """Return in words how much of an answer is still the prior's.

    Parameters
    ----------
    share : float
        Between 0 and 1 [-].
    from_page : bool
        Whether a page of the handbook stands behind the prior.

    Returns
    -------
    str
        A sentence.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> share_in_words(0.4)
    'About 4 parts in 10 of it are still what the handbook holds likely.'
    """
    tenths = round(10 * share)
    if tenths >= 9:
        if from_page:
            return Said("Nearly all of it is still what the handbook holds likely.")
        return Said("Nearly all of it is still what holds for any plant.")
    if tenths <= 1:
        if from_page:
            return Said("Hardly any of it is still what the handbook holds likely.")
        return Said("Hardly any of it is still what holds for any plant.")
    if from_page:
        return Said("About {n} parts in 10 of it are still what the handbook holds likely.", n=tenths)
    return Said("About {n} parts in 10 of it are still what holds for any plant.", n=tenths)
