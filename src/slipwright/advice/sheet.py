"""The stick sheet of an answer: the same words and numbers, and a cane and a pot to be drawn."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from slipwright.advice._wording import (
    NODE,
    NODES,
    WEEKS,
    WOOD_WORDS,
    counted,
    day_in_words,
    length_at_hand,
    likely_days,
    listed,
    plain,
    sentence,
    share_range,
    span,
    tenths,
)
from slipwright.advice.answer import Advice, Plan
from slipwright.advice.evidence import rests_on_words
from slipwright.advice.steps import dose_words, part_words
from slipwright.advice.telling import headline
from slipwright.craft.cane import Cutting, cuttings_of_cane
from slipwright.craft.container import dip_ml, round_pot_width_mm, sticking_points
from slipwright.craft.medium import medium_litres
from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import Page, WoodLeaf
from slipwright.outputs.measures import First, length_text, volume_text
from slipwright.outputs.sheet import CaneCutting, CaneDrawing, PotDrawing, Step, StickSheet, Timeline
from slipwright.rooting.potting import DayRange

#: genera whose buds stand in pairs, and those whose leaves are made of leaflets (from memory)
_OPPOSITE = (
    *("Buxus", "Forsythia", "Fuchsia", "Hebe", "Hydrangea", "Lavandula", "Philadelphus", "Punica"),
    *("Salvia", "Weigela"),
)
_LEAFLETS = ("Rosa",)
#: a usual shoot where nobody measured one, and the shares of it left out at tip and base:
#: common practice, no source
CANE_MM = 1000.0
SHOOT_MM = 500.0
LEFT_OUT = 0.1
_BASE_STUB_MM = 3.0
#: a rule of days longer than this is not drawn
_MOST_DAYS = 540
_MOST_POINTS = 60
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


class NoSheetError(ValueError):
    """An answer that has nothing to stick: the reason is the answer's own."""


def stick_sheet(
    advice: Advice,
    *,
    code: str = "",
    garden: str = "",
    made_on: date | None = None,
    shoot_length_mm: float | None = None,
    nodes_per_shoot: int | None = None,
    first: First = "metric",
) -> StickSheet:
    """Return the stick sheet of an answer, ready to be printed.

    Parameters
    ----------
    advice : Advice
        An answer with something to stick.
    code : str
        The batch's code, or empty.
    garden : str
        Name of the garden.
    made_on : date, optional
        The day it is printed.
    shoot_length_mm : float, optional
        Length of this plant's usual shoot [mm].
    nodes_per_shoot : int, optional
        Nodes on it [1].
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    StickSheet
        Words, numbers and drawings.

    Raises
    ------
    NoSheetError
        If the answer is that nothing may or can be stuck.

    References
    ----------
    As the answer's own; a usual cane of 1 m, a usual shoot of 0.5 m, a tenth left out at each end:
    common practice, no source.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> answer = advise(load_handbook(), "rose", on=date(2026, 10, 20), shoot="spent", want=5)
    >>> stick_sheet(answer).steps[0].lead
    'Wash the pots.'
    """
    plan = advice.plan
    if plan is None or plan.n_to_stick is None or plan.n_containers is None:
        raise NoSheetError(advice.why or headline(advice))
    cane = cane_drawing(
        plan.page,
        plan.leaf,
        plan.leafless,
        shoot_length_mm=shoot_length_mm,
        nodes_per_shoot=nodes_per_shoot,
        first=first,
    )
    return StickSheet(
        name_runs=_runs(advice.taxon),
        answer=_answer(advice, plan),
        steps=_steps(advice, plan),
        common_name=advice.common_name,
        code=code,
        facts=_facts(advice, plan, cane, first),
        cane=cane,
        pot=_pot(plan),
        days=days_of_plan(advice, plan),
        rests_on=rests_on_words(advice.basis),
        sources=tuple(source for source in advice.sources if source not in advice.beside),
        garden=garden,
        made_on=made_on,
        first=first,
    )


