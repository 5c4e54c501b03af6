"""What is believed before a trial: how far units lie apart, and how large effects are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from slipwright.craft.errors import BadArgument
from slipwright.rooting.ranges import Array

#: no trial has units that lie further apart than this: from 1 in 20,000 to all but as few
MOST_SPREAD = 10.0
#: spreads that are looked at beside a prior's own scale
_FORMS = "half-normal:SCALE, uniform:MOST or inverse-gamma:SHAPE,RATE"


@dataclass(frozen=True)
class SpreadPrior:
    """Prior of sigma, the standard deviation of unit effects on the logit scale, from 0 to 10.

    ``half-normal`` with its scale; ``uniform`` from 0 to ``first``; ``inverse-gamma`` on the variance
    with shape and rate (a gamma on its inverse).
    """

    kind: Literal["half-normal", "uniform", "inverse-gamma"] = "half-normal"
    first: float = 0.5
    second: float = 0.0

    def __post_init__(self) -> None:
        values = (self.first, self.second) if self.kind == "inverse-gamma" else (self.first,)
        if not all(math.isfinite(value) and value > 0 for value in values):
            raise BadArgument("spread_prior", f"have numbers above 0, as {_FORMS}", str(self))

    def __str__(self) -> str:
        tail = f",{self.second:g}" if self.kind == "inverse-gamma" else ""
        return f"{self.kind}:{self.first:g}{tail}"

    @property
    def most(self) -> float:
        """Spread above which nothing is looked for [-]."""
        own = {"half-normal": 6 * self.first, "uniform": self.first, "inverse-gamma": math.inf}
        return min(own[self.kind], MOST_SPREAD)

    def log_density(self, sigma: Array) -> Array:
        """Logarithm of the prior density of sigma, without its constant; -inf where it is nought."""
        if self.kind == "half-normal":
            return np.asarray(-0.5 * (sigma / self.first) ** 2)
        if self.kind == "uniform":
            return np.where(sigma <= self.first, 0.0, -np.inf)
        above = np.maximum(sigma, 1e-6)
        log = -(2 * self.first + 1) * np.log(above) - self.second / above**2
        return np.where(sigma > 0, log, -np.inf)


@dataclass(frozen=True)
class EffectPrior:
    """Normal priors about 0 on the logit scale: of the mean of all, and of what each level adds to it [-].

    Every level, the reference too, and every combination of levels that may act together adds something of
    its own, so that arms nothing was seen of are believed alike, whichever of them is the reference.
    """

    mean_sd: float = 2.0
    level_sd: float = 2.0

    def __post_init__(self) -> None:
        for name in ("mean_sd", "level_sd"):
            value = getattr(self, name)
            if not (math.isfinite(value) and 0 < value <= 1e6):
                raise BadArgument(name, "lie above 0 and be at most a million", value)

    def precision(self, adds: Array) -> Array:
        """Return the prior precision of terms that are sums of such parts, shape (n_terms, n_terms).

        ``adds`` has the shape (n_terms, n_parts), the mean of all first.
        """
        sds = np.full(adds.shape[1], float(self.level_sd))
        sds[0] = self.mean_sd
        scaled = adds * sds
        return np.asarray(np.linalg.inv(scaled @ scaled.T))


def spread_prior(text: str) -> SpreadPrior:
    """Return the prior of a spread from how it is written.

    Parameters
    ----------
    text : str
        ``half-normal:SCALE``, ``uniform:MOST`` or ``inverse-gamma:SHAPE,RATE`` (on the variance).

    Returns
    -------
    SpreadPrior
        The prior.

    Raises
    ------
    BadArgument
        If the text is none of these.

    References
    ----------
    Gelman 2006, Prior distributions for variance parameters in hierarchical models, Bayesian Analysis
    1, 515-534 (the three families; from memory).

    Examples
    --------
    >>> str(spread_prior("inverse-gamma:0.001,0.001"))
    'inverse-gamma:0.001,0.001'
    """
    kind, _, rest = text.partition(":")
    try:
        values = [float(part) for part in rest.split(",")]
    except ValueError:
        values = []
    n_values = {"half-normal": 1, "uniform": 1, "inverse-gamma": 2}
    if n_values.get(kind) != len(values):
        raise BadArgument("spread_prior", f"be {_FORMS}", text)
    return SpreadPrior(kind, *values)  # type: ignore[arg-type]
