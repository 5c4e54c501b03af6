"""The work in order, from washing the pots to the weekly look, fitted to the wood and the cover."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.advice._pieces import dividing_words, under_words
from slipwright.advice._shelter import Shelter
from slipwright.advice._wording import counted, listed, plain, sentence, span
from slipwright.craft.cautions import Caution, Where
from slipwright.handbook.pages import Dose, Page, Statement, WoodLeaf

#: in which step a caution is shown, by the place it names
_CAUTION_STEP = {
    "stock plant": "choose",
    "cutting": "cut",
    "mixing": "medium",
    "dipping": "hormone",
    "covering": "cover",
    "warming": "cover",
    "moving": "choose",
}
_NO_FLOWER = " No flower and no bud on it; one whose petals have fallen serves."
_HALVES = {2: "half and half", 3: "in equal parts", 4: "in equal parts"}


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step: a short name, what to do in a few words, how, and the cautions that belong to it."""

    key: str
    title: str
    text: str
    cautions: tuple[Caution, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "key": self.key,
            "title": self.title,
            "text": self.text,
            "cautions": [caution_json(caution) for caution in self.cautions],
        }


@dataclass(frozen=True, slots=True)
class Work:
    """What the steps are fitted to: plant, wood, cover, whether leaves stay, numbers, pots and season."""

    page: Page
    leaf: WoodLeaf
    dose: Dose | None
    cover: str
    leafless: bool
    leaves: str
    n_to_stick: int
    n_containers: int
    pot_l: float
    round_days: int
    #: the day they are stuck; without it dormant wood is taken to be stuck in winter
    start_on: date | None = None
    south: bool = False

    @property
    def shelter(self) -> Shelter:
        """What they stand under."""
        return Shelter(self.leaf, self.cover, self.leafless, self.start_on, self.south)


def caution_json(caution: Caution) -> dict[str, str]:
    """Return a caution as plain data.

    Parameters
    ----------
    caution : Caution
        The caution.

    Returns
    -------
    dict
        Its key, text and place.

    References
    ----------
    As the caution's own.

    Examples
    --------
    >>> caution_json(Caution("blade", "Cut away from the hand.", "cutting"))["where"]
    'cutting'
    """
    return {"key": caution.key, "text": caution.text, "where": caution.where}


def cautions_of_page(page: Page, rights: str = "unknown") -> tuple[Caution, ...]:
    """Return what a plant's page warns of: laws that limit it, kinds under rights, what may hurt.

    Parameters
    ----------
    page : Page
        The plant's page.
    rights : {'none', 'unknown', 'protected', 'licensed'}
        What is known of the rights in the plant; only where nothing is known does the page say which
        kinds are often protected.

    Returns
    -------
    tuple of Caution
        Each with its place in the work; empty if the page warns of nothing.

    References
    ----------
    Each caution carries the source or mark of its statement in the handbook.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> [caution.key for caution in cautions_of_page(load_handbook().page_of("Ribes nigrum"))]
    ['restricted', 'restricted', 'often-protected']
    """
    found = [_caution("restricted", said, "stock plant") for said in page.restricted]
    if rights == "unknown" and page.rights:
        found.append(_caution("often-protected", page.rights[-1], "stock plant"))
    if page.hazard_notes:
        found.append(_caution("hazard", page.hazard_notes[0], "cutting"))
    return tuple(found)


def _caution(key: str, said: Statement, where: Where) -> Caution:
    named = tuple(source.text for source in said.origin.sources)
    return Caution(key, said.text, where, named or (said.origin.mark,))


