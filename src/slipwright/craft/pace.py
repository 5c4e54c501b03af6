"""How warmth of the medium paces rooting: a factor beside another warmth, never a date."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

TEMPERATE: Final = (8.0, 24.0, 34.0)
"""Coldest, best and hottest medium of temperate woody plants [°C]: our estimate."""
WARM: Final = (15.0, 28.0, 33.0)
"""The same of warm crops, after poinsettia [°C]: our estimate."""
SHARE_OFF: Final = 0.4
"""A factor may be out by this share either way [-]: our estimate."""


def pace(
    medium_c: ArrayLike,
    coldest_c: float = TEMPERATE[0],
    best_c: float = TEMPERATE[1],
    hottest_c: float = TEMPERATE[2],
) -> Array:
    """Return how fast roots form in a medium of some warmth, beside the best warmth.

    Parameters
    ----------
    medium_c : array_like
        Warmth of the medium, not of the air [°C].
    coldest_c, best_c, hottest_c : float, optional
        Where nothing roots any more, where it roots soonest, and where nothing roots again [°C].

    Returns
    -------
    ndarray
        1 at the best warmth, 0 outside [-].

    Raises
    ------
    BadArgument
        If the three do not follow each other.

    Notes
    -----
    ``f = ((Tx - T)/(Tx - To)) ((T - Tn)/(To - Tn)) ** ((To - Tn)/(Tx - To))``. The three temperatures are
    not known for roses, lavender, rosemary, sage or pomegranate, so only the quotient of two paces
    means anything, and that to about 40 in 100. Poinsettia roots soonest at 26 to 28 °C and slowly or not
    at all at 20 and 32 (JASHS 2005 130(3):302, abstract). Air is not medium: a wet medium under mist
    runs several degrees below the air.

    References
    ----------
    Yan and Hunt (1999), Annals of Botany 84:607-614, from memory; the temperatures are our estimate.

    Examples
    --------
    >>> print((pace(24) / pace([15, 18, 21, 27, 30])).round(2))
    [1.98 1.33 1.07 1.09 1.5 ]
    """
    import numpy as np

    if not coldest_c < best_c < hottest_c:
        raise BadArgument(
            "best_c", f"lie between coldest_c ({coldest_c}) and hottest_c ({hottest_c})", best_c
        )
    at = np.asarray(medium_c, dtype=float)
    inside = np.clip(at, coldest_c, hottest_c)
    power = (best_c - coldest_c) / (hottest_c - best_c)
    return np.asarray(
        (hottest_c - inside) / (hottest_c - best_c) * ((inside - coldest_c) / (best_c - coldest_c)) ** power
    )
