"""How far genera, taxa, seasons and batches lie apart, in coordinates whose prior is a standard normal.

The nine unknown spreads are eight standard deviations, half-normal, and the correlation of a batch's two
effects.  Each is written as a function of a score psi with a standard normal prior: in these coordinates
the posterior is near enough to a normal to be searched and integrated over.
"""

from __future__ import annotations

import numpy as np

from slipwright.rooting.ranges import Array

#: scales of the half-normal priors of the standard deviations on rooting and on loss
SPREADS: dict[str, tuple[float, float]] = {
    "genus": (0.6, 0.5),
    "taxon": (0.6, 0.5),
    "season": (0.3, 0.3),
    "batch": (0.5, 0.5),
}
#: standard deviation of the effects of a taxon's woods on both clocks: fixed, few gardens could tell it
WOOD_SD = 0.4
#: scale of the correlation of a batch's two effects: tanh of a normal with this standard deviation
TOGETHER_SCALE = 0.5
N_SPREADS = 9


def standard_deviations(psi: Array) -> Array:
    """Return standard deviations of the effects at some scores.

    Parameters
    ----------
    psi : array of shape (..., 9)
        Scores: genus, taxon, season, batch on rooting, then on loss, then the correlation [-].

    Returns
    -------
    array of shape (..., 8)
        Standard deviations in the same order [-].

    Notes
    -----
    sd = tau Phi^-1((1 + Phi(psi)) / 2), so that sd is half-normal with scale tau where psi is standard
    normal.

    References
    ----------
    The half-normal distribution by its quantile; the scales are our own: common practice, no source.

    Examples
    --------
    >>> standard_deviations(np.zeros(9)).round(3).tolist()
    [0.405, 0.405, 0.202, 0.337, 0.337, 0.337, 0.202, 0.337]
    """
    from scipy.special import erfinv, log_ndtr, ndtr, ndtri_exp

    score = psi[..., :8]
    # exact in both tails: (1 - Phi(psi)) / 2 where Phi nears 1, the inverse error function where it nears 0
    low = np.sqrt(2) * erfinv(ndtr(np.minimum(score, 0)))
    high = -ndtri_exp(log_ndtr(-np.maximum(score, 0)) - np.log(2))
    return np.asarray(_SCALES * np.where(score < 0, low, high))


def sd_slopes(psi: Array) -> Array:
    """Return derivatives of the logarithms of the standard deviations in their scores, (..., 8).

    Parameters
    ----------
    psi : array of shape (..., 9)
        Scores [-].

    Returns
    -------
    array of shape (..., 8)
        d ln sd / d psi [-].

    Notes
    -----
    With u = sd/tau: du/dpsi = phi(psi) / (2 phi(u)).

    References
    ----------
    Definition.

    Examples
    --------
    >>> bool((sd_slopes(np.zeros(9)) > 0).all())
    True
    """
    psi8 = psi[..., :8]
    u = standard_deviations(psi) / _SCALES
    return np.asarray(np.exp((u**2 - psi8**2) / 2) / (2 * u))


def together_of(psi: Array) -> Array:
    """Correlation of a batch's effects on rooting and on loss at some scores.

    Parameters
    ----------
    psi : array of shape (..., 9)
        Scores [-].

    Returns
    -------
    array of shape (...,)
        Correlation, above -1 and below 1 [-].

    Notes
    -----
    tanh(psi / 2) of the last score.

    References
    ----------
    Our own: common practice, no source.

    Examples
    --------
    >>> float(together_of(np.zeros(9)))
    0.0
    """
    return np.asarray(np.tanh(TOGETHER_SCALE * psi[..., 8]))


def together_slope(psi: Array) -> Array:
    """Slope of the correlation of a batch's effects in its score.

    Parameters
    ----------
    psi : array of shape (..., 9)
        Scores [-].

    Returns
    -------
    array of shape (...,)
        d correlation / d psi [-].

    Notes
    -----
    (1 - correlation^2) / 2.

    References
    ----------
    Definition.

    Examples
    --------
    >>> float(together_slope(np.zeros(9)))
    0.5
    """
    return np.asarray(TOGETHER_SCALE * (1 - together_of(psi) ** 2))


_SCALES = np.array([scale for clock in (0, 1) for scale in (pair[clock] for pair in SPREADS.values())])


def precisions(psi: Array) -> list[Array]:
    """Prior precisions of the effects, level by level from genus to batch.

    Parameters
    ----------
    psi : array of shape (n_points, 9)
        Scores [-].

    Returns
    -------
    list of array of shape (n_points, 2, 2)
        Inverse covariances of a node's effects on rooting and on loss [-].

    Notes
    -----
    Diagonal but for the batch, whose two effects have a correlation; the wood's are fixed.

    References
    ----------
    Definition.

    Examples
    --------
    >>> [round(float(one[0, 0, 0]), 2) for one in precisions(np.zeros((1, 9)))]
    [6.11, 6.11, 6.25, 24.42, 8.79]
    """
    from slipwright.rooting.tree import inverse

    found = [inverse(_covariance(psi, level)) for level in SPREADS]
    fixed = np.tile(np.eye(2) / WOOD_SD**2, (len(psi), 1, 1))
    return [*found[:2], fixed, *found[2:]]


def _covariance(psi: Array, level: str) -> Array:
    at = list(SPREADS).index(level)
    sds = standard_deviations(psi)[:, [at, at + 4]]
    together = together_of(psi) if level == "batch" else np.zeros(len(psi))
    off = together * sds[:, 0] * sds[:, 1]
    rows = np.stack([sds[:, 0] ** 2, off, off, sds[:, 1] ** 2], axis=-1)
    return rows.reshape(-1, 2, 2)


def precision_slopes(psi: Array) -> list[tuple[int, int, Array]]:
    """How the precisions change with each score.

    Parameters
    ----------
    psi : array of shape (n_points, 9)
        Scores [-].

    Returns
    -------
    list of (score, level, array of shape (n_points, 2, 2))
        Derivative of the precision of that level, counted from the genus, in that score.

    Notes
    -----
    dW = -W dC W, with C the covariance and W its inverse.

    References
    ----------
    Definition.

    Examples
    --------
    >>> [(score, level) for score, level, _ in precision_slopes(np.zeros((1, 9)))][:3]
    [(0, 0), (4, 0), (1, 1)]
    """
    slopes, weights = sd_slopes(psi), precisions(psi)
    found = []
    for at, level in enumerate(SPREADS):
        covariance = _covariance(psi, level)
        depth = at + (at > 1)
        changes = []
        for clock in (0, 1):
            change = np.zeros_like(covariance)
            change[:, clock, :] += covariance[:, clock, :]
            change[:, :, clock] += covariance[:, :, clock]
            changes.append((at + 4 * clock, change * slopes[:, at + 4 * clock, None, None]))
        if level == "batch":
            change = np.zeros_like(covariance)
            sds = standard_deviations(psi)[:, [at, at + 4]].prod(axis=1)
            change[:, 0, 1] = change[:, 1, 0] = sds * together_slope(psi)
            changes.append((8, change))
        w = weights[depth]
        found += [(score, depth, -w @ change @ w) for score, change in changes]
    return found
