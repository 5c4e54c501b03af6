"""One pot and a bag: an answer put in the order in which a beginner works, and its one printed page."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from slipwright.advice._wording import WEEKS, plain, sentence, share_range, span, tenths, times_in_ten
from slipwright.advice.answer import Advice, Plan
from slipwright.advice.sheet import days_of_plan, nodes_of_leaf, stick_sheet
from slipwright.advice.steps import WorkStep
from slipwright.advice.telling import headline
from slipwright.craft.cautions import Caution
from slipwright.craft.said import Said, cased, joined
from slipwright.outputs.measures import First, length_text, volume_text
from slipwright.outputs.sheet import Step, StickSheet
from slipwright.rooting.sticking import chance_of

#: the steps a beginner does in one go, and the drawing that stands for them
_IN_ONE_GO: Final = (
    ("wash", ("wash",)),
    ("mix", ("medium",)),
    ("cut", ("choose", "cut")),
    ("divide", ("divide",)),
    ("strip", ("strip",)),
    ("dip", ("hormone",)),
    ("stick", ("hole", "space")),
    ("water", ("water", "label")),
    ("cover", ("cover", "shade")),
)
#: what the printed page says shorter than the page on screen: the same, for a hand that is at work
_SHORT: Final = {
    "water": Said("Gently, from above, until it runs out below."),
    "label": Said(
        "Name and date on a stake, and once more on its buried end: sun takes one, the other stays."
    ),
}
_SHORT_CAUTIONS: Final = {
    "moving": Said(
        "Cut only from healthy plants. Carrying wood elsewhere may need a plant passport: ask first."
    ),
    "prickles": Said(
        "Prickles: stout gloves, long sleeves. Wash a prick at once; a bump or sore in "
        "the weeks after belongs before a doctor."
    ),
    "blade": Said("A sharp, clean blade, drawn away from the hand that holds; close it between cuts."),
    "dust": Said("Dust: wet it first, wear a mask that fits. The bag's label and local limits come first."),
    "hormone": Said("Read the hormone's label first: gloves and eyewear as it says, both until it is read."),
    "talc": Said("Tap it off low and do not breathe it."),
    "heat": Said("A closed bag in sun grows far hotter than the air and can kill what is in it. Shade it."),
}
#: facts that stand in a step of the printed page as well
_SAID_IN_STEPS: Final = ("Hormone", "Size")


@dataclass(frozen=True, slots=True)
class Doing:
    """What is done in one go: the drawing that shows it, and its steps."""

    drawing: str
    steps: tuple[WorkStep, ...]


@dataclass(frozen=True, slots=True)
class OtherNumber:
    """Another number to stick, and the chance it gives of what is wanted."""

    n_stuck: int
    n_containers: int
    p_reached: float

    @property
    def times(self) -> str:
        """The chance, as so many times in 10."""
        return times_in_ten(self.p_reached)


@dataclass(frozen=True, slots=True)
class PlanWords:
    """Numbers of a plan as they are said."""

    chance: str
    between: str
    weeks: str
    times: str
    length: str
    nodes: str
    thick: str
    pot: str
    patience: str


def words_of_plan(plan: Plan, *, first: First = "metric") -> PlanWords:
    """Return the numbers of a plan as they are said.

    Parameters
    ----------
    plan : Plan
        What to do.
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    PlanWords
        Ranges with their units; empty where there is nothing to say.

    References
    ----------
    As the plan's own.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> words_of_plan(advise(load_handbook(), "rose", on=date(2026, 10, 20)).plan).chance
    '7 in 10'
    """
    leaf, odds = plan.leaf, plan.odds
    thick = leaf.diameter_mm
    return PlanWords(
        chance=tenths(odds.p_rooted[1]),
        between=share_range(odds.p_rooted[0], odds.p_rooted[2]),
        weeks=span(odds.weeks_to_root[0], odds.weeks_to_root[2], WEEKS, 0),
        times="" if plan.p_reached is None else times_in_ten(plan.p_reached),
        length=length_text(leaf.length_mm.low, leaf.length_mm.high, first=first),
        nodes=nodes_of_leaf(leaf),
        thick=span(thick.low, thick.high, "mm", 0) if thick else "",
        pot=volume_text(plan.pot_l, first=first),
        patience=plain(odds.patience_days, 0),
    )


def doings_of_plan(plan: Plan) -> tuple[Doing, ...]:
    """Return the steps up to the place the pot stands in, those done in one go together.

    Parameters
    ----------
    plan : Plan
        What to do.

    Returns
    -------
    tuple of Doing
        In the order of the work; the looks and the winter after it are left out.

    References
    ----------
    As the plan's own.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> plan = advise(load_handbook(), "rose", on=date(2026, 10, 20), want=5).plan
    >>> [doing.drawing for doing in doings_of_plan(plan)][-2:]
    ['water', 'bag']
    """
    by_key = {step.key: step for step in plan.steps}
    return tuple(
        Doing(_drawing(plan, kind), tuple(_once(plan, by_key[key]) for key in keys if key in by_key))
        for kind, keys in _IN_ONE_GO
    )


def _once(plan: Plan, step: WorkStep) -> WorkStep:
    """Leave out what the page says of thorns where the caution on prickles says it too."""
    if plan.page.hazards != ("thorns",) or "prickles" not in {caution.key for caution in step.cautions}:
        return step
    return replace(step, cautions=tuple(caution for caution in step.cautions if caution.key != "hazard"))


def _drawing(plan: Plan, kind: str) -> str:
    bare_and_dormant = plan.leafless and (plan.shelter.is_cold or plan.leaf.wood == "hardwood")
    if kind == "cut":
        return "bundle" if bare_and_dormant else "cut"
    if kind == "divide":
        return {"tip": "tip", "heel": "heel", "mallet": "heel"}.get(plan.leaf.cutting, kind)
    if kind == "strip":
        return "bare" if plan.leafless else "strip"
    if kind == "dip":
        return "no-dip" if plan.dose is None or plan.dose.form == "none" else "dip"
    return _cover_drawing(plan) if kind == "cover" else kind


def _cover_drawing(plan: Plan) -> str:
    kind = plan.shelter.kind_and_words()[0]
    if plan.leafless:
        return "frame" if kind == "frame" else "cold"
    if plan.cover == "open":
        return "open"
    if kind == "frame":
        return "frame"
    if plan.cover == "mist":
        return "mist"
    return "bag" if kind == "closed-bag" else "loose-bag"


def other_number(plan: Plan, n_wanted: int) -> OtherNumber | None:
    """Return a smaller number to stick worth knowing of: one pot fewer, else one cutting fewer.

    Parameters
    ----------
    plan : Plan
        What to do.
    n_wanted : int
        Rooted plants wanted [1].

    Returns
    -------
    OtherNumber or None
        The pots but the last, filled, where that still can give what is wanted; else one cutting
        fewer; None where no fewer can give it.

    References
    ----------
    As `slipwright.rooting.sticking.chance_of`.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> plan = advise(load_handbook(), "rose", on=date(2026, 10, 20), want=5).plan
    >>> plan.n_to_stick, other_number(plan, 5).n_stuck
    (13, 9)
    """
    if plan.n_to_stick is None or plan.n_containers is None:
        return None
    pots = plan.n_containers - 1
    n_stuck = min(pots * plan.n_per_container, plan.n_to_stick - 1)
    if n_stuck < n_wanted:
        n_stuck, pots = plan.n_to_stick - 1, plan.n_containers
    if n_stuck < max(n_wanted, 1):
        return None
    return OtherNumber(n_stuck, pots, chance_of(n_wanted, n_stuck, plan.odds.rooted))


def cautions_beside(advice: Advice) -> tuple[Caution, ...]:
    """Return the cautions that belong to no step: to be read before the first cut.

    Parameters
    ----------
    advice : Advice
        The answer.

    Returns
    -------
    tuple of Caution
        Rights in the plant first.

    References
    ----------
    Each caution's own.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> answer = advise(load_handbook(), "rose", on=date(2026, 10, 20))
    >>> [caution.key for caution in cautions_beside(answer)]
    ['rights']
    """
    steps = advice.plan.steps if advice.plan else ()
    said = {caution.key for step in steps for caution in step.cautions}
    return tuple(caution for caution in advice.cautions if caution.key not in said)


def one_page_sheet(advice: Advice, *, made_on: date | None = None, first: First = "metric") -> StickSheet:
    """Return the stick sheet of an answer cut down to one page: steps done in one go stand together.

    Parameters
    ----------
    advice : Advice
        An answer with something to stick.
    made_on : date, optional
        The day it is printed.
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    StickSheet
        As `slipwright.advice.sheet.stick_sheet`, with fewer and shorter steps and no list of sources.

    Raises
    ------
    NoSheetError
        If the answer is that nothing may or can be stuck.

    References
    ----------
    As the answer's own.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> answer = advise(load_handbook(), "rose", on=date(2026, 10, 20), want=5)
    >>> len(one_page_sheet(answer).steps)
    13
    """
    whole = stick_sheet(advice, made_on=made_on, first=first)
    plan = advice.plan
    assert plan is not None  # else there is no sheet
    steps = [
        Step(_SHORT.get(step.key, step.text), _short_cautions(step), sentence(step.title))
        for doing in doings_of_plan(plan)
        for step in doing.steps
    ]
    days = days_of_plan(advice, plan, pot_up_note=cased(plan.leaf.pot_up_note.text, "first"))
    if plan.page.winter:
        winter = (Said("Winter"), cased(plan.page.winter[0].text, "first"))
        days = replace(days, says=(*days.says, winter))
    return replace(
        whole,
        answer=_answer(advice, whole.answer),
        steps=tuple(steps),
        days=days,
        facts=tuple(fact for fact in whole.facts if fact[0] not in _SAID_IN_STEPS),
        sources=(),
        cautions=tuple(caution.text for caution in cautions_beside(advice)),
    )


def _answer(advice: Advice, answer: str) -> str:
    """Say first that the shoot in hand is refused, if it is."""
    if advice.asked.shoot in ("budded", "flowering"):
        return Said("{refused} Of another: {answer:small}", refused=headline(advice), answer=answer)
    return answer


def _short_cautions(step: WorkStep) -> str:
    return joined([_SHORT_CAUTIONS.get(caution.key, caution.text) for caution in step.cautions])