def steps_of_work(work: Work, cautions: Iterable[Caution] = ()) -> tuple[WorkStep, ...]:
    """Return the steps of sticking, each with its cautions at the point of use.

    Parameters
    ----------
    work : Work
        Plant, wood, cover, numbers and pots.
    cautions : iterable of Caution
        The cautions of this job; each goes to the step where the hand is.

    Returns
    -------
    tuple of WorkStep
        In the order of the work.

    References
    ----------
    The sequence: common practice, no source; numbers carry their source or mark in the handbook.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> work = Work(rose, rose.woods["hardwood"], None, "open", True, "none", 9, 1, 2.69, 7)
    >>> [step.key for step in steps_of_work(work)][:3]
    ['wash', 'medium', 'choose']
    """
    plain_steps = (
        _wash(work),
        _medium(work),
        _choose(work),
        _cut(work),
        WorkStep("divide", *dividing_words(work.page, work.leaf)),
        _strip(work),
        _hormone(work.dose),
        _hole(work),
        _space(work),
        WorkStep("water", "Water in", "Gently, from above, until it runs out below; let it drain."),
        WorkStep(
            "label",
            "Label twice",
            "Name, date, number and code on a stake, and once more on its buried end or outside the pot: "
            "sun takes one, the other stays.",
        ),
        WorkStep("cover", *work.shelter.cover_words()),
        WorkStep("shade", *work.shelter.light_words()),
        _look(work),
        WorkStep("winter", "Over winter", " ".join(said.text for said in work.page.winter)),
    )
    placed: dict[str, list[Caution]] = {}
    for caution in cautions:
        placed.setdefault(_CAUTION_STEP.get(caution.where, "choose"), []).append(caution)
    return tuple(
        WorkStep(step.key, step.title, step.text, tuple(placed.get(step.key, ()))) for step in plain_steps
    )


def dose_words(dose: Dose) -> str:
    """Return a hormone preparation in words.

    Parameters
    ----------
    dose : Dose
        One preparation of the handbook.

    Returns
    -------
    str
        Such as "IBA talc, 3,000 mg/kg (0.3 %)".

    Notes
    -----
    10,000 mg/kg, and as near as matters 10,000 mg/L, are 1 per cent.

    References
    ----------
    The dose carries its source or mark in the handbook.

    Examples
    --------
    >>> from slipwright.handbook import Origin
    >>> dose_words(Dose("talc", "iba", 3000, 3000, "mg/kg", None, Origin(mark="from memory")))
    'IBA talc, 3,000 mg/kg (0.3 %)'
    """
    if dose.form == "none":
        return "no hormone"
    name = dose.auxin.upper()
    form = {"talc": "talc", "gel": "gel", "soak": "soak", "quick-dip": "quick dip"}[dose.form]
    strength = span(dose.low, dose.high, dose.unit)
    percent = span(dose.low / 10_000, dose.high / 10_000, "%", 3)
    return f"{name} {form}, {strength} ({percent})"


def _wash(work: Work) -> WorkStep:
    pots = counted(work.n_containers, "pot")
    each = " each" if work.n_containers > 1 else ""
    gallon = " (a trade gallon)" if abs(work.pot_l - 2.69) < 0.02 else ""
    return WorkStep(
        "wash",
        "Wash the pots",
        f"{pots} with holes, {plain(work.pot_l)} L{each}{gallon}; wash knife and bench too.",
    )


def _medium(work: Work) -> WorkStep:
    parts = work.page.medium
    names = list(parts)
    if len(set(parts.values())) == 1 and len(parts) > 1:
        mix = f"{listed(names)}, {_HALVES.get(len(parts), 'in equal parts')}"
    else:
        mix = listed([f"{plain(part)} of {name}" for name, part in parts.items()])
    return WorkStep(
        "medium",
        "Wet and mix the medium",
        f"{sentence(mix)[:-1]} by volume. Wet it in the bag before you tip it, so that no dust flies; "
        "mask on until it is wet. Fill, let it drain, never press it hard.",
    )


def _choose(work: Work) -> WorkStep:
    word = work.page.shoot_word
    feel = {
        "softwood": "snaps clean when bent; one that folds over is too soft",
        "semi-hardwood": "springs back when bent; one that folds over is too soft",
        "hardwood": "grew this year, is dormant and hardly bends",
    }[work.leaf.wood]
    flower = "" if work.leaf.wood == "hardwood" else _NO_FLOWER
    thick = work.leaf.diameter_mm
    size = f" About {span(thick.low, thick.high, 'mm', 0)} thick." if thick else ""
    return WorkStep(
        "choose",
        f"Choose the {word}s",
        f"From a healthy plant, true to its name, watered the day before. The right {word} {feel}."
        f"{flower}{size}",
    )


