"""Numbers as they are written: no thousands that could be read as decimals, no noughts that say nothing."""

from __future__ import annotations

from typing import Final

from slipwright.craft.said import Said, joined

#: a space at which no line ends; it parts thousands, and a number from its sign
FIRM: Final = "\u00a0"
#: from here on money is told without its smallest coin
_WHOLE = 100


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
    # z: no sign before a nought
    whole, _, part = f"{number:z,.{decimals}f}".partition(".")
    whole, part = whole.replace(",", FIRM), part.rstrip("0")
    return Said("{whole}.{part}", whole=whole, part=part) if part else whole


def money(number: float, currency: str = "") -> str:
    """Return an amount of money: to its smallest coin where it is little, and no round sum.

    Parameters
    ----------
    number : float
        An amount, in whatever money is meant [-].
    currency : str
        Which money, such as "EUR"; not told where empty.

    Returns
    -------
    str
        Such as "7.50", "8", and "1 234 EUR" with spaces at which no line ends; said in another tongue the
        decimals stand after its own sign.

    References
    ----------
    As `plain`; two decimals, and none from 100 on, are common practice, no source.

    Examples
    --------
    >>> money(7.5), money(8.0), money(1234.4, "EUR").split()
    ('7.50', '8', ['1', '234', 'EUR'])
    """
    is_whole = abs(number) >= _WHOLE or round(number, 2) == round(number)
    if is_whole:
        return joined([plain(number, 0), currency], FIRM)
    whole, _, part = f"{number:.2f}".partition(".")
    return joined([Said("{whole}.{part}", whole=whole, part=part), currency], FIRM)
