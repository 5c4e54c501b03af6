"""Reading the leaves of a page: its bloom rule and one leaf a kind of wood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from slipwright.craft.said import Said
from slipwright.handbook._entries import Entry
from slipwright.handbook._values import (
    Sources,
    amount,
    day_and_month,
    dose,
    range_of,
    season,
    spread,
    statement,
)
from slipwright.handbook.pages import (
    WOODS,
    BloomRule,
    CoverChange,
    CoverKind,
    Cutting,
    Leaves,
    PotUpRule,
    Spread,
    Statement,
    Wood,
    WoodLeaf,
)


def bloom_rule(entry: Entry, sources: Sources) -> BloomRule:
    """Take how flowering bears on taking wood."""
    rule = BloomRule(
        flowers=entry.word("flowers", ("once", "repeat")),
        bloom=season(entry.table("season"), sources),
        gap_before_days=amount(entry.table("gap_before_days"), "days", sources),
        gap_after_days=amount(entry.table("gap_after_days"), "days", sources),
        spent_cost=amount(entry.table("spent_cost"), "-", sources),
        reason=statement(entry.table("reason"), sources),
        notes=tuple(statement(note, sources) for note in entry.tables("notes", may_be_absent=True)),
    )
    if not 0 < rule.spent_cost.value <= 1:
        entry.fail("must be above 0 and at most 1", rule.spent_cost.value, "spent_cost.value")
    entry.done()
    return rule


def leaves_of_woods(
    entry: Entry, key: str, siblings: Mapping[str, Any], sources: Sources
) -> dict[Wood, WoodLeaf]:
    """Take the leaf of each wood the page has."""
    found = {
        wood: _wood(_wood_entry(entry, key, wood, siblings), wood, sources) for wood in WOODS if wood in entry
    }
    if not found:
        entry.fail(f"must hold at least one of the woods {', '.join(WOODS)}")
    return found


def _wood_entry(entry: Entry, key: str, wood: Wood, siblings: Mapping[str, Any]) -> Entry:
    """Take the table of a wood; with ``like`` it is the same wood of another page but for what it states."""
    table = entry.raw(wood)
    where = f"{entry.where}.{wood}"
    if not isinstance(table, dict) or "like" not in table:
        return Entry(entry.file, where, table)
    like = table["like"]
    other = siblings.get(like, {}).get(wood) if isinstance(like, str) and like != key else None
    if not isinstance(other, dict) or "like" in other:
        entry.fail(f"must be another page of this file that has its own {wood}", like, f"{wood}.like")
    return Entry(entry.file, where, {**other, **{name: table[name] for name in table if name != "like"}})


def _wood(entry: Entry, wood: Wood, sources: Sources) -> WoodLeaf:
    kind = entry.table("cover_kind")
    cutting, cutting_note = _choice(entry.table("cutting"), get_args(Cutting), sources, "note")
    leaves, leaves_note = _choice(entry.table("leaves"), get_args(Leaves), sources, "text")
    pot_up, pot_up_note = _choice(entry.table("pot_up"), get_args(PotUpRule), sources, "text")
    leafless_from, leafless_note = None, None
    if "leafless_from" in entry:
        table = entry.table("leafless_from")
        leafless_from = day_and_month(table, "value")
        leafless_note = statement(table, sources)
    leaf = WoodLeaf(
        wood=wood,
        cutting=cutting,
        seasons=tuple(season(item, sources) for item in entry.tables("seasons")),
        length_mm=range_of(entry.table("length_mm"), "mm", sources),
        n_nodes=range_of(entry.table("n_nodes"), "nodes", sources),
        leaves=leaves,
        leaves_note=leaves_note,
        rooted_percent=_spreads(entry, "rooted_percent", "%", sources),
        weeks_to_root=_spreads(entry, "weeks_to_root", "weeks", sources),
        lost_percent=_spreads(entry, "lost_percent", "%", sources),
        doses=tuple(dose(item, sources) for item in entry.tables("doses")),
        medium_c=range_of(entry.table("medium_c"), "°C", sources),
        light_mol_m2_day=range_of(entry.table("light_mol_m2_day"), "mol/m2/day", sources),
        cover=tuple(statement(item, sources) for item in entry.tables("cover")),
        cover_kind=kind.word("value", get_args(CoverKind)),
        cover_kind_origin=sources.origin(kind),
        cover_from=tuple(
            _cover_change(item, sources) for item in entry.tables("cover_from", may_be_absent=True)
        ),
        buried=range_of(entry.table("buried"), ("share", "nodes"), sources),
        patience_days=amount(entry.table("patience_days"), "days", sources),
        pot_up=pot_up,
        pot_up_note=pot_up_note,
        weaning_days=spread(entry.table("weaning_days"), "days", sources),
        months_to_finished=spread(entry.table("months_to_finished"), "months", sources),
        leafless_from=leafless_from,
        notes=tuple(statement(item, sources) for item in entry.tables("notes", may_be_absent=True)),
        cutting_note=cutting_note,
        leafless_note=leafless_note,
        other_lengths_mm=tuple(
            range_of(item, "mm", sources) for item in entry.tables("other_lengths_mm", may_be_absent=True)
        ),
        diameter_mm=range_of(entry.table("diameter_mm"), "mm", sources) if "diameter_mm" in entry else None,
    )
    kind.done()
    entry.done()
    _check_wood(entry, leaf)
    _check_buried(entry, leaf)
    return leaf


def _cover_change(entry: Entry, sources: Sources) -> CoverChange:
    """Take another cover from a day on."""
    day, kind = day_and_month(entry, "day"), entry.word("value", get_args(CoverKind))
    found = CoverChange(day, kind, Said(entry.text("text")), sources.origin(entry))
    entry.done()
    return found


def _choice(entry: Entry, allowed: tuple[str, ...], sources: Sources, words: str) -> tuple[Any, Statement]:
    """Take one of the allowed words with what is said of it and on whose word."""
    value = entry.word("value", allowed)
    text = entry.text(words) if words == "text" or words in entry else "the usual form"
    said = Statement(Said(text), sources.origin(entry))
    entry.done()
    return value, said


def _spreads(entry: Entry, key: str, unit: str, sources: Sources) -> tuple[Spread, ...]:
    found = tuple(spread(item, unit, sources) for item in entry.tables(key))
    first = found[0]
    # The sums lay a logit-normal or log-normal curve through the first row.
    if not 0 < first.p10 < first.p50 < first.p90 or (unit == "%" and first.p90 >= 100):
        entry.fail(
            "must have a first row that rises from above 0" + (" to below 100" if unit == "%" else ""),
            [first.p10, first.p50, first.p90],
            f"{key}[1]",
        )
    return found


def _check_wood(entry: Entry, leaf: WoodLeaf) -> None:
    both = leaf.rooted_percent[0].p50 + leaf.lost_percent[0].p50
    if both > 100:
        entry.fail("must not have middles of rooted and lost that exceed 100 together", both)
    slowest = 7 * max(row.p90 for row in leaf.weeks_to_root)
    if leaf.patience_days.value < slowest:
        entry.fail(
            f"must last as long as the slowest row of weeks_to_root, {slowest:g} days",
            leaf.patience_days.value,
            "patience_days.value",
        )
    nodes = leaf.n_nodes
    if nodes.low < 1 or nodes.low % 1 or nodes.high % 1:
        entry.fail("must be whole nodes, at least one", [nodes.low, nodes.high], "n_nodes")
    for stretch in leaf.seasons:
        if stretch.opens == stretch.closes:
            entry.fail("must not open and close on the same day", list(stretch.opens), "seasons")
    day = leaf.leafless_from
    if day is not None and not any(_inside(day, item.opens, item.closes) for item in leaf.seasons):
        entry.fail("must lie within one of the seasons", list(day), "leafless_from.value")


def _check_buried(entry: Entry, leaf: WoodLeaf) -> None:
    low, high = leaf.buried.low, leaf.buried.high
    if leaf.buried.unit == "share" and not 0 < low <= high < 1:
        entry.fail("must be a share above 0 and below 1", [low, high], "buried")
    if leaf.buried.unit == "nodes" and (low % 1 or high % 1 or not 1 <= low <= high < leaf.n_nodes.high):
        entry.fail("must be whole nodes, at least one, and leave one above", [low, high], "buried")


def _inside(day: tuple[int, int], opens: tuple[int, int], closes: tuple[int, int]) -> bool:
    if opens <= closes:
        return opens <= day <= closes
    return day >= opens or day <= closes
