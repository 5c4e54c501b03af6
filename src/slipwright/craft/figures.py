"""Numbers as they are written: no thousands that could be read as decimals, no noughts that say nothing."""

from __future__ import annotations

from typing import Final

from slipwright.craft.said import Said

#: a space at which no line ends; it parts thousands, and a number from its sign
FIRM: Final = "\u00a0"


def plain(number: float, decimals: int = 1) -> str:
    """Return a number without noughts that say nothing, its thousands parted by a space.

    Parameters
    ----------
    number : float
        Any number [-].
    decimals : int
        Most decimals [1].

    Returns
    -------
    str
        Such as "7.5", "8", and 3000 as "3 000" with a space at which no line ends; said in another
        tongue the decimals stand after its own sign.

    References
    ----------
    SI Brochure, 9th edition, 5.4.4: digits in groups of three parted by a space, never by comma or
    stop; the decimal sign is either.

    Examples
    --------
    >>> plain(7.5), plain(3000.0).split(), plain(8.04)
    ('7.5', ['3', '000'], '8')
    """
    whole, _, part = f"{number:,.{decimals}f}".partition(".")
    whole, part = whole.replace(",", FIRM), part.rstrip("0")
    return Said("{whole}.{part}", whole=whole, part=part) if part else whole


def money(number: float) -> str:
    """Return an amount of money with two decimals, its thousands parted by a space.

    Parameters
    ----------
    number : float
        An amount, in whatever money is meant [-].

    Returns
    -------
    str
        Such as "7.50"; said in another tongue the decimals stand after its own sign.

    References
    ----------
    As `plain`; two decimals are common practice, no source.

    Examples
    --------
    >>> money(7.5), money(1234.0).split()
    ('7.50', ['1', '234.00'])
    """
    whole, _, part = f"{number:,.2f}".partition(".")
    return Said("{whole}.{part}", whole=whole.replace(",", FIRM), part=part)
