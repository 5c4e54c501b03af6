"""Rooting hormone: diluting, weighing, salts and acids, alcohol, talc, and slips of ten times.

The product's label is law: where it gives a strength or a use, these sums do not set it aside. Liquids
are in mg/L, talc in mg/kg; the two are never turned into each other.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from slipwright.craft._salts import ATOMS_G_PER_MOL as ATOMS_G_PER_MOL
from slipwright.craft._salts import MOLAR_G as MOLAR_G
from slipwright.craft._salts import Auxin as Auxin
from slipwright.craft._salts import acid_share, amount_of, percent_of, share_of
from slipwright.craft._salts import as_acid as as_acid
from slipwright.craft._salts import as_salt as as_salt
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

MOST_UNASKED_MG_PER_L: Final = 20_000.0
"""Strength of a liquid beyond which a second yes is asked for [mg/L]."""
MOST_UNASKED_MG_PER_KG: Final = 20_000.0
"""Strength of a talc beyond which a second yes is asked for [mg/kg]."""
LEAST_ALCOHOL_PERCENT: Final = 20.0
"""Alcohol below which the acid may come out of solution, from memory [% by volume]."""
HARSH_ALCOHOL_PERCENT: Final = 50.0
"""Alcohol above which stem bases may be hurt; where harm begins is our own estimate [% by volume]."""
MOST_CONTRACTION: Final = 0.037
"""Share of the volume that alcohol and water lose at most on mixing, from memory [-]."""
POWDER_MG_EACH: Final = (5.0, 13.0)
"""Talc that one cutting carries: a label's "8 oz treat at least 17,500" is 13; 5 is our estimate [mg]."""


def stock_ml(stock_mg_per_l: ArrayLike, want_mg_per_l: ArrayLike, volume_ml: ArrayLike) -> Array:
    """Return the stock to measure out and fill up to the mark.

    Parameters
    ----------
    stock_mg_per_l : array_like
        Strength of the stock [mg/L].
    want_mg_per_l : array_like
        Strength wanted, counted as the stock's is: both as acid or both as salt [mg/L].
    volume_ml : array_like
        Volume wanted [mL].

    Returns
    -------
    ndarray
        Stock [mL]; the rest is filled up to the mark.

    Raises
    ------
    BadArgument
        If an amount is not above 0, or more is wanted than the stock has.

    Notes
    -----
    C1 V1 = C2 V2. Filled up to the volume, not added: alcohol and water shrink on mixing.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> print(stock_ml(10_000, 3000, 500))
    150.0
    """
    import numpy as np

    stock = amount_of("stock_mg_per_l", stock_mg_per_l)
    want = amount_of("want_mg_per_l", want_mg_per_l)
    if np.any(want > stock):
        raise BadArgument("want_mg_per_l", Said("not be above the stock's own strength"), want_mg_per_l)
    return np.asarray(amount_of("volume_ml", volume_ml) * want / stock)


def mg_to_weigh(
    want_mg_per_l: ArrayLike, volume_ml: ArrayLike, *, purity: ArrayLike = 1.0, auxin: Auxin = "iba"
) -> Array:
    """Return the powder to weigh for a solution of a strength counted as acid.

    Parameters
    ----------
    want_mg_per_l : array_like
        Strength wanted, as acid [mg/L].
    volume_ml : array_like
        Volume wanted [mL].
    purity : array_like, optional
        Share of the powder that is the hormone, as its label says [-].
    auxin : {'iba', 'naa', 'k-iba', 'k-naa'}
        What the powder is; of a salt more is weighed.

    Returns
    -------
    ndarray
        Powder [mg].

    Raises
    ------
    BadArgument
        If an amount is not above 0 or the purity is no share.

    References
    ----------
    Arithmetic; molar masses as :func:`as_acid`.

    Examples
    --------
    >>> print(mg_to_weigh(1000, 1000, auxin="k-iba").round(1), mg_to_weigh(3000, 500, purity=0.98).round(1))
    1187.4 1530.6
    """
    mass = amount_of("want_mg_per_l", want_mg_per_l) * amount_of("volume_ml", volume_ml) / 1000.0
    return as_salt(mass / share_of("purity", purity), auxin)


