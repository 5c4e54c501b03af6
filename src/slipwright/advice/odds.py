"""Chances of a wood as it is taken here, by the two clocks: shoot, leaves and cover count."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

from slipwright.advice._wording import fewer
from slipwright.advice.kinds import kind_of
from slipwright.craft.said import Said
from slipwright.handbook.pages import Page, WoodLeaf
from slipwright.rooting.cuttings import Cover, Cuttings
from slipwright.rooting.learned import Kind, Learned, before_records
from slipwright.rooting.outlook import Points, outlook_of
from slipwright.rooting.page_prior import usual_cuttings
from slipwright.rooting.ranges import Array

#: how near to bloom soft wood without a bud stands that is cut within the handbook's gap before first
#: flower, 0 clear of it to 1 in full flower: common practice, no source
NEAR_BLOOM = 0.5
_COVERS: dict[str, Cover] = {"tent": "tent", "mist": "mist", "open": "open"}


@dataclass(frozen=True, slots=True)
class Odds:
    """Rooting of one kind of batch: 10, 50 and 90 per cent points, and what moved them.

    ``rooted`` are draws of the share that roots by the end of patience.
    """

    cuttings: Cuttings
    kind: Kind
    p_rooted: Points
    weeks_to_root: Points
    patience_days: float
    rooted: Array = field(compare=False, repr=False)
    remarks: tuple[str, ...] = ()
    #: what nearness of bloom does to the odds, as a factor
    near_bloom: float = 1.0


def odds_of(
    page: Page,
    leaf: WoodLeaf,
    *,
    shoot: str | None,
    have: str | None,
    leafless: bool,
    near_bloom: bool = False,
    learned: Learned | None = None,
    taxon: str = "",
    on: date = date(2001, 1, 1),
    south: bool = False,
) -> Odds:
    """Return the chances of a wood as it is taken.

    Parameters
    ----------
    page : Page
        The plant's page.
    leaf : WoodLeaf
        The wood.
    shoot : {'vegetative', 'budded', 'flowering', 'spent'} or None
        State of the shoot; only a spent one costs, the others are clear or refused elsewhere.
    have : {'tent', 'mist', 'open'} or None
        The cover there is.
    leafless : bool
        Whether the cuttings go without leaves.
    near_bloom : bool
        Whether it is soft wood cut so near before bloom that this costs.
    learned : Learned, optional
        What records taught; the prior unless given.
    taxon : str
        Botanical name; the page's first unless given.
    on : date
        Day of sticking, for what was learned of its season.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    Odds
        Points and draws; ``remarks`` says in words what was changed, and by how much the model has it.

    Notes
    -----
    The handbook's usual way, with what differs from it: a spent shoot, bloom near (half of full flower), no
    leaves, another cover.  The model's coefficients turn these into hazards of rooting and loss.  A leafless
    cutting needs no cover; where the usual way has none, a cover at hand changes nothing.  What a remark says
    is the ratio of the odds of the middle with and without.

    References
    ----------
    The cost of a spent shoot carries its source or mark in the handbook.  Less cover lowers
    survival of single-node rose cuttings: Costa J.M. and others 2001, Acta Horticulturae
    547:167-174, abstract; the coefficients: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> leaf = rose.woods["hardwood"]
    >>> odds = odds_of(rose, leaf, shoot=None, have="open", leafless=True)
    >>> abs(odds.p_rooted[1] - leaf.rooted_percent[0].p50 / 100) < 0.03
    True
    """
    knows = before_records() if learned is None else learned
    kind = kind_of(taxon or page.taxa[0], leaf, leaf.wood, on, south=south)
    usual = usual_cuttings(leaf, leaf.wood)
    patience = leaf.patience_days.value
    cost = page.bloom.spent_cost
    is_spent = shoot == "spent" and cost.value != 1
    is_near = near_bloom and shoot != "spent"
    bare = leafless and usual.leaves != "none"
    cover = None if have is None or leafless or usual.cover == "open" else _COVERS[have]
    cuttings = replace(
        usual,
        spent=cost.value if is_spent else 1.0,
        bloom=NEAR_BLOOM if is_near else usual.bloom,
        leaves="none" if leafless else usual.leaves,
        cover=cover or usual.cover,
    )
    found = outlook_of(knows, cuttings, kind, patience)

    def factor(without: Cuttings) -> float:
        now, other = found.p_rooted[1], outlook_of(knows, without, kind, patience).p_rooted[1]
        return now * (1 - other) / max(other * (1 - now), 1e-9)

    remarks: list[str] = []
    near = 1.0
    if is_spent:
        remarks.append(
            Said(
                "of spent shoots {fewer} root ({origin})",
                fewer=fewer(factor(replace(cuttings, spent=1.0))),
                origin=cost.origin.words,
            )
        )
    if is_near:
        near = factor(replace(cuttings, bloom=usual.bloom))
        remarks.append(
            Said(
                "just before bloom, of soft shoots without a bud {fewer} root (common practice, no source)",
                fewer=fewer(near),
            )
        )
    if bare:
        remarks.append(
            Said(
                "of cuttings without leaves {fewer} root, and later (common practice, no source)",
                fewer=fewer(factor(replace(cuttings, leaves=usual.leaves))),
            )
        )
    if cover == "open":
        remarks.append(
            Said(
                "leafy cuttings without a cover dry out: {fewer} root (common practice, no source)",
                fewer=fewer(factor(replace(cuttings, cover=usual.cover))),
            )
        )
    return Odds(
        cuttings, kind, found.p_rooted, found.weeks_to_root, patience, found.rooted, tuple(remarks), near
    )
