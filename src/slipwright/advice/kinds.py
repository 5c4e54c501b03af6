"""Where a batch stands in the tree of plants and seasons that the two clocks learn by."""

from __future__ import annotations

from datetime import date, timedelta

from slipwright.craft.names import genus_of
from slipwright.handbook.pages import Wood, WoodLeaf
from slipwright.rooting.learned import Kind
from slipwright.rooting.page_prior import offset_of

#: a southern season is named by the year its summer ends in
_HALF_A_YEAR = timedelta(days=183)


def kind_of(
    taxon: str, leaf: WoodLeaf | None, wood: Wood, stuck_on: date, *, south: bool = False, batch: str = ""
) -> Kind:
    """Return where a batch stands among plants and seasons.

    Parameters
    ----------
    taxon : str
        Botanical name.
    leaf : WoodLeaf or None
        What the handbook says of the wood, if it has a page.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.
    stuck_on : date
        Day of sticking: its year names the season, in the south the year its summer ends in.
    south : bool
        Whether the garden lies south of the equator.
    batch : str
        Code of a batch in the records, or empty.

    Returns
    -------
    Kind
        Genus, taxon, wood and season, and what the handbook's page adds to both clocks.

    References
    ----------
    As `slipwright.rooting.learned`.

    Examples
    --------
    >>> kind_of("Rosa 'Salt Letter'", None, "hardwood", date(2026, 12, 1)).path[0]
    ('genus', 'Rosa')
    """
    season = season_of(stuck_on, south=south)
    return Kind(genus_of(taxon), taxon, wood, season, batch, offset_of(leaf, wood))


def season_of(on: date, *, south: bool) -> str:
    """Return the name of the season a day belongs to.

    Parameters
    ----------
    on : date
        The day.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    str
        A year: in the south the one its summer ends in.

    References
    ----------
    Our own naming.

    Examples
    --------
    >>> season_of(date(2025, 10, 1), south=False), season_of(date(2025, 10, 1), south=True)
    ('2025', '2026')
    """
    return str((on + _HALF_A_YEAR if south else on).year)
