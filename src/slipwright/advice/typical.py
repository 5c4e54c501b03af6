"""What a kind of wood usually is: the middle of all plants of the handbook that have it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from statistics import median

from slipwright.craft.wood import season_dates
from slipwright.handbook import Handbook
from slipwright.handbook.pages import (
    COMMON_PRACTICE,
    Amount,
    BloomRule,
    Origin,
    Page,
    Range,
    Season,
    Spread,
    Wood,
    WoodLeaf,
)


def typical_page(handbook: Handbook, wood: Wood) -> Page:
    """Return a page that stands for every plant with a kind of wood.

    Parameters
    ----------
    handbook : Handbook
        Every page.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.

    Returns
    -------
    Page
        A page without a key, with the one wood.

    Notes
    -----
    Each end of a range is the median of that end over the pages; form, cover, leaves and hormone are those
    of the page that agrees with most.

    References
    ----------
    As the pages of the handbook; the medians are our own.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> typical_page(load_handbook(), "hardwood").woods["hardwood"].cutting
    'piece'
    """
    pages = [page for page in handbook.pages if wood in page.woods]
    leaves = [page.woods[wood] for page in pages]
    like = _commonest_leaf(leaves)
    origin = Origin(mark=COMMON_PRACTICE)
    leaf = replace(
        like,
        seasons=(_middle_season([leaf.seasons[-1] for leaf in leaves], origin),),
        length_mm=_middle_range([leaf.length_mm for leaf in leaves]),
        n_nodes=_whole(_middle_range([leaf.n_nodes for leaf in leaves])),
        rooted_percent=(_middle_spread([leaf.rooted_percent[0] for leaf in leaves]),),
        weeks_to_root=(_middle_spread([leaf.weeks_to_root[0] for leaf in leaves]),),
        lost_percent=(_middle_spread([leaf.lost_percent[0] for leaf in leaves]),),
        medium_c=_middle_range([leaf.medium_c for leaf in leaves]),
        patience_days=_middle_amount([leaf.patience_days for leaf in leaves]),
        weaning_days=_middle_spread([leaf.weaning_days for leaf in leaves]),
        months_to_finished=_middle_spread([leaf.months_to_finished for leaf in leaves]),
        diameter_mm=None,
        notes=(),
        cutting_note=None,
        other_lengths_mm=(),
        cover_from=(),
    )
    base = next(page for page in pages if page.woods[wood] is like)
    return replace(
        base,
        key="",
        synonyms=(),
        common_names=(),
        shoot_word="shoot",
        prickles=False,
        bloom=_no_bloom(base.bloom),
        top_stub_mm=_middle_range([page.top_stub_mm for page in pages]),
        woods={wood: leaf},
        rights=base.rights[:1],
        storing=base.storing[:1],
        winter=(),
        hazards=(),
        hazard_notes=(),
        restricted=(),
        notes=(),
    )


def _commonest_leaf(leaves: Sequence[WoodLeaf]) -> WoodLeaf:
    """Return the page whose form, cover, leaves and hormone are those of most."""
    wanted = {
        name: Counter(_of(leaf, name) for leaf in leaves).most_common(1)[0][0]
        for name in ("cutting", "cover_kind", "leaves", "form", "pot_up")
    }
    return max(leaves, key=lambda leaf: sum(_of(leaf, name) == usual for name, usual in wanted.items()))


def _of(leaf: WoodLeaf, name: str) -> str:
    if name == "form":
        return leaf.doses[0].form if leaf.doses else "none"
    return str(getattr(leaf, name))


def _middle_range(ranges: Sequence[Range]) -> Range:
    low, high = median(one.low for one in ranges), median(one.high for one in ranges)
    return Range(low, max(low, high), ranges[0].unit, Origin(mark=COMMON_PRACTICE))


def _whole(one: Range) -> Range:
    return replace(one, low=float(round(one.low)), high=float(round(one.high)))


def _middle_amount(amounts: Sequence[Amount]) -> Amount:
    return Amount(median(one.value for one in amounts), amounts[0].unit, Origin(mark=COMMON_PRACTICE))


def _middle_spread(spreads: Sequence[Spread]) -> Spread:
    low, middle, high = sorted(
        median(getattr(one, name) for one in spreads) for name in ("p10", "p50", "p90")
    )
    return Spread(low, middle, high, spreads[0].unit, "", Origin(mark=COMMON_PRACTICE))


def _middle_season(seasons: Sequence[Season], origin: Origin) -> Season:
    spans = [season_dates(one.opens, one.closes, south=False, near=date(2026, 7, 1)) for one in seasons]
    if all(one.opens > one.closes for one in seasons):  # over the new year
        spans = [season_dates(one.opens, one.closes, south=False, near=date(2026, 12, 31)) for one in seasons]
    opens, closes = (
        date.fromordinal(round(median(span[edge].toordinal() for span in spans))) for edge in (0, 1)
    )
    return Season((opens.month, opens.day), (closes.month, closes.day), "", origin)


def _no_bloom(rule: BloomRule) -> BloomRule:
    none = Amount(0.0, "days", Origin(mark=COMMON_PRACTICE))
    return replace(rule, gap_before_days=none, gap_after_days=none, notes=())
