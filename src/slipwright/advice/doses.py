"""Whether a strength of hormone is one to stop at: ten times off what is usual, or beyond all use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from slipwright.advice._wording import plain, span
from slipwright.craft.hormone import MOST_UNASKED_MG_PER_KG, MOST_UNASKED_MG_PER_L, is_tenfold_off
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from collections.abc import Iterable

    from slipwright.craft.hormone import Auxin
    from slipwright.handbook.pages import Form, Page

#: forms whose strengths may be compared with one another; talc and soak have scales of their own
_ONE_SCALE: dict[str, tuple[Form, ...]] = {
    "quick-dip": ("quick-dip", "gel"),
    "soak": ("soak",),
    "talc": ("talc",),
}
_MOST = {"quick-dip": MOST_UNASKED_MG_PER_L, "soak": MOST_UNASKED_MG_PER_L, "talc": MOST_UNASKED_MG_PER_KG}


def usual_strengths(
    pages: Iterable[Page],
    form: Literal["quick-dip", "soak", "talc"] = "quick-dip",
    auxin: Auxin | None = None,
) -> tuple[float, float] | None:
    """Return the strengths that the handbook gives, over all woods.

    Parameters
    ----------
    pages : iterable of Page
        Pages of one plant, or of all.
    form : {'quick-dip', 'soak', 'talc'}
        What is made; gels count with dips.
    auxin : {'iba', 'naa', 'k-iba', 'k-naa'}, optional
        What it is made of, a salt being its acid: strengths of the other acid say nothing of it. All if
        not given.

    Returns
    -------
    tuple of float, or None
        Least and most [mg/L, of talc mg/kg]; None where none is given.

    References
    ----------
    The handbook's own values.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> usual_strengths([load_handbook().page_of("Rosa")])
    (500.0, 4000.0)
    >>> usual_strengths([load_handbook().page_of("Rosa")], auxin="naa")
    """
    strengths = [
        end
        for page in pages
        for leaf in page.woods.values()
        for dose in leaf.doses
        if dose.form in _ONE_SCALE[form]
        and (auxin is None or dose.auxin.removeprefix("k-") == auxin.removeprefix("k-"))
        for end in (dose.low, dose.high)
        if end > 0
    ]
    return (min(strengths), max(strengths)) if strengths else None


def doubts_of_strength(
    strength: float,
    usual_range: tuple[float, float] | None = None,
    *,
    form: Literal["quick-dip", "soak", "talc"] = "quick-dip",
    plant: str = "",
) -> tuple[str, ...]:
    """Return what speaks against a strength until somebody says that it is meant so.

    Parameters
    ----------
    strength : float
        Strength wanted, as acid [mg/L, of talc mg/kg].
    usual_range : tuple of float, optional
        Least and most that is usual [mg/L, of talc mg/kg].
    form : {'quick-dip', 'soak', 'talc'}
        What is made.
    plant : str
        Whose usual strengths they are.

    Returns
    -------
    tuple of str
        Sentences; empty where nothing speaks against it.

    References
    ----------
    Our own rule; the strengths are the handbook's.

    Examples
    --------
    >>> doubts_of_strength(30_000, (1000, 3000), plant="rose")[0].split(":")[0]
    'Ten times off'
    >>> doubts_of_strength(2000, (1000, 3000))
    ()
    """
    unit = "mg/kg" if form == "talc" else "mg/L"
    doubts: list[str] = []
    if usual_range is not None and is_tenfold_off(strength, usual_range):
        doubts.append(
            Said(
                "Ten times off: {want} {unit} is asked for, and {usual} is what the handbook gives for "
                "{plant}. A point may have slipped by one place.",
                want=plain(strength),
                unit=unit,
                usual=span(*usual_range, unit),
                plant=plant or Said("this plant"),
            )
        )
    if strength > _MOST[form]:
        doubts.append(
            Said(
                "{want} {unit} is beyond {most} {unit}, stronger than nearly any use: it burns the base.",
                want=plain(strength),
                unit=unit,
                most=plain(_MOST[form]),
            )
        )
    return tuple(doubts)
