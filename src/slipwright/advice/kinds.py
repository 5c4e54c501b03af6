"""Where a batch stands in the tree of plants and seasons that the two clocks learn by."""

from __future__ import annotations

from datetime import date, timedelta

from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.handbook.pages import Wood, WoodLeaf
from slipwright.rooting.learned import Kind
from slipwright.rooting.page_prior import offset_of

#: a southern season is named by the year its summer ends in
_HALF_A_YEAR = timedelta(days=183)


def genus_of(taxon: str) -> str:
    """Return the genus of a botanical name, without the sign of a hybrid.

    Parameters
    ----------
    taxon : str
        Botanical name; of one that is none the first word.

    Returns
    -------
    str
        The genus.

    References
    ----------
    As `slipwright.craft.names.plant_name`.

    Examples
    --------
    >>> genus_of("Rosa \u00d7 alba 'Marsh Bride'"), genus_of("\u00d7 something")
    ('Rosa', 'something')
    """
    try:
        return plant_name(taxon).genus
    except NotAPlantName:
        return next((word for word in taxon.replace("\u00d7", " ").split() if word not in "+xX"), taxon)


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
    year = (stuck_on + _HALF_A_YEAR if south else stuck_on).year
    return Kind(genus_of(taxon), taxon, wood, str(year), batch, offset_of(leaf, wood))
