"""Cuttings in words: how a shoot is made into them, and how deep they stand."""

from __future__ import annotations

from slipwright.advice._wording import counted, span
from slipwright.craft.container import round_pot_width_mm
from slipwright.handbook.pages import Cutting, Page, Range, WoodLeaf
from slipwright.outputs.measures import length_text

_SHARES = {0.25: "a quarter", 0.33: "a third", 0.5: "half", 0.67: "two thirds", 0.75: "three quarters"}


def dividing_words(page: Page, leaf: WoodLeaf) -> tuple[str, str]:
    """Return title and text of the step that makes cuttings of the shoots."""
    word = page.shoot_word
    size = f"{length_text(leaf.length_mm.low, leaf.length_mm.high)} long, {_nodes(leaf.n_nodes)}"
    stub = page.top_stub_mm
    flat = f"a flat cut {span(stub.low, stub.high, 'mm')} above the top bud"
    slant = "a slanted cut just below the lowest node"
    ways: dict[Cutting, tuple[str, str]] = {
        "piece": (
            f"Divide the {word}",
            f"Leave out the soft tip and the oldest wood at the base. Each piece {size}: {flat}, {slant}.",
        ),
        "tip": (
            "Trim the tips",
            f"The tip stays on: each cutting {size}, with {slant}. Pinch out a flower bud if you find one.",
        ),
        "heel": (
            "Pull side shoots with a heel",
            f"Pull each side shoot down so that a sliver of older wood comes with it; trim the tail of the "
            f"sliver. Each {size}; a soft tip comes off with {flat}.",
        ),
        "mallet": (
            "Cut mallets",
            f"Each side shoot with a slice of the older stem across its foot. Each {size}, with {flat}.",
        ),
        "single-node": (
            "Cut single nodes",
            f"One bud with its leaf to a piece, {length_text(leaf.length_mm.low, leaf.length_mm.high)} long: "
            f"{flat}, and a slanted cut between nodes below it.",
        ),
    }
    title, text = ways[leaf.cutting]
    return title, text + " Lay all the same way up; a piece upside down does not root."


def _nodes(n_nodes: Range) -> str:
    low, high = round(n_nodes.low), round(n_nodes.high)
    if low == high:
        return counted(low, "node")
    return f"{low} to {high} nodes"


def under_words(leaf: WoodLeaf, pot_l: float) -> str:
    """Return how much of a cutting stands in the medium of a pot."""
    buried = leaf.buried
    if leaf.cutting == "single-node":
        return "The bud level with the surface"
    if buried.unit == "nodes":
        one = buried.low == buried.high == 1
        return "One node under" if one else f"{_nodes(buried)} under"
    low, high = (_SHARES.get(round(share, 2), f"{100 * share:.0f} %") for share in (buried.low, buried.high))
    share = low if low == high else f"{low} to {high}"
    # a pot is taken to be as deep as it is wide, less the 2 cm kept free below
    room_mm = round_pot_width_mm(pot_l * 1000) - 20
    deep = ", or as deep as the pot allows" if buried.high * leaf.length_mm.high > room_mm else ""
    return f"{share.capitalize()} of the length under, one node at least{deep}"