def cane_drawing(
    page: Page,
    leaf: WoodLeaf,
    leafless: bool,
    *,
    shoot_length_mm: float | None = None,
    nodes_per_shoot: int | None = None,
    first: First = "metric",
) -> CaneDrawing:
    """Return a usual shoot of a plant and how it is cut.

    Parameters
    ----------
    page : Page
        The plant's page.
    leaf : WoodLeaf
        The wood.
    leafless : bool
        Whether the cuttings go without leaves.
    shoot_length_mm : float, optional
        Length of the shoot; 1 m of a cane, 0.5 m of another shoot unless given [mm].
    nodes_per_shoot : int, optional
        Nodes on it; unless given as many as put the usual number on a piece of the usual length [1].
    first : {'metric', 'us'}
        Which measure comes first.

    Returns
    -------
    CaneDrawing
        Pieces of the shoot, or one cutting of another form.

    Notes
    -----
    Nodes stand evenly.  A tenth is left out at tip and base; pieces by
    `slipwright.craft.cane.cuttings_of_cane`.

    References
    ----------
    As `stick_sheet`.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> len(cane_drawing(rose, rose.woods["semi-hardwood"], False).cuttings)
    7
    """
    typical = (leaf.length_mm.low + leaf.length_mm.high) / 2
    n_nodes = max((leaf.n_nodes.low + leaf.n_nodes.high) / 2, 1.0)
    stub = (page.top_stub_mm.low + page.top_stub_mm.high) / 2
    whole = leaf.cutting == "piece"
    usual = CANE_MM if page.shoot_word == "cane" else SHOOT_MM
    cane_mm = (shoot_length_mm or usual) if whole else typical
    if whole and nodes_per_shoot:
        spacing = cane_mm / (nodes_per_shoot + 1)
    else:
        spacing = _spacing(typical, n_nodes, stub if whole else 0.0)
    nodes = _even(cane_mm, spacing) if whole else _nodes_of_cutting(leaf, typical, n_nodes, stub)
    ends = LEFT_OUT * cane_mm if whole else 0.0
    return CaneDrawing(
        cane_mm=cane_mm,
        node_mm=nodes,
        cuttings=_pieces(leaf, nodes, cane_mm, ends, stub, first) if whole else (CaneCutting(0.0, typical),),
        tip_mm=ends,
        base_mm=ends,
        form=leaf.cutting,
        wood=leaf.wood,
        prickles=page.prickles,
        top_stub_mm=stub,
        top_stub_text=Said(
            "{stub} above the bud",
            stub=length_at_hand(round(page.top_stub_mm.low), round(page.top_stub_mm.high), "mm", first),
        ),
        leaves="none" if leafless else leaf.leaves,
        leaf="none" if leafless else ("leaflets" if page.genus in _LEAFLETS else "simple"),
        opposite=page.genus in _OPPOSITE,
        called=page.shoot_word,
        nodes_under=round(leaf.buried.low) if leaf.buried.unit == "nodes" else 1,
        under_share=None if leaf.buried.unit == "nodes" else (leaf.buried.low + leaf.buried.high) / 2,
    )


def _spacing(length_mm: float, n_nodes: float, stub_mm: float) -> float:
    """Distance of nodes that puts so many on a piece of such a length."""
    if n_nodes <= 1:
        return length_mm
    return max((length_mm - stub_mm - _BASE_STUB_MM) / n_nodes, 5.0)


def _even(cane_mm: float, spacing_mm: float) -> tuple[float, ...]:
    n = max(int((cane_mm - _BASE_STUB_MM) / spacing_mm), 1)
    return tuple(round((i + 1) * spacing_mm, 1) for i in range(n) if (i + 1) * spacing_mm <= cane_mm)


def _nodes_of_cutting(leaf: WoodLeaf, length_mm: float, n_nodes: float, stub_mm: float) -> tuple[float, ...]:
    """Nodes of one cutting that is not a piece: from under its tip to just above its base."""
    n = max(round(n_nodes), 1)
    if leaf.cutting == "single-node":
        return (round(min(stub_mm, length_mm / 2), 1),)
    top = 0.15 * length_mm if leaf.cutting == "tip" else min(stub_mm, length_mm / 3)
    if n == 1:
        return (round(top, 1),)
    step = (length_mm - _BASE_STUB_MM - top) / (n - 1)
    return tuple(round(top + i * step, 1) for i in range(n))


def _longest(leaf: WoodLeaf, nodes: Sequence[float], stub_mm: float) -> float:
    """Return the longest piece that keeps to the usual number of nodes, if the usual length allows it."""
    spacing = nodes[1] - nodes[0] if len(nodes) > 1 else leaf.length_mm.high
    by_nodes = (round(leaf.n_nodes.high) - 0.5) * spacing + stub_mm + _BASE_STUB_MM
    return max(min(by_nodes, leaf.length_mm.high), leaf.length_mm.low)


