"""Chances of a wood as it is taken here: the shoot's state and the cover move the handbook's range."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.advice._wording import fewer
from slipwright.craft.numbers import StickCount, beta_of_spread, cuttings_to_stick, p_at_least
from slipwright.craft.said import Said
from slipwright.handbook.pages import Page, WoodLeaf
from slipwright.rooting.clocks import Clocks, clocks_of_leaf, share_points, weeks_points

#: factors on the odds of rooting and of loss of a leafy cutting that has no cover: common practice,
#: no source
NO_COVER_ROOTED = 0.25
NO_COVER_LOST = 4.0
#: factor on the odds of rooting of soft wood without a bud, cut within the handbook's gap before
#: first flower: common practice, no source
NEAR_BLOOM_ROOTED = 0.7
#: three points of a range are held at least so far apart, as shares
LEAST_GAP = 0.005

Points = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Odds:
    """Rooting of one kind of batch: clocks, 10/50/90 per cent points, and what moved them."""

    clocks: Clocks
    p_rooted: Points
    weeks_to_root: Points
    remarks: tuple[str, ...] = ()


def odds_of(
    page: Page,
    leaf: WoodLeaf,
    *,
    shoot: str | None,
    have: str | None,
    leafless: bool,
    near_bloom: bool = False,
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

    Returns
    -------
    Odds
        Clocks and points; ``remarks`` says in words what was changed and on whose word.

    Notes
    -----
    odds = handbook's odds x cost of a spent shoot x 0.7 for soft wood just before bloom x 0.25 for
    leafy cuttings without cover, whose odds of loss are x 4.  The two factors of cover turn 8 in 10
    rooted into about 5 in 10, and 2 lost of 10 into about 5.  A leafless cutting needs no cover.

    References
    ----------
    The cost of a spent shoot carries its source or mark in the handbook.  Less cover lowers
    survival of single-node rose cuttings: Costa J.M. and others 2001, Acta Horticulturae
    547:167-174, abstract; the factors themselves, and that of near bloom: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> leaf = rose.woods["hardwood"]
    >>> odds = odds_of(rose, leaf, shoot=None, have="open", leafless=True)
    >>> round(odds.p_rooted[1], 2) == leaf.rooted_percent[0].p50 / 100
    True
    """
    clocks = clocks_of_leaf(leaf)
    remarks: list[str] = []
    cost = page.bloom.spent_cost
    if shoot == "spent" and cost.value != 1:
        clocks = clocks.with_odds(rooted=cost.value)
        remarks.append(
            Said(
                "of spent shoots {fewer} root ({origin})",
                fewer=fewer(cost.value),
                origin=cost.origin.words,
            )
        )
    if near_bloom and shoot != "spent":
        clocks = clocks.with_odds(rooted=NEAR_BLOOM_ROOTED)
        remarks.append(
            Said(
                "just before bloom, of soft shoots without a bud {fewer} root (common practice, no source)",
                fewer=fewer(NEAR_BLOOM_ROOTED),
            )
        )
    if have == "open" and not leafless:
        clocks = clocks.with_odds(rooted=NO_COVER_ROOTED, lost=NO_COVER_LOST)
        remarks.append(
            Said(
                "leafy cuttings without a cover dry out: {fewer} root (common practice, no source)",
                fewer=fewer(NO_COVER_ROOTED),
            )
        )
    return Odds(clocks, share_points(clocks), weeks_points(clocks), tuple(remarks))


def stick_count(n_wanted: int, assurance: float, p_rooted: Points) -> StickCount:
    """Return how many to stick for so many rooted with the assurance wished.

    Parameters
    ----------
    n_wanted : int
        Rooted cuttings wanted [1].
    assurance : float
        Probability wished, above 0 and below 1 [-].
    p_rooted : tuple of three float
        10, 50 and 90 per cent points of the share that roots [-].

    Returns
    -------
    StickCount
        The number and the probability it reaches.

    Raises
    ------
    BadArgument
        If a number lies outside its range.
    OutOfReach
        If no number to stick reaches it.

    Notes
    -----
    Beta-binomial with the beta that fits the three points; points nearer than 0.005 are spread to
    that first.

    References
    ----------
    As `slipwright.craft.numbers`.

    Examples
    --------
    >>> stick_count(5, 0.8, (0.6, 0.7, 0.8)).n_to_stick
    9
    """
    mean, precision = _beta(p_rooted)
    return cuttings_to_stick(n_wanted, mean, assurance, precision)


def chance_of(n_wanted: int, n_stuck: int, p_rooted: Points) -> float:
    """Return the chance of so many rooted when so many are stuck.

    Parameters
    ----------
    n_wanted : int
        Rooted cuttings wanted [1].
    n_stuck : int
        Cuttings stuck [1].
    p_rooted : tuple of three float
        10, 50 and 90 per cent points of the share that roots [-].

    Returns
    -------
    float
        Probability [-].

    Raises
    ------
    BadArgument
        If a number lies outside its range.

    Notes
    -----
    As `stick_count`.

    References
    ----------
    As `slipwright.craft.numbers`.

    Examples
    --------
    >>> round(chance_of(5, 9, (0.6, 0.7, 0.8)), 2)
    0.88
    """
    mean, precision = _beta(p_rooted)
    return p_at_least(n_wanted, n_stuck, mean, precision)


def _beta(p_rooted: Points) -> tuple[float, float]:
    p50 = min(max(p_rooted[1], 2 * LEAST_GAP), 1 - 2 * LEAST_GAP)
    p10 = max(min(p_rooted[0], p50 - LEAST_GAP), LEAST_GAP / 5)
    p90 = min(max(p_rooted[2], p50 + LEAST_GAP), 1 - LEAST_GAP / 5)
    return beta_of_spread(p10, p50, p90)
