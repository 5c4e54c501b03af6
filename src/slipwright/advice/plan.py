"""What to do with the wood chosen: numbers, pots, steps, and the days that follow."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from slipwright.advice._wording import plain
from slipwright.advice.answer import Plan, Saving
from slipwright.advice.asked import Asked
from slipwright.advice.growing import day_of_stage
from slipwright.advice.odds import Odds, odds_of
from slipwright.advice.steps import Work, WorkStep, cautions_of_page, rim_words, steps_of_work
from slipwright.advice.timing import Opening, occurs_within
from slipwright.craft.cautions import cautions_for
from slipwright.craft.container import containers_needed
from slipwright.craft.errors import OutOfReach
from slipwright.craft.numbers import StickCount
from slipwright.craft.said import Said, joined
from slipwright.craft.wood import Window
from slipwright.handbook.pages import Page, Wood, WoodLeaf
from slipwright.outputs.measures import one_volume_text
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import next_look_on
from slipwright.rooting.forecast import forecast_batch
from slipwright.rooting.growing import GrowsOn, Growth
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import before_records
from slipwright.rooting.potting import DayRange
from slipwright.rooting.sticking import chance_of, number_to_stick

#: a trade gallon, where a page names no pot: 0.71 US liquid gallons of 3.785 L
POT_L = 2.69
N_PER_POT = 9
#: invented: pot, medium and hormone of one pot, in whatever money the price is in
COST_PER_POT = 4.0


def best_opening(page: Page, openings: tuple[Opening, ...], asked: Asked, south: bool) -> Opening | None:
    """Return the window to take: of those open today the likeliest to root, else the next to open.

    Parameters
    ----------
    page : Page
        The plant's page.
    openings : tuple of Opening
        Its windows, by the day they are worth using.
    asked : Asked
        The question: day, shoot and cover.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    Opening or None
        None where there is no window.

    Notes
    -----
    Of the windows open on the day: the largest chance of being open x median share rooted.  Where
    the question names a wood, that wood's.

    References
    ----------
    Our own rule.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> best_opening(rose, (), Asked("rose", date(2026, 10, 20)), False) is None
    True
    """
    if asked.wood:
        return _of_wood(page, asked.wood, openings, asked.on)
    if not openings:
        return None
    today = [opening for opening in openings if opening.from_on == asked.on]

    def worth(opening: Opening) -> float:
        return opening.window.p_open * odds_of_opening(page, opening, asked, south).p_rooted[1]

    return max(today, key=worth) if today else openings[0]


def _of_wood(page: Page, wood: Wood, openings: tuple[Opening, ...], on: date) -> Opening | None:
    if wood not in page.woods:
        return None
    shut = Opening(wood, Window(wood, on, on, None, None, 0.0), on)
    return next((opening for opening in openings if opening.wood == wood), shut)


def plan_of_opening(
    page: Page, best: Opening, asked: Asked, south: bool, generator: np.random.Generator
) -> Plan:
    """Return what to do with one wood of a plant.

    Parameters
    ----------
    page : Page
        The plant's page.
    best : Opening
        The window taken and the day it is worth using from.
    asked : Asked
        The question.
    south : bool
        Whether the southern calendar holds.
    generator : numpy.random.Generator
        Where the draws for the potting day come from.

    Returns
    -------
    Plan
        Numbers, pots, steps and days.

    References
    ----------
    Every number carries its source or mark in the handbook.

    Examples
    --------
    >>> from slipwright.advice.timing import openings_of_page, windows_of_page
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 10, 20)
    >>> best = openings_of_page(rose, windows_of_page(rose, on), on)[0]
    >>> plan_of_opening(rose, best, Asked("rose", on), False, np.random.default_rng(1)).leaf.wood
    'semi-hardwood'
    """
    leaf = page.woods[best.wood]
    leaves, leafless = _leaves(page, leaf, best, asked, south)
    odds = odds_of_opening(page, best, asked, south)
    grows = asked.grows or Growth().of(page.genus, page)
    cover = asked.have or ("open" if leafless else "tent")
    start_on = best.from_on if asked.n_stuck is None else asked.on
    n_per_pot = asked.n_per_container or (round(page.n_per_pot.high) if page.n_per_pot else N_PER_POT)
    pot_l = asked.pot_l or (page.pot_volume_l.value if page.pot_volume_l else POT_L)
    count = _count(asked, odds)
    n_to_stick = count.n_to_stick if count else n_per_pot
    n_pots = containers_needed(n_to_stick, n_per_pot)
    dose = asked.dose or (leaf.doses[0] if leaf.doses else None)
    work = Work(page, leaf, dose, cover, leafless, leaves, n_to_stick, n_pots, pot_l, asked.round_days)
    work = replace(work, start_on=start_on, south=south, first=asked.first)
    cautions = cautions_of_page(page, asked.rights) + cautions_for(
        wood=leaf.wood,
        prickles=page.prickles,
        hazards=page.hazards,
        auxin_form=dose.form if dose else "",
        parts=tuple(page.medium),
        cover="open" if leafless else cover,
    )
    return Plan(
        page=page,
        leaf=leaf,
        opening=best,
        start_on=start_on,
        leaves=leaves,
        leafless=leafless,
        cover=cover,
        dose=dose,
        odds=odds,
        n_to_stick=count.n_to_stick if count else None,
        p_reached=count.p_reached if count else None,
        n_containers=n_pots if count else None,
        n_per_container=n_per_pot,
        pot_l=pot_l,
        steps=steps_of_work(work, cautions) if count else _uncounted(steps_of_work(work, cautions), work),
        cautions=cautions,
        look_on=_looks(start_on, odds, asked.round_days),
        pot_up_on=_pot_up(leaf, odds, BatchCounts(start_on, n_to_stick), asked, south, generator),
        ready_on=_ready(leaf, grows, start_on),
        saving=_saving(asked, n_pots) if count else None,
        south=south,
        grows=grows,
    )


def _count(asked: Asked, odds: Odds) -> StickCount | None:
    if asked.n_stuck is not None:
        return StickCount(asked.n_stuck, chance_of(asked.n_wanted, asked.n_stuck, odds.rooted))
    try:
        return number_to_stick(asked.n_wanted, asked.assurance, odds.rooted)
    except OutOfReach:
        return None


def _uncounted(steps: tuple[WorkStep, ...], work: Work) -> tuple[WorkStep, ...]:
    """Leave numbers of pots and cuttings out of the steps where no number is enough."""
    texts: dict[str, str] = {
        "wash": Said(
            "Pots with holes, {litres} each; wash knife and bench too.",
            litres=one_volume_text(work.pot_l, units=work.first),
        ),
        "space": Said("Up to {n} to a pot, {rim}.", n=work.n_to_stick, rim=rim_words(work.first)),
    }
    return tuple(replace(step, text=texts.get(step.key, step.text)) for step in steps)


def _looks(start_on: date, odds: Odds, round_days: int) -> tuple[date, ...]:
    """Days of looks from the first until 9 in 10 of those that root have rooted."""
    last_on = start_on + timedelta(days=math.ceil(7 * odds.weeks_to_root[2]))
    days = [next_look_on(start_on, round_days=round_days)]
    while days[-1] < last_on:
        days.append(next_look_on(days[-1], round_days=round_days))
    return tuple(days)


def _pot_up(
    leaf: WoodLeaf, odds: Odds, counts: BatchCounts, asked: Asked, south: bool, generator: np.random.Generator
) -> DayRange:
    told = forecast_batch(
        asked.learned or before_records(),
        BatchRecord(odds.cuttings, odds.kind, counts),
        on=counts.stuck_on,
        generator=generator,
        patience_days=odds.patience_days,
        pot_up=leaf.pot_up,
        south=south,
    )
    return told.pot_up_on


def _ready(leaf: WoodLeaf, grows: GrowsOn, start_on: date) -> DayRange:
    return day_of_stage(grows, "finished", leaf.wood, start_on) or DayRange(None, None, None, "finished")


def _saving(asked: Asked, n_pots: int) -> Saving | None:
    if asked.price_each is None:
        return None
    per_pot = COST_PER_POT if asked.cost_per_pot is None else asked.cost_per_pot
    buying, materials = asked.n_wanted * asked.price_each, n_pots * per_pot
    each = joined([plain(per_pot, 2), Said("a pot")])
    if asked.cost_per_pot is None:
        each = joined([each, Said("(an invented figure: give your own)")])
    text = Said(
        "About {materials} for pots, medium and hormone at {each}; {n} bought at {price} each are "
        "{buying}. Your own hours and the wait are not counted.",
        materials=joined([plain(materials, 2), asked.currency]),
        each=each,
        n=asked.n_wanted,
        price=plain(asked.price_each, 2),
        buying=joined([plain(buying, 2), asked.currency]),
    )
    return Saving(
        asked.n_wanted, asked.price_each, buying, materials, buying - materials, asked.currency, text
    )


def _leaves(page: Page, leaf: WoodLeaf, opening: Opening, asked: Asked, south: bool) -> tuple[str, bool]:
    """Say whether leaves stay: the word for the answer, and whether the cuttings go bare."""
    optional = leaf.leafless_from is not None and occurs_within(
        leaf.leafless_from, opening.window, opening.from_on, south=south
    )
    if leaf.leaves == "none" or (optional and asked.have == "open"):
        return "none", True
    return ("optional" if optional else leaf.leaves), False


def odds_of_opening(page: Page, opening: Opening, asked: Asked, south: bool) -> Odds:
    """Return the chances of the wood of a window, as it would be taken.

    Parameters
    ----------
    page : Page
        The plant's page.
    opening : Opening
        The window.
    asked : Asked
        The question: shoot and cover.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    Odds
        Points and draws.

    References
    ----------
    As `slipwright.advice.odds.odds_of`.

    Examples
    --------
    >>> from slipwright.advice.timing import openings_of_page, windows_of_page
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 10, 20)
    >>> best = openings_of_page(rose, windows_of_page(rose, on), on)[0]
    >>> odds_of_opening(rose, best, Asked("rose", on), False).remarks
    ()
    """
    leaf = page.woods[opening.wood]
    _, leafless = _leaves(page, leaf, opening, asked, south)
    return odds_of(
        page,
        leaf,
        shoot=asked.shoot,
        have=asked.have,
        leafless=leafless,
        near_bloom=opening.near_bloom,
        learned=asked.learned,
        taxon=asked.taxon,
        on=opening.from_on,
        south=south,
    )
