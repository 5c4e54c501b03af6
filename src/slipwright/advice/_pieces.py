"""Cuttings in words: how a shoot is made into them, and how deep they stand."""

from __future__ import annotations

from slipwright.advice._wording import NODES, counted, length_at_hand, span
from slipwright.craft.container import round_pot_width_mm
from slipwright.craft.figures import FIRM
from slipwright.craft.said import Said, cased, joined
from slipwright.handbook.pages import Page, Range, WoodLeaf
from slipwright.outputs.measures import First, length_text

_SHARES = {
    0.25: Said("a quarter"),
    0.33: Said("a third"),
    0.5: Said("half"),
    0.67: Said("two thirds"),
    0.75: Said("three quarters"),
}
_DIVIDE = {"shoot": Said("Divide the shoot"), "cane": Said("Divide the cane")}


def dividing_words(page: Page, leaf: WoodLeaf, first: First = "metric") -> tuple[str, str]:
    """Return title and text of the step that makes cuttings of the shoots."""
    length = length_text(leaf.length_mm.low, leaf.length_mm.high, first=first)
    size = Said("{length} long, {nodes}", length=length, nodes=_nodes(leaf.n_nodes))
    stub = page.top_stub_mm
    flat = Said(
        "a flat cut {stub} above the top bud",
        stub=length_at_hand(round(stub.low), round(stub.high), "mm", first),
    )
    slant = Said("a slanted cut just below the lowest node")
    if leaf.cutting == "piece":
        title: str = _DIVIDE[page.shoot_word]
        text = Said(
            "Leave out the soft tip and the oldest wood at the base. Each piece {size}: {flat}, {slant}.",
            size=size,
            flat=flat,
            slant=slant,
        )
    elif leaf.cutting == "tip":
        title = Said("Trim the tips")
        text = Said(
            "The tip stays on: each cutting {size}, with {slant}. Pinch out a flower bud if you find one.",
            size=size,
            slant=slant,
        )
    elif leaf.cutting == "heel":
        title = Said("Pull side shoots with a heel")
        text = Said(
            "Pull each side shoot down so that a sliver of older wood comes with it; trim the tail of the "
            "sliver. Each {size}; a soft tip comes off with {flat}.",
            size=size,
            flat=flat,
        )
    elif leaf.cutting == "mallet":
        title = Said("Cut mallets")
        text = Said(
            "Each side shoot with a slice of the older stem across its foot. Each {size}, with {flat}.",
            size=size,
            flat=flat,
        )
    else:
        title = Said("Cut single nodes")
        text = Said(
            "One bud with its leaf to a piece, {length} long: {flat}, and a slanted cut between nodes "
            "below it.",
            length=length,
            flat=flat,
        )
    return title, joined([text, Said("Lay all the same way up; a piece upside down does not root.")])


def _nodes(n_nodes: Range) -> str:
    low, high = round(n_nodes.low), round(n_nodes.high)
    return counted(low, "node") if low == high else span(low, high, NODES)


def under_words(leaf: WoodLeaf, pot_l: float) -> str:
    """Return how much of a cutting stands in the medium of a pot."""
    buried = leaf.buried
    if leaf.cutting == "single-node":
        return Said("The bud level with the surface")
    if buried.unit == "nodes":
        if buried.low == buried.high == 1:
            return Said("One node under")
        return Said("{nodes} under", nodes=_nodes(buried))
    low, high = (
        _SHARES.get(round(share, 2), f"{100 * share:.0f}{FIRM}%") for share in (buried.low, buried.high)
    )
    share = cased(low if low == high else Said("{low} to {high}", low=low, high=high), "capital")
    # a pot is taken to be as deep as it is wide, less the 2 cm kept free below
    room_mm = round_pot_width_mm(pot_l * 1000) - 20
    if buried.high * leaf.length_mm.high > room_mm:
        return Said(
            "{share} of the length under, one node at least, or as deep as the pot allows", share=share
        )
    return Said("{share} of the length under, one node at least", share=share)
