"""Cautions, each with the place in the work where the hand is.

They remind; they do not replace the product's label, local rules or someone who knows the work.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, joined

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

Where = Literal["stock plant", "cutting", "mixing", "dipping", "covering", "warming", "moving"]
HormoneProduct = Literal["unknown", "plain", "with-fungicide"]

_WOODS = ("", "softwood", "semi-hardwood", "hardwood")
_AUXIN_FORMS = ("", "none", "quick-dip", "soak", "talc", "gel")
_COVERS = ("", "mist", "tent", "open")
_PRODUCTS = ("unknown", "plain", "with-fungicide")
_HAZARDS = ("thorns", "irritant-sap", "toxic")
_DUSTY = ("perlite", "vermiculite", "pumice", "sand", "grit", "rockwool")
_MOSSY = ("sphagnum", "moss", "peat")

_MARK = Said("common practice, no source")
_SPOROTRICHOSIS = "US CDC, Sporotrichosis (rose bushes, sphagnum, hay; first sign 1 to 12 weeks after)"
_PERLITE = "OSHA 1989, comments on the limit for perlite, 54 FR 2332 (15 mg/m3 total, 5 respirable)"
_SILICA = "US OSHA 2016, 29 CFR 1910.1053 (respirable crystalline silica 0.05 mg/m3)"
_IBA = "US EPA 1992, R.E.D. Facts Indole-3-butyric acid, EPA-738-F-92-001 (eye irritation)"
_TALC_LABEL = "product label, generic (0.8 % talc: long sleeves, shoes and socks, waterproof gloves)"


@dataclass(frozen=True)
class Caution:
    """One caution.

    Attributes
    ----------
    key : str
        Short name, the same whatever the wording.
    text : str
        One or two lines to show.
    where : str
        Place in the work where it is shown.
    sources : tuple of str
        What it rests on: published sources or the mark.
    """

    key: str
    text: str
    where: Where
    sources: tuple[str, ...] = (_MARK,)


def cautions_for(
    *,
    wood: str = "",
    prickles: bool = False,
    hazards: Iterable[str] = (),
    auxin_form: str = "",
    hormone_product: HormoneProduct = "unknown",
    parts: Iterable[str] = (),
    cover: str = "",
    medium_c: float | None = None,
    moving: bool = True,
) -> tuple[Caution, ...]:
    """Return the cautions of one job, in the order of the work.

    Parameters
    ----------
    wood : str
        ``softwood``, ``semi-hardwood``, ``hardwood`` or empty.
    prickles : bool
        Whether the shoots carry prickles or thorns.
    hazards : iterable of str
        Any of ``thorns``, ``irritant-sap``, ``toxic``.
    auxin_form : str
        ``quick-dip``, ``soak``, ``talc``, ``gel``, or ``none`` or empty without hormone.
    hormone_product : str
        ``unknown``, ``plain`` or ``with-fungicide``.
    parts : iterable of str
        Names of the parts of the medium.
    cover : str
        ``mist``, ``tent``, ``open`` or empty.
    medium_c : float, optional
        Warmth at which the medium is to be held, if it is warmed [°C].
    moving : bool
        Whether wood or plants may come from or go to another place.

    Returns
    -------
    tuple of Caution
        At least the one about the blade.

    Raises
    ------
    BadArgument
        If a word is not one of those named.

    References
    ----------
    Each caution carries its sources or mark.

    Examples
    --------
    >>> [c.key for c in cautions_for(prickles=True, auxin_form="talc", parts=["perlite"], cover="tent")]
    ['moving', 'prickles', 'blade', 'dust', 'hormone', 'talc', 'heat']
    """
    hazards = tuple(hazards)
    words = [("wood", wood, _WOODS), ("auxin_form", auxin_form, _AUXIN_FORMS), ("cover", cover, _COVERS)]
    words += [("hormone_product", hormone_product, _PRODUCTS)]
    words += [("hazards", hazard, _HAZARDS) for hazard in hazards]
    for name, word, allowed in words:
        if word not in allowed:
            raise BadArgument(name, f"be one of {', '.join(w for w in allowed if w)}", word)
    names = " ".join(parts).lower()
    mossy = any(word in names for word in _MOSSY)
    return (
        *_at_the_plant(prickles or "thorns" in hazards, hazards, mossy, moving),
        _blade(wood),
        *_at_the_mix(any(word in names for word in _DUSTY), mossy),
        *_at_the_dip(auxin_form, hormone_product),
        *_under_cover(cover, medium_c),
    )


def _at_the_plant(thorny: bool, hazards: tuple[str, ...], mossy: bool, moving: bool) -> Iterator[Caution]:
    if moving:
        yield Caution(
            "moving",
            Said(
                "Cut only from healthy plants. Plants and wood carried to another place may need a plant "
                "passport or may not travel at all: ask your plant health authority."
            ),
            "stock plant",
        )
    if thorny:
        told = (
            Said(
                "Prickles: stout gloves and long sleeves. Wash a prick at once; a bump or sore in the "
                "weeks after belongs before a doctor, with word of the plant and the moss."
            )
            if mossy
            else Said(
                "Prickles: stout gloves and long sleeves. Wash a prick at once; a bump or sore in the "
                "weeks after belongs before a doctor, with word of the plant."
            )
        )
        yield Caution("prickles", told, "cutting", (_SPOROTRICHOSIS,))
    if "irritant-sap" in hazards:
        yield Caution(
            "sap",
            Said(
                "The sap can irritate skin and eyes, more so in sun. Gloves on, hands off the face, wash "
                "skin and blade afterwards."
            ),
            "cutting",
        )
    if "toxic" in hazards:
        yield Caution(
            "poison",
            Said(
                "Parts of this plant are poisonous. Keep trimmings from children and animals and wash "
                "hands before eating."
            ),
            "cutting",
        )


def _blade(wood: str) -> Caution:
    tool = Said("Thick wood wants secateurs, not a knife.") if wood == "hardwood" else ""
    blade = Said(
        "A sharp, clean blade, drawn away from the hand that holds; close it between cuts. Clean "
        "it from plant to plant as the cleaner's label says."
    )
    return Caution("blade", joined([tool, blade]), "cutting")


def _at_the_mix(dusty: bool, mossy: bool) -> Iterator[Caution]:
    if dusty:
        yield Caution(
            "dust",
            Said(
                "Dust: wet the bag's contents before pouring, wear a dust mask that fits, work in moving "
                "air. The bag's label and local limits come first."
            ),
            "mixing",
            (_PERLITE, _SILICA),
        )
    if mossy:
        yield Caution(
            "moss",
            Said("Moss and peat can carry a skin fungus: gloves on, scratches covered, wash afterwards."),
            "mixing",
            (_SPOROTRICHOSIS,),
        )


def _at_the_dip(auxin_form: str, hormone_product: str) -> Iterator[Caution]:
    if auxin_form in ("", "none"):
        return
    kind = {
        "plain": Said("Hormone: the product's label says which gloves and eyewear; keep it out of the eyes."),
        "with-fungicide": Said(
            "This hormone also holds a fungicide: wear all its label lists and mind its waiting times."
        ),
        "unknown": Said(
            "Read the hormone's label first, also for a fungicide: it says which gloves and "
            "eyewear. Until read, wear both."
        ),
    }[hormone_product]
    yield Caution(
        "hormone",
        joined([kind, Said("Pour out a little, never pour it back.")]),
        "dipping",
        (_IBA, _TALC_LABEL),
    )
    if auxin_form == "talc":
        yield Caution(
            "talc",
            Said("Tap the powder off low over the dish and do not breathe it."),
            "dipping",
            (_TALC_LABEL, _MARK),
        )
    if auxin_form == "quick-dip":
        yield Caution(
            "alcohol",
            Said("Many dips are made with alcohol: no flame or heater near, a window open, lid on."),
            "dipping",
            (Said("from memory"),),
        )


def _under_cover(cover: str, medium_c: float | None) -> Iterator[Caution]:
    if cover == "tent":
        yield Caution(
            "heat",
            Said(
                "A closed bag or frame in sun grows far hotter than the air and can kill what is in it. "
                "Shade it; a looser tie does not cool it."
            ),
            "covering",
            (Said("our own heat balance of a bag: not measured in gardens"),),
        )
    if cover == "mist" or medium_c is not None:
        yield Caution(
            "electricity",
            Said(
                "Water and mains do not mix: heated mats, pumps and mist valves on a residual-current "
                "breaker, plugs above the wet, fixed wiring by a licensed electrician."
            ),
            "warming",
        )
    if medium_c is not None:
        yield Caution(
            "warm-bench",
            Said(
                "Hold the medium at {c} °C by a thermostat with its probe among the cuttings, "
                "never by guess, and never cover a heated mat with anything but its own tray.",
                c=plain(medium_c),
            ),
            "warming",
        )