def _cut(work: Work) -> WorkStep:
    word, cold = work.page.shoot_word, work.shelter.is_cold
    fitting = [said.text for said in work.page.storing if not said.woods or work.leaf.wood in said.woods]
    keeping = fitting[-1] if fitting else "Stick them the same day."
    if work.leafless and (cold or work.leaf.wood == "hardwood"):
        bare = (
            f"Bundle the {word}s all the same way up. Bare wood needs no bag, but keep it from sun and wind."
        )
        return WorkStep("cut", "Cut on a day without frost", f"{bare} {keeping}")
    if cold:
        leafy = f"Once the leaves are dry, each {word} straight into a damp bag, out of sun and wind."
        return WorkStep("cut", "Cut on a day without frost", f"{leafy} {keeping}")
    leafy = f"In the cool of the morning, each {word} straight into a damp bag, out of the sun."
    return WorkStep("cut", "Cut in the cool, into a damp bag", f"{leafy} {keeping}")


def _strip(work: Work) -> WorkStep:
    if work.leafless:
        return WorkStep(
            "strip", "Take all leaves off", "Leave no leaf; rub nothing off the buds above the medium."
        )
    text = f"No leaf stands in the medium: it rots. {work.leaf.leaves_note.text}"
    if work.leaves == "optional" and work.leaf.leafless_note:
        text += f" {work.leaf.leafless_note.text}"
    return WorkStep("strip", "Strip what goes under", text)


def _hormone(dose: Dose | None) -> WorkStep:
    if dose is None or dose.form == "none":
        return WorkStep("hormone", "No hormone needed", "The handbook asks for none with this wood.")
    seconds = f" for {span(dose.seconds.low, dose.seconds.high, 's')}" if dose.seconds else ""
    if dose.seconds and dose.seconds.low >= 120:
        minutes = span(dose.seconds.low / 60, dose.seconds.high / 60, "minutes", 0)
        seconds = f" for {minutes}"
    how = {
        "talc": "Dip the lowest 1 cm in the powder and tap off what is loose",
        "gel": "Dip the lowest 1 to 2 cm in the gel",
        "quick-dip": f"Dip the lowest 1 to 2 cm{seconds or ' for a few seconds'} and let it dry a minute",
        "soak": f"Stand the lowest 2 cm in it{seconds or ' as long as its label says'}",
    }[dose.form]
    return WorkStep(
        "hormone",
        "Pour out a little hormone",
        f"{dose_words(dose)}: what the product's label says goes first. {how}. What was poured out is "
        "never returned to the bottle or tin.",
    )


def _hole(work: Work) -> WorkStep:
    note = f" {work.leaf.buried.note}" if work.leaf.buried.note else ""
    return WorkStep(
        "hole",
        "Make a hole first",
        f"With a stick, so that nothing is wiped off. {under_words(work.leaf, work.pot_l)}, slanted end "
        f"down, all the same way up.{note} Firm lightly.",
    )


def _space(work: Work) -> WorkStep:
    fewest, over = divmod(work.n_to_stick, max(work.n_containers, 1))
    touch = "about 5 cm apart" if work.leafless else "their leaves just touching"
    if work.n_containers > 1:
        some = f"{fewest} or {fewest + 1}" if over else str(fewest)
        many = f"{some} to a pot, {touch}"
    else:
        many = f"All {fewest} in the pot, {touch}" if fewest > 1 else "One, in the middle of the pot"
    return WorkStep("space", "Space them evenly", f"{many}, none nearer than 2 cm to the rim.")


def _look(work: Work) -> WorkStep:
    often = "every week" if work.round_days == 7 else f"every {work.round_days} days"
    return WorkStep(
        "look",
        f"Look {often}",
        "Take out what is black or mouldy. Weigh the pot in the hand and water only if it is light. New "
        "leaves are not roots: a firm tug, or roots at the holes, tells. Write down what you saw.",
    )