def _pieces(
    leaf: WoodLeaf, nodes: Sequence[float], cane_mm: float, ends_mm: float, stub_mm: float, first: First
) -> tuple[CaneCutting, ...]:
    cut: tuple[Cutting, ...] = cuttings_of_cane(
        nodes,
        cane_mm=cane_mm,
        tip_mm=ends_mm,
        base_mm=ends_mm,
        min_nodes=max(round(leaf.n_nodes.low), 1),
        min_mm=leaf.length_mm.low,
        max_mm=_longest(leaf, nodes, stub_mm),
        top_stub_mm=stub_mm,
        base_stub_mm=_BASE_STUB_MM,
    )
    return tuple(
        CaneCutting(
            piece.top_mm,
            piece.base_mm,
            _LETTERS[i % len(_LETTERS)],
            (counted(piece.n_nodes, "node"), length_text(piece.length_mm, first=first)),
        )
        for i, piece in enumerate(cut)
    )


def _steps(advice: Advice, plan: Plan) -> tuple[Step, ...]:
    """Make steps with their cautions; rights are a matter of the plant one cuts from."""
    rights = [caution for caution in advice.cautions if caution.key == "rights"]
    made = []
    for step in plan.steps:
        if step.key == "look":  # stands beside the days
            continue
        cautions = [*step.cautions, *(rights if step.key == "choose" else ())]
        made.append(Step(step.text, joined([caution.text for caution in cautions]), sentence(step.title)))
    return tuple(made)


def _runs(taxon: str) -> tuple[tuple[str, bool], ...]:
    try:
        return plant_name(taxon).runs()
    except NotAPlantName:
        return ((taxon, False),)


def _answer(advice: Advice, plan: Plan) -> str:
    stick = {
        "cuttings": counted(plan.n_to_stick or 1, "cutting"),
        "wood": WOOD_WORDS[plan.leaf.wood],
        "pots": counted(plan.n_containers or 1, "pot"),
    }
    if plan.start_on == advice.asked.on:
        return Said("Stick {cuttings} of {wood} in {pots}.", **stick)
    day = day_in_words(plan.start_on, beside=advice.asked.on)
    return Said("Stick {cuttings} of {wood} in {pots}, from about {day}.", **stick, day=day)


