"""The work in order, from washing the pots to the weekly look, fitted to the wood and the cover."""

from __future__ import annotations

from collections.abc import Iterable

from slipwright.advice._pieces import dividing_words
from slipwright.advice._step_words import (
    ALL_LEAVES_OFF,
    WATER_IN,
    choose_step,
    cut_step,
    dip_words,
    dose_words,
    hole_step,
    hormone_step,
    look_step,
    medium_step,
    part_words,
    rim_words,
    space_step,
    strip_step,
    wash_step,
)
from slipwright.advice._work import Work, WorkStep, caution_json
from slipwright.craft.cautions import Caution, Where
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import Page, Statement

__all__ = [
    "ALL_LEAVES_OFF",
    "WATER_IN",
    "Work",
    "WorkStep",
    "caution_json",
    "cautions_of_page",
    "dip_words",
    "dose_words",
    "part_words",
    "rim_words",
    "steps_of_work",
]

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
        wash_step(work),
        medium_step(work),
        choose_step(work),
        cut_step(work),
        WorkStep("divide", *dividing_words(work.page, work.leaf, work.first)),
        strip_step(work),
        hormone_step(work.dose, work.first),
        hole_step(work),
        space_step(work),
        WorkStep("water", *WATER_IN),
        WorkStep(
            "label",
            Said("Label twice"),
            Said(
                "Name, date, number and code on a stake, and once more on its buried end or outside the pot: "
                "sun takes one, the other stays."
            ),
        ),
        WorkStep("cover", *work.shelter.cover_words()),
        WorkStep("shade", *work.shelter.light_words()),
        look_step(work),
        WorkStep("winter", Said("Over winter"), joined([said.text for said in work.page.winter])),
    )
    placed: dict[str, list[Caution]] = {}
    for caution in cautions:
        placed.setdefault(_CAUTION_STEP.get(caution.where, "choose"), []).append(caution)
    return tuple(
        WorkStep(step.key, step.title, step.text, tuple(placed.get(step.key, ()))) for step in plain_steps
    )
