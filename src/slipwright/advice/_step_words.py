"""The words of each step of the work, fitted to plant, wood, cover and season."""

from __future__ import annotations

from typing import Literal

from slipwright.advice._pieces import under_words
from slipwright.advice._wording import counted, length_at_hand, listed, plain, span
from slipwright.advice._work import Work, WorkStep
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import Dose, Form, Range
from slipwright.outputs.measures import First, one_volume_text

_NO_FLOWER = Said("No flower and no bud on it; one whose petals have fallen serves.")
_MEDIUM_NAMES = {
    "perlite": Said("perlite"),
    "vermiculite": Said("vermiculite"),
    "peat": Said("peat"),
    "coir": Said("coir"),
    "sand": Said("sand"),
    "bark": Said("bark"),
}
_FORMS = {"talc": Said("talc"), "gel": Said("gel"), "soak": Said("soak"), "quick-dip": Said("quick dip")}
_CHOOSE = {"shoot": Said("Choose the shoots"), "cane": Said("Choose the canes")}
_SHOOT_WORDS = {"shoot": Said("shoot"), "cane": Said("cane")}
_SHOOTS_WORDS = {"shoot": Said("shoots"), "cane": Said("canes")}
#: title and words of steps that are the same for every plant
WATER_IN = (Said("Water in"), Said("Gently, from above, until it runs out below; let it drain."))
ALL_LEAVES_OFF = (
    Said("Take all leaves off"),
    Said("Leave no leaf; rub nothing off the buds above the medium."),
)
_FEELS = {
    "softwood": Said("snaps clean when bent; one that folds over is too soft"),
    "semi-hardwood": Said("springs back when bent; one that folds over is too soft"),
    "hardwood": Said("grew this year, is dormant and hardly bends"),
}


def dose_words(dose: Dose) -> str:
    """Return a hormone preparation in words.

    Parameters
    ----------
    dose : Dose
        One preparation of the handbook.

    Returns
    -------
    str
        Such as "IBA talc, 3 000 mg/kg (0.3 %)", with spaces at which no line ends.

    Notes
    -----
    10 000 mg/kg, and as near as matters 10 000 mg/L, are 1 per cent.

    References
    ----------
    The dose carries its source or mark in the handbook.

    Examples
    --------
    >>> from slipwright.handbook import Origin
    >>> talc = Dose("talc", "iba", 3000, 3000, "mg/kg", None, Origin(mark="from memory"))
    >>> dose_words(talc).replace(chr(160), " ")
    'IBA talc, 3 000 mg/kg (0.3 %)'
    """
    if dose.form == "none":
        return Said("no hormone")
    return Said(
        "{auxin} {form}, {strength} ({percent})",
        auxin=dose.auxin.upper(),
        form=_FORMS[dose.form],
        strength=span(dose.low, dose.high, dose.unit),
        percent=span(dose.low / 10_000, dose.high / 10_000, "%", 3),
    )


def wash_step(work: Work) -> WorkStep:
    """Say how many pots are washed."""
    litres = one_volume_text(work.pot_l, units=work.first)
    if work.n_containers > 1:
        litres = Said("{litres} each", litres=litres)
    if abs(work.pot_l - 2.69) < 0.02:
        litres = Said("{litres} (a trade gallon)", litres=litres)
    text = Said(
        "{pots} with holes, {litres}; wash knife and bench too.",
        pots=counted(work.n_containers, "pot"),
        litres=litres,
    )
    return WorkStep("wash", Said("Wash the pots"), text)


def part_words(name: str) -> str:
    """Return a part of the medium as it is said.

    Parameters
    ----------
    name : str
        Its name in the handbook.

    Returns
    -------
    str
        The name, to be said in any tongue where it is a usual one.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> part_words("perlite")
    'perlite'
    """
    return _MEDIUM_NAMES.get(name, name)


def medium_step(work: Work) -> WorkStep:
    """Say what is mixed and how it is wetted."""
    parts = work.page.medium
    if len(set(parts.values())) == 1 and len(parts) > 1:
        names = listed([part_words(name) for name in parts])
        mix = joined([names, Said("half and half") if len(parts) == 2 else Said("in equal parts")], ", ")
    else:
        mix = listed([Said("{n} of {part}", n=plain(n), part=part_words(name)) for name, n in parts.items()])
    text = Said(
        "{mix:capital} by volume. Wet it in the bag before you tip it, so that no dust flies; "
        "mask on until it is wet. Fill, let it drain, never press it hard.",
        mix=mix,
    )
    return WorkStep("medium", Said("Wet and mix the medium"), text)


def choose_step(work: Work) -> WorkStep:
    """Say which shoots are right."""
    word, thick = work.page.shoot_word, work.leaf.diameter_mm
    healthy = Said(
        "From a healthy plant, true to its name, watered the day before. The right {shoot} {feels}.",
        shoot=_SHOOT_WORDS[word],
        feels=_FEELS[work.leaf.wood],
    )
    size = Said("About {size} thick.", size=thick_words(thick, work.first)) if thick else ""
    flower = "" if work.leaf.wood == "hardwood" else _NO_FLOWER
    return WorkStep("choose", _CHOOSE[word], joined([healthy, flower, size]))


