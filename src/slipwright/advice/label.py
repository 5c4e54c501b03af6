"""What stands on the label of a batch."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from slipwright.advice._wording import plain
from slipwright.craft.days import MONTHS
from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.craft.said import Said, in_tongue
from slipwright.outputs.label_text import Label

#: forms of hormone that are named on a label: their scales are not those of a dip
_NAMED_FORMS = {"talc": Said("talc"), "gel": Said("gel"), "soak": Said("soak")}
_COVERS = {"mist": Said("mist"), "tent": Said("tent")}


def label_of_batch(
    *,
    code: str,
    taxon: str,
    common_name: str = "",
    stuck_on: date | None = None,
    treatment: str = "",
    place: str = "",
    copies: int = 1,
    translate: Callable[[str], str] = str,
) -> Label:
    """Return the label of a batch.

    Parameters
    ----------
    code : str
        The batch's code or id.
    taxon : str
        Botanical name; one that is not written by the code for cultivated plants stands as it is.
    common_name : str
        The common name, or empty.
    stuck_on : date, optional
        Day of sticking.
    treatment : str
        One short line (`treatment_words`).
    place : str
        Where it stands.
    copies : int
        How many are printed [1].
    translate : callable
        Says "stuck" and the month in the tongue of the label.

    Returns
    -------
    Label
        Ready to be set.

    References
    ----------
    Names: International Code of Nomenclature for Cultivated Plants, as `slipwright.craft.names`.

    Examples
    --------
    >>> label_of_batch(code="K7Q2M9T3", taxon="Rosa 'Lantern Keeper'").name_runs
    (('Rosa', True), (' ‘Lantern Keeper’', False))
    """
    try:
        runs = plant_name(taxon).runs()
    except NotAPlantName:
        runs = ((taxon, False),)
    stuck = ""
    if stuck_on is not None:
        month = MONTHS[stuck_on.month - 1]
        words = Said("stuck {day} {month} {year}", day=stuck_on.day, month=month, year=stuck_on.year)
        stuck = in_tongue(words, translate)
    return Label(runs, code, common_name, stuck_on, treatment, place, copies, stuck)


def treatment_words(
    *,
    auxin: str = "",
    auxin_form: str = "",
    auxin_mg_per_l: float | None = None,
    auxin_mg_per_kg: float | None = None,
    auxin2: str = "",
    auxin2_mg_per_l: float | None = None,
    cover: str = "",
    translate: Callable[[str], str] = str,
) -> str:
    """Return a treatment in one short line.

    Parameters
    ----------
    auxin : {'none', 'iba', 'naa', 'k-iba', 'k-naa'}
        The hormone; empty is not known.
    auxin_form : {'quick-dip', 'soak', 'talc', 'gel'}
        Its form; empty is not known.
    auxin_mg_per_l : float, optional
        Strength of a liquid or gel [mg/L].
    auxin_mg_per_kg : float, optional
        Strength of a talc [mg/kg].
    auxin2 : str
        A second hormone in the same dip.
    auxin2_mg_per_l : float, optional
        Its strength [mg/L].
    cover : {'mist', 'tent', 'open'}
        The cover, said only where it is mist or a tent.
    translate : callable
        Says the words in the tongue of the label.

    Returns
    -------
    str
        Such as "IBA 1 000 · tent"; talc, gel and soak are named, since their scales are not those of
        a dip. Empty where nothing is known.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> treatment_words(auxin="iba", auxin_form="quick-dip", auxin_mg_per_l=500)
    'IBA 500'
    >>> treatment_words(auxin="iba", auxin_form="talc", auxin_mg_per_kg=800, cover="tent")
    'IBA 800 talc · tent'
    """
    parts = []
    if auxin == "none":
        parts.append(in_tongue(Said("no hormone"), translate))
    elif auxin:
        strength = auxin_mg_per_l if auxin_mg_per_l is not None else auxin_mg_per_kg
        dip = auxin.upper() + _strength(strength, translate)
        if auxin2 and auxin2 != "none":
            dip += f" + {auxin2.upper()}{_strength(auxin2_mg_per_l, translate)}"
        form = _NAMED_FORMS.get(auxin_form)
        parts.append(f"{dip} {in_tongue(form, translate)}" if form else dip)
    if cover in _COVERS:
        parts.append(in_tongue(_COVERS[cover], translate))
    return " · ".join(parts)


def _strength(mg: float | None, translate: Callable[[str], str]) -> str:
    return "" if mg is None else f" {in_tongue(plain(mg), translate)}"
