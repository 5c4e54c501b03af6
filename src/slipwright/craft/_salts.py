"""Hormones as acids and as salts, and what an amount must be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

Auxin = Literal["iba", "naa", "k-iba", "k-naa"]

ATOMS_G_PER_MOL: Final = {"C": 12.011, "H": 1.008, "N": 14.007, "O": 15.999, "K": 39.0983}
"""Weights of the elements, read at internetchemistry.com as CIAAW lists them [g/mol]."""
_ATOMS: Final[dict[str, dict[str, int]]] = {
    "iba": {"C": 12, "H": 13, "N": 1, "O": 2},
    "k-iba": {"C": 12, "H": 12, "N": 1, "O": 2, "K": 1},
    "naa": {"C": 12, "H": 10, "O": 2},
    "k-naa": {"C": 12, "H": 9, "O": 2, "K": 1},
}
MOLAR_G: Final = {
    auxin: sum(ATOMS_G_PER_MOL[atom] * n for atom, n in atoms.items()) for auxin, atoms in _ATOMS.items()
}
"""Molar mass of each hormone, a salt by its name with k- [g/mol]."""


def as_acid(amount: ArrayLike, auxin: Auxin = "iba") -> Array:
    """Return what an amount of hormone is as the acid.

    Parameters
    ----------
    amount : array_like
        Mass or strength of the hormone as it stands on its label [mg or mg/L].
    auxin : {'iba', 'naa', 'k-iba', 'k-naa'}
        What it stands for; an acid stays as it is.

    Returns
    -------
    ndarray
        The same as IBA or NAA, in the same unit.

    Raises
    ------
    BadArgument
        If the amount is negative or the hormone unknown.

    Notes
    -----
    Times the ratio of the molar masses, 203.241 / 241.331 for IBA. A label may mean either: it says
    "as IBA" or "as the potassium salt".

    References
    ----------
    Weights of the elements by CIAAW, as internetchemistry.com lists them.

    Examples
    --------
    >>> print(as_acid(1000, "k-iba").round(1))
    842.2
    """
    return amount_of("amount", amount, least=0.0) * acid_share(auxin)


def as_salt(amount: ArrayLike, auxin: Auxin = "k-iba") -> Array:
    """Return how much potassium salt holds an amount of acid.

    Parameters
    ----------
    amount : array_like
        Mass or strength of the acid [mg or mg/L].
    auxin : {'k-iba', 'k-naa'}
        The salt; an acid stays as it is.

    Returns
    -------
    ndarray
        The same as the salt, in the same unit.

    Raises
    ------
    BadArgument
        If the amount is negative or the hormone unknown.

    References
    ----------
    As :func:`as_acid`.

    Examples
    --------
    >>> print(as_salt(1000, "k-iba").round(1))
    1187.4
    """
    return amount_of("amount", amount, least=0.0) / acid_share(auxin)


def acid_share(auxin: str) -> float:
    if auxin not in MOLAR_G:
        raise BadArgument("auxin", f"be one of {', '.join(MOLAR_G)}", auxin)
    return MOLAR_G[auxin.removeprefix("k-")] / MOLAR_G[auxin]


def amount_of(name: str, value: ArrayLike, *, least: float | None = None) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    fits = np.isfinite(found) & (found > 0.0 if least is None else found >= least)
    if not np.all(fits):
        raise BadArgument(name, "be above 0" if least is None else f"be {least:g} or more", value)
    return found


def percent_of(name: str, value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= 0.0) & (found <= 100.0)):
        raise BadArgument(name, "lie between 0 and 100 %", value)
    return found


def share_of(name: str, value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found > 0.0) & (found <= 1.0)):
        raise BadArgument(name, "be a share above 0 and at most 1", value)
    return found