def cut_step(work: Work) -> WorkStep:
    """Say how they are cut and kept."""
    word, cold = work.page.shoot_word, work.shelter.is_cold
    fitting = [said.text for said in work.page.storing if not said.woods or work.leaf.wood in said.woods]
    keeping = fitting[-1] if fitting else Said("Stick them the same day.")
    if work.leafless and (cold or work.leaf.wood == "hardwood"):
        how = Said(
            "Bundle the {shoots} all the same way up. Bare wood needs no bag, but keep it from sun and wind.",
            shoots=_SHOOTS_WORDS[word],
        )
    elif cold:
        how = Said(
            "Once the leaves are dry, each {shoot} straight into a damp bag, out of sun and wind.",
            shoot=_SHOOT_WORDS[word],
        )
    else:
        how = Said(
            "In the cool of the morning, each {shoot} straight into a damp bag, out of the sun.",
            shoot=_SHOOT_WORDS[word],
        )
        return WorkStep("cut", Said("Cut in the cool, into a damp bag"), joined([how, keeping]))
    return WorkStep("cut", Said("Cut on a day without frost"), joined([how, keeping]))


def strip_step(work: Work) -> WorkStep:
    """Say which leaves come off."""
    if work.leafless:
        return WorkStep("strip", *ALL_LEAVES_OFF)
    under = Said("No leaf stands in the medium: it rots.")
    optional = work.leaf.leafless_note if work.leaves == "optional" else None
    text = joined([under, work.leaf.leaves_note.text, optional.text if optional else ""])
    return WorkStep("strip", Said("Strip what goes under"), text)


def hormone_step(dose: Dose | None, first: First = "metric") -> WorkStep:
    """Say how the hormone is given."""
    if dose is None or dose.form == "none":
        return WorkStep(
            "hormone",
            Said("No hormone needed"),
            Said("The handbook asks for none with this wood."),
        )
    text = Said(
        "{dose}: what the product's label says goes first. {how}. What was poured out is "
        "never returned to the bottle or tin.",
        dose=dose_words(dose),
        how=dip_words(dose.form, _time_of(dose), first),
    )
    return WorkStep("hormone", Said("Pour out a little hormone"), text)


def _time_of(dose: Dose) -> str:
    """Return how long a cutting stands in a preparation; empty where nobody says."""
    long = dose.seconds
    if long is None:
        return ""
    if long.low >= 120:
        return span(long.low / 60, long.high / 60, Said("minutes"), 0)
    return span(long.low, long.high, "s")


def dip_words(form: Form | Literal[""], time: str = "", first: First = "metric") -> str:
    """Return how a cutting is dipped, without the full stop.

    Parameters
    ----------
    form : {'talc', 'gel', 'quick-dip', 'soak', 'none', ''}
        What the hormone is in.
    time : str
        How long, in words; empty where nobody says.
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    str
        In words; of a form not known only that its label tells.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> dip_words("gel"), dip_words("gel", first="us")
    ('Dip the lowest 1 to 2 cm in the gel', 'Dip the lowest ⅜ to ¾ in (1 to 2 cm) in the gel')
    """
    deep = {"talc": (10.0, 10.0), "soak": (20.0, 20.0)}.get(form, (10.0, 20.0))
    length = length_at_hand(*deep, "cm", first)
    if form == "talc":
        return Said("Dip the lowest {length} in the powder and tap off what is loose", length=length)
    if form == "gel":
        return Said("Dip the lowest {length} in the gel", length=length)
    if form == "quick-dip":
        return Said(
            "Dip the lowest {length} for {time} and let it dry a minute",
            length=length,
            time=time or Said("a few seconds"),
        )
    if form != "soak":
        return Said("Use it as its label says")
    if time:
        return Said("Stand the lowest {length} in it for {time}", length=length, time=time)
    return Said("Stand the lowest {length} in it as long as its label says", length=length)


def hole_step(work: Work) -> WorkStep:
    """Say how deep they are stuck."""
    text = Said(
        "With a stick, so that nothing is wiped off. {under}, slanted end down, all the same way up.",
        under=under_words(work.leaf, work.pot_l),
    )
    return WorkStep(
        "hole", Said("Make a hole first"), joined([text, work.leaf.buried.note, Said("Firm lightly.")])
    )


def space_step(work: Work) -> WorkStep:
    """Say how far apart they stand."""
    fewest, over = divmod(work.n_to_stick, max(work.n_containers, 1))
    apart = Said("about {length} apart", length=length_at_hand(50, 50, "cm", work.first))
    touch = apart if work.leafless else Said("their leaves just touching")
    if work.n_containers > 1:
        some = Said("{n} or {more}", n=fewest, more=fewest + 1) if over else str(fewest)
        many = joined([Said("{n} to a pot", n=some), touch], ", ")
    elif fewest > 1:
        many = joined([Said("All {n} in the pot", n=fewest), touch], ", ")
    else:
        many = Said("One, in the middle of the pot")
    return WorkStep(
        "space", Said("Space them evenly"), Said("{many}, {rim}.", many=many, rim=rim_words(work.first))
    )


def rim_words(first: First = "metric") -> str:
    """Return how near to the rim of the pot a cutting may stand.

    Parameters
    ----------
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    str
        In words, to end a sentence.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> rim_words()
    'none nearer than 2 cm to the rim'
    """
    return Said("none nearer than {length} to the rim", length=length_at_hand(20, 20, "cm", first))


def thick_words(thick: Range, first: First = "metric") -> str:
    """Return how thick a shoot is.

    Parameters
    ----------
    thick : Range
        From and to [mm].
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    str
        In words.

    References
    ----------
    Our own wording.
    """
    return length_at_hand(round(thick.low), round(thick.high), "mm", first)


def look_step(work: Work) -> WorkStep:
    """Say what the weekly look is."""
    title = (
        Said("Look every week") if work.round_days == 7 else Said("Look every {n} days", n=work.round_days)
    )
    text = Said(
        "Take out what is black or mouldy. Weigh the pot in the hand and water only if it is light. New "
        "leaves are not roots: a firm tug, or roots at the holes, tells. Write down what you saw."
    )
    return WorkStep("look", title, text)