def _facts(advice: Advice, plan: Plan, cane: CaneDrawing, first: First) -> tuple[tuple[str, str], ...]:
    leaf, odds = plan.leaf, plan.odds
    n_to_stick, n_pots = plan.n_to_stick or 1, plan.n_containers or 1
    low, middle, high = odds.p_rooted
    chance = Said(
        "about {chance} root; 8 times in 10 {between}", chance=tenths(middle), between=share_range(low, high)
    )
    time = Said("{time}, 8 times in 10", time=span(odds.weeks_to_root[0], odds.weeks_to_root[2], WEEKS))
    size = [length_text(leaf.length_mm.low, leaf.length_mm.high, first=first), nodes_of_leaf(leaf)]
    pots = Said(
        "{n} of {volume}, up to {most} in each",
        n=n_pots,
        volume=volume_text(plan.pot_l, first=first),
        most=plan.n_per_container,
    )
    rows: list[tuple[str, str]] = [
        _wanted(advice, plan),
        (Said("Chance"), chance),
        (Said("Time"), time),
        (Said("Size"), joined(size, ", ")),
        (Said("Pots"), pots),
        (Said("Medium"), _medium(plan, n_pots)),
    ]
    if cane.cuttings and leaf.cutting == "piece":
        shoots = counted(-(-n_to_stick // len(cane.cuttings)), plan.page.shoot_word)
        long = plain(cane.cane_mm / 10, 0)
        rows.append((Said("Shoots"), Said("about {shoots} of {length} cm", shoots=shoots, length=long)))
    if plan.dose and plan.dose.form != "none":
        dip = joined([dose_words(plan.dose), _poured(plan.dose.form, n_to_stick)], "; ")
        rows.append((Said("Hormone"), dip))
    return tuple(rows)


def _medium(plan: Plan, n_pots: int) -> str:
    """Say the parts, what they come to where mixing settles them, and the water."""
    need = medium_litres(n_pots, plan.pot_l * 1000, plan.page.medium)
    parts = listed(
        [
            Said("{litres} L {part}", litres=plain(n), part=part_words(name))
            for name, n in need.parts_l.items()
        ]
    )
    if plain(sum(need.parts_l.values())) != plain(need.blend_l):
        settled = Said("which settle to {litres} L", litres=plain(need.blend_l))
        parts = joined([parts, settled], ", ")
    return joined([parts, Said("{litres} L water", litres=plain(need.water_l))], "; ")


def _wanted(advice: Advice, plan: Plan) -> tuple[str, str]:
    """Say what is wanted and how surely it comes; of a number already stuck, how many likely root."""
    if advice.asked.n_stuck is None:
        chance = tenths(plan.p_reached or 0)
        if advice.asked.n_wanted == 1:
            return Said("Wanted"), Said("1 rooted, {chance} with this many", chance=chance)
        n = plain(advice.asked.n_wanted, 0)
        return Said("Wanted"), Said("{n} rooted, {chance} with this many", n=n, chance=chance)
    low, high = (round(plan.odds.p_rooted[i] * advice.asked.n_stuck) for i in (0, 2))
    of = plain(advice.asked.n_stuck, 0)
    return Said("Likely"), Said("{n} of {of} root, 8 times in 10", n=span(low, high, decimals=0), of=of)


def _poured(form: str, n_to_stick: int) -> str:
    if form not in ("quick-dip", "gel"):
        return Said("pour out a little")
    return Said("pour out about {n} ml", n=plain(dip_ml(n_to_stick).mid_ml, 0))


def nodes_of_leaf(leaf: WoodLeaf) -> str:
    """Return how many nodes a cutting has.

    Parameters
    ----------
    leaf : WoodLeaf
        The wood.

    Returns
    -------
    str
        Such as "2 to 4 nodes".

    References
    ----------
    As the handbook's own.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> nodes_of_leaf(load_handbook().page_of("Salvia officinalis").woods["softwood"])
    '2 to 4 nodes'
    """
    return span(leaf.n_nodes.low, leaf.n_nodes.high, NODE if leaf.n_nodes.high == 1 else NODES, 0)


def _pot(plan: Plan) -> PotDrawing:
    width = round_pot_width_mm(plan.pot_l * 1000)
    n_pots, n_to_stick = plan.n_containers or 1, plan.n_to_stick or 1
    per_pot = -(-n_to_stick // n_pots)
    edge = min(20.0, width / 4)
    points = sticking_points(min(per_pot, _MOST_POINTS), width, edge_mm=edge)
    return PotDrawing(
        width_mm=round(width, 1),
        points_mm=tuple((x, -y) for x, y in points),
        n_containers=n_pots,
        says=(
            Said("{pots} of {litres} L", pots=counted(n_pots, "pot"), litres=plain(plan.pot_l)),
            Said("{n} in each here", n=per_pot),
        ),
    )


def days_of_plan(advice: Advice, plan: Plan, *, pot_up_note: str = "") -> Timeline:
    """Return the days for the brass rule: what lies too far ahead is said, not drawn.

    Parameters
    ----------
    advice : Advice
        The answer.
    plan : Plan
        What to do.
    pot_up_note : str
        What is said of potting up, in place of the handbook's words.

    Returns
    -------
    Timeline
        Days and words.

    References
    ----------
    As the plan's own.

    Examples
    --------
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> answer = advise(load_handbook(), "rose", on=date(2026, 10, 20))
    >>> days_of_plan(answer, answer.plan).stick_on
    datetime.date(2026, 10, 20)
    """
    start = plan.start_on
    last = start + timedelta(days=_MOST_DAYS)
    roots = plan.roots_within
    pot = plan.pot_up_on
    pot_up = (pot.p10, pot.p90) if pot.p10 and pot.p90 and pot.p90 <= last else None
    on = advice.asked.on
    look = Said(
        "every {n} days; take out what is black or mouldy; new leaves are not roots",
        n=advice.asked.round_days,
    )
    says: tuple[tuple[str, str], ...] = (
        (Said("Look"), look),
        (Said("Pot up"), joined([sentence(_likely(pot, on)), pot_up_note or plan.leaf.pot_up_note.text])),
        (Said("Ready"), _likely(plan.ready_on, on)),
    )
    return Timeline(
        stick_on=start,
        look_on=tuple(day for day in plan.look_on if day <= last),
        roots=roots if roots[1] <= last else None,
        pot_up=pot_up,
        says=says,
    )


def _likely(days: DayRange, beside: date) -> str:
    return likely_days(days.p10, days.p90, days.p_never, beside=beside)
