"""The how-to of a plant's wood, or of a kind of wood: what apprentices and home gardeners are told.

Everything in it is the handbook's, with its source or mark; of a kind of wood the middle of all plants.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Final

import numpy as np

from slipwright.advice._how_facts import Refs, after_of, answer_of, facts_of
from slipwright.advice._wording import counted, sentence
from slipwright.advice.answer import Plan
from slipwright.advice.asked import Asked
from slipwright.advice.one_pot import doings_of_plan
from slipwright.advice.plan import plan_of_opening
from slipwright.advice.sheet import cane_drawing
from slipwright.advice.steps import WorkStep, rim_words
from slipwright.advice.timing import Opening
from slipwright.advice.typical import typical_page
from slipwright.craft.container import round_pot_width_mm, sticking_points
from slipwright.craft.errors import BadArgument
from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.craft.said import Said
from slipwright.craft.wood import Window, season_dates
from slipwright.handbook import Handbook
from slipwright.handbook.pages import WOODS, Page, Wood, WoodLeaf
from slipwright.outputs.drawings.bend import bent_shoot
from slipwright.outputs.drawings.roots import ROOT_STATES, root_ball
from slipwright.outputs.drawings.shoot import shoot_tip
from slipwright.outputs.drawings.steps import step_drawing
from slipwright.outputs.how_to import HowStep, HowTo, Picture
from slipwright.outputs.measures import First, length_text, volume_text
from slipwright.outputs.sheet import PotDrawing

SEED: Final = 7
#: drawings of the steps that stand on the first page, about the shoot and the cuts
_FIRST_PAGE: Final = 5
_NAMES: Final = {
    "softwood": Said("Softwood cuttings"),
    "semi-hardwood": Said("Semi-hardwood cuttings"),
    "hardwood": Said("Hardwood cuttings"),
}
_KINDS: Final = {
    "softwood": Said("How to make softwood cuttings"),
    "semi-hardwood": Said("How to make semi-hardwood cuttings"),
    "hardwood": Said("How to make hardwood cuttings"),
}
_BENDS: Final = (
    ("folds", "", Said("folds over: too soft")),
    ("snaps", "softwood", Said("snaps clean: soft")),
    ("springs", "semi-hardwood", Said("springs back: semi")),
    ("stiff", "hardwood", Said("hardly bends: hard")),
)
_TIPS: Final = (
    ("vegetative", True, Said("leafy: take it")),
    ("spent", True, Said("flower over: serves")),
    ("budded", False, Said("in bud: leave it")),
    ("flowering", False, Said("in flower: leave it")),
)
_ROOTS: Final = {
    "not-yet": Said("Not yet: callus, stubs of roots. Back into the pot, firm it."),
    "now": Said("Now: three roots, the longest about {length}. Pot up."),
    "overdue": Said("Overdue: roots round the pot, leaves pale. Pot up today."),
}
#: letters of a line of the drawn label
_LABEL_LETTERS: Final = 17
#: the root that shows a cutting is fit to pot: common practice, no source [mm]
_ROOT_MM: Final = 20.0
_OWN_PAGE_FIRST: Final = Said(
    "The middle of the {n} plants of the handbook that have this wood; a plant's own how-to goes before "
    "this one."
)


def how_to_of_plant(
    handbook: Handbook,
    taxon: str,
    wood: Wood,
    *,
    on: date,
    south: bool = False,
    first: First = "metric",
    tongue: str = "en",
) -> HowTo:
    """Return the how-to of one wood of a plant.

    Parameters
    ----------
    handbook : Handbook
        Every page.
    taxon : str
        Botanical name of a plant that has a page.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Which wood of it.
    on : date
        A day near the season it is for: the days told are those of the season nearest to it.
    south : bool
        Whether the southern calendar holds.
    first : {'metric', 'us'}
        Which measure comes first.
    tongue : str
        Language of the common name, in two letters.

    Returns
    -------
    HowTo
        Words, figures with their sources, drawings.

    Raises
    ------
    BadArgument
        If the handbook has no page for the plant, or the page has no such wood.

    References
    ----------
    Every figure carries its source or mark in the handbook; the how-to lists them.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> told = how_to_of_plant(load_handbook(), "Rosa", "hardwood", on=date(2026, 11, 20))
    >>> len(told.roots), told.facts[0]
    (3, ('When', 'about 10 Nov to 25 Feb (c)'))
    """
    page = handbook.page_of(taxon)
    if page is None:
        raise BadArgument("taxon", "be a plant the handbook has a page for", taxon)
    if wood not in page.woods:
        raise BadArgument("wood", f"be one of {', '.join(page.woods)}", wood)
    try:
        runs = plant_name(taxon).runs()
    except NotAPlantName:
        runs = ((taxon, False),)
    rests_on = Said("The handbook alone; your own records and the shoot in your hand go before it.")
    told = _how_to(page, page.woods[wood], runs, on, south, first)
    told = replace(told, words=replace(told.words, kind=_KINDS[wood]))
    return replace(told, common_name=page.common_name(taxon, tongue), rests_on=rests_on)


def how_to_of_wood(
    handbook: Handbook, wood: Wood, *, on: date, south: bool = False, first: First = "metric"
) -> HowTo:
    """Return the how-to of a kind of wood: the middle of all plants of the handbook that have it.

    Parameters
    ----------
    handbook : Handbook
        Every page.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.
    on : date
        A day near the season it is for.
    south : bool
        Whether the southern calendar holds.
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    HowTo
        Words, figures, drawings.

    Raises
    ------
    BadArgument
        If there is no such wood.

    Notes
    -----
    Each end of a range is the median of that end over the pages; form, cover and hormone are the commonest.

    References
    ----------
    As the pages of the handbook; the medians are our own.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> how_to_of_wood(load_handbook(), "softwood", on=date(2026, 6, 1)).name_runs
    (('Softwood cuttings', False),)
    """
    if wood not in WOODS:
        raise BadArgument("wood", f"be one of {', '.join(WOODS)}", wood)
    page = typical_page(handbook, wood)
    told = _how_to(page, page.woods[wood], ((_NAMES[wood], False),), on, south, first)
    n = sum(wood in one.woods for one in handbook.pages)
    return replace(told, rests_on=Said(_OWN_PAGE_FIRST.template, n=n))


# --- the paper -----------------------------------------------------------------------------------------


def _how_to(
    page: Page,
    leaf: WoodLeaf,
    runs: tuple[tuple[str, bool], ...],
    on: date,
    south: bool,
    first: First,
) -> HowTo:
    season = leaf.seasons[-1]
    opens, closes = season_dates(season.opens, season.closes, south=south, near=on)
    plan = _plan(page, leaf, opens, closes, south, first)
    refs = Refs()
    facts = facts_of(plan, opens, closes, first, refs)
    after = after_of(plan, refs)
    doings = doings_of_plan(plan)
    steps = [
        HowStep(
            step_drawing(doing.drawing),
            tuple((sentence(step.title), step.text) for step in doing.steps if step.key != "label"),
            tuple(dict.fromkeys(text for step in doing.steps for text in _cautions_of(step, page))),
        )
        for doing in doings
    ]
    return HowTo(
        name_runs=runs,
        answer=answer_of(plan, opens, closes),
        cut=tuple(steps[:_FIRST_PAGE]),
        stick=tuple(steps[_FIRST_PAGE:]),
        facts=facts,
        bends=tuple(Picture(bent_shoot(bend), words, wood == leaf.wood) for bend, wood, words in _BENDS),
        tips=()
        if leaf.wood == "hardwood"
        else tuple(Picture(shoot_tip(shoot), words, right) for shoot, right, words in _TIPS),
        cane=cane_drawing(page, leaf, plan.leafless, first=first),
        pot=_pot(plan, first),
        label=_label(runs, is_plant=bool(page.key)),
        label_under=Said("again"),
        label_says=next(step.text for step in plan.steps if step.key == "label"),
        roots=_roots(first),
        after=after,
        cautions=_cautions_beside(plan),
        sources=refs.told,
        made_on=on,
        first=first,
    )


def _label(runs: tuple[tuple[str, bool], ...], *, is_plant: bool) -> tuple[str, ...]:
    """Return what stands on the stake, a long genus by its first letter."""
    if not is_plant:
        return Said("name"), Said("day, number"), Said("code")
    species, quote, cultivar = "".join(text for text, _ in runs).partition(" ‘")
    if len(species) > _LABEL_LETTERS:
        genus, _, rest = species.partition(" ")
        species = f"{genus[:1]}. {rest}" if rest else species
    if not quote:
        return species, Said("day, number"), Said("code")
    return species, f"‘{cultivar}"[:_LABEL_LETTERS], Said("day, number, code")


def _plan(page: Page, leaf: WoodLeaf, opens: date, closes: date, south: bool, first: First) -> Plan:
    """Return what to do with one full pot in the middle of the season."""
    middle = opens + (closes - opens) / 2
    window = Window(leaf.wood, opens, closes, None, None, 1.0)
    n_per_pot = round(page.n_per_pot.high) if page.n_per_pot else 9
    rights = "unknown" if page.key else "none"  # of a kind of wood the page says beside it what holds for all
    have = "open" if leaf.leaves == "none" else None
    asked = Asked(page.genus, middle, n_stuck=n_per_pot, have=have, rights=rights, first=first)
    opening = Opening(leaf.wood, window, middle)
    return plan_of_opening(page, opening, asked, south, np.random.default_rng(SEED))


def _pot(plan: Plan, first: First) -> PotDrawing:
    width = round_pot_width_mm(plan.pot_l * 1000)
    points = sticking_points(plan.n_per_container, width, edge_mm=min(20.0, width / 4))
    return PotDrawing(
        width_mm=round(width, 1),
        points_mm=tuple((x, -y) for x, y in points),
        says=(
            Said("A pot of {volume}", volume=volume_text(plan.pot_l, first=first)),
            Said("{many}, {rim}", many=counted(plan.n_per_container, "cutting"), rim=rim_words(first)),
        ),
    )


def _roots(first: First) -> tuple[Picture, ...]:
    length = length_text(_ROOT_MM, first=first)
    mark = length.partition(" (")[0]
    return tuple(
        Picture(
            root_ball(state, mark=mark),
            Said(_ROOTS[state].template, length=length) if state == "now" else _ROOTS[state],
            True if state == "now" else None,
        )
        for state in ROOT_STATES
    )


def _cautions_of(step: WorkStep, page: Page) -> tuple[str, ...]:
    """Return the cautions of a step, each by itself; where a plant is chosen, that of rights before all."""
    rights = [page.rights[0].text] if step.key == "choose" and page.rights else []
    return (*rights, *(caution.text for caution in step.cautions))


def _cautions_beside(plan: Plan) -> tuple[str, ...]:
    """Return what no step says."""
    said = {caution.key for step in plan.steps for caution in step.cautions}
    return tuple(caution.text for caution in plan.cautions if caution.key not in said)