def mixed_alcohol_percent(
    stock_ml: ArrayLike, make_up_to_ml: ArrayLike, alcohol_percent: ArrayLike, filler_percent: ArrayLike = 0.0
) -> Array:
    """Return the alcohol in a dip once the stock is filled up.

    Parameters
    ----------
    stock_ml : array_like
        Stock measured out [mL].
    make_up_to_ml : array_like
        Volume it is filled up to, at least the stock's [mL].
    alcohol_percent : array_like
        Alcohol in the stock [% by volume].
    filler_percent : array_like, optional
        Alcohol in what it is filled up with, 0 for water [% by volume].

    Returns
    -------
    ndarray
        Alcohol, nominal [% by volume].

    Raises
    ------
    BadArgument
        If an amount leaves its range.

    Notes
    -----
    (V1 A1 + V2 A2) / V. Mixing shrinks the volume by up to 3.7 per cent (from memory), which the
    nominal figure leaves out.

    References
    ----------
    Arithmetic.

    Examples
    --------
    >>> print(mixed_alcohol_percent(150, 500, 50))
    15.0
    """
    import numpy as np

    stock, whole = amount_of("stock_ml", stock_ml, least=0.0), amount_of("make_up_to_ml", make_up_to_ml)
    if np.any(stock > whole):
        raise BadArgument("make_up_to_ml", "be at least the stock", make_up_to_ml)
    own, filler = percent_of("alcohol_percent", alcohol_percent), percent_of("filler_percent", filler_percent)
    return np.asarray((stock * own + (whole - stock) * filler) / whole)


def acid_may_come_out(alcohol_percent: float, auxin: Auxin = "iba") -> bool:
    """Return whether hormone may come out of a dip, as crystals or a milky cloud.

    Parameters
    ----------
    alcohol_percent : float
        Alcohol in the dip [% by volume].
    auxin : {'iba', 'naa', 'k-iba', 'k-naa'}
        What it holds: the acids want alcohol, the salts dissolve in water.

    Returns
    -------
    bool
        Whether an acid stands in less than about 20 per cent.

    References
    ----------
    From memory; where it begins depends on the strength and the warmth.

    Examples
    --------
    >>> acid_may_come_out(15), acid_may_come_out(15, "k-iba"), acid_may_come_out(35)
    (True, False, False)
    """
    acid_share(auxin)
    return not auxin.startswith("k-") and float(alcohol_percent) < LEAST_ALCOHOL_PERCENT


def mg_per_l_of_percent(percent: ArrayLike) -> Array:
    """Return the strength of a liquid labelled in per cent, weight in volume.

    Parameters
    ----------
    percent : array_like
        Grams in 100 mL [%].

    Returns
    -------
    ndarray
        Strength [mg/L].

    References
    ----------
    Arithmetic: 1 g in 100 mL is 10,000 mg/L.

    Examples
    --------
    >>> print(mg_per_l_of_percent([1, 0.3]))
    [10000.  3000.]
    """
    return percent_of("percent", percent) * 10_000.0


def mg_per_kg_of_percent(percent: ArrayLike) -> Array:
    """Return the strength of a talc labelled in per cent, weight in weight.

    Parameters
    ----------
    percent : array_like
        Grams in 100 g [%].

    Returns
    -------
    ndarray
        Strength [mg/kg]; never to be read as mg/L.

    References
    ----------
    Arithmetic: 1 g in 100 g is 10,000 mg/kg.

    Examples
    --------
    >>> print(mg_per_kg_of_percent([0.1, 0.3, 0.8]))
    [1000. 3000. 8000.]
    """
    return percent_of("percent", percent) * 10_000.0


def powder_g(n_cuttings: int) -> tuple[float, float]:
    """Return the talc to shake out for a number of cuttings.

    Parameters
    ----------
    n_cuttings : int
        Cuttings to dip, 0 or more [1].

    Returns
    -------
    tuple of float
        Least and most that they carry away [g].

    Raises
    ------
    BadArgument
        If the number is negative.

    References
    ----------
    Product label, generic: 8 oz of powder treat at least 17,500 cuttings, so at most 13 mg each. The
    lower end, 5 mg, is our own estimate.

    Examples
    --------
    >>> powder_g(100)
    (0.5, 1.3)
    """
    if n_cuttings < 0:
        raise BadArgument("n_cuttings", "be 0 or more", n_cuttings)
    low, high = (n_cuttings * each / 1000.0 for each in POWDER_MG_EACH)
    return low, high


def is_tenfold_off(strength: float, usual_range: tuple[float, float]) -> bool:
    """Return whether a strength looks like a usual one with its point slipped by one place.

    Parameters
    ----------
    strength : float
        Strength wanted [mg/L or mg/kg].
    usual_range : tuple of float
        Least and most that is usual [mg/L or mg/kg, as the strength].

    Returns
    -------
    bool
        Whether it lies outside, and a tenth of it, or ten times it, inside or further off still.

    Raises
    ------
    BadArgument
        If a strength is not above 0, or the range runs backwards.

    References
    ----------
    Our own rule.

    Examples
    --------
    >>> is_tenfold_off(20_000, (1000, 3000)), is_tenfold_off(4000, (1000, 3000))
    (True, False)
    """
    low, high = usual_range
    if not 0.0 < low <= high:
        raise BadArgument("usual_range", "be two strengths above 0, the least first", usual_range)
    if not (math.isfinite(strength) and strength > 0.0):
        raise BadArgument("strength", "be above 0", strength)
    over = strength > high and strength >= 10.0 * low
    under = strength < low and strength <= high / 10.0
    return over or under
