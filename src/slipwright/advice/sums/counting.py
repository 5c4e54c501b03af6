"""How many to stick, and where to cut a cane."""

from __future__ import annotations

from typing import Any, Final

from slipwright.advice._wording import counted, plain, times_in_ten
from slipwright.advice.sums.asking import COMMON, Blank, Given, Line, Reckoned, Sum
from slipwright.craft.cane import Cutting, cuttings_of_cane, why_none
from slipwright.craft.container import containers_needed
from slipwright.craft.numbers import cuttings_to_stick, p_at_least
from slipwright.craft.said import Said
from slipwright.outputs.measures import First, length_text

#: how alike batches are, as the a + b of the beta
_ALIKE: Final = {"own": 30.0, "usual": 10.0, "new": 5.0, "same": float("inf")}


def _number(given: Given, first: First) -> Reckoned:
    want, mean, assurance = given["want"], given["rooted"] / 100, given["assurance"] / 100
    precision = _ALIKE[given["alike"] or "usual"]
    count = cuttings_to_stick(want, mean, assurance, precision)
    n = count.n_to_stick
    least = _likely(n, 0.9, mean, precision)
    most = _likely(n, 0.1, mean, precision)
    lines = [
        Line(Said("Chance of {want} or more", want=plain(want, 0)), times_in_ten(count.p_reached)),
        Line(Said("Expected to root"), plain(n * mean, 0)),
    ]
    if given["each"]:
        lines.append(Line(Said("In pots"), counted(containers_needed(n, given["each"]), "pot")))
    notes: tuple[str, ...] = ()
    if assurance > 0.99:
        notes = (Said("So sure, the number turns on batches worse than any you have likely seen."),)
    return Reckoned(
        Said(
            "Stick {n}: {want} or more root {times}.",
            n=counted(n, "cutting"),
            want=plain(want, 0),
            times=times_in_ten(count.p_reached),
        ),
        tuple(lines),
        notes,
        range=Said(
            "Between {least} and {most} root, 8 times in 10.", least=plain(least, 0), most=plain(most, 0)
        ),
        trust=Said(
            "As good as the share you give it. That batches differ is counted in; how much they differ is "
            "our own estimate, which your own rounds replace."
        ),
        holds=Said("Cuttings of one kind, taken and kept alike."),
        sources=(
            Said("the beta-binomial distribution: exact"),
            Said("how alike batches are: our own estimate"),
        ),
    )


def _likely(n: int, chance: float, mean: float, precision: float) -> int:
    """Return the most plants that come with at least such a chance."""
    low, high = 0, n + 1
    while high - low > 1:
        middle = (low + high) // 2
        if p_at_least(middle, n, mean, precision) >= chance:
            low = middle
        else:
            high = middle
    return low


NUMBER: Final = Sum(
    "number",
    Said("Number to stick"),
    Said("how many cuttings, so that enough root"),
    "stick",
    (
        Blank("want", Said("Wanted"), "whole", Said("rooted"), 1, 100_000, "24", arguments=("n_wanted",)),
        Blank(
            "rooted",
            Said("Expected to root"),
            "number",
            "%",
            1,
            100,
            "65",
            Said("of a hundred stuck, as your own rounds or the handbook have it"),
            arguments=("mean",),
        ),
        Blank(
            "assurance",
            Said("How sure"),
            "number",
            "%",
            50,
            99.9,
            "90",
            Said("90 is 9 times in 10"),
        ),
        Blank("each", Said("In one pot"), "whole", Said("cuttings"), 1, 10_000, needed=False, more=True),
        Blank(
            "alike",
            Said("Batches"),
            "word",
            choices=(
                ("usual", Said("differ as usual")),
                ("own", Said("differ little: your own plant and way")),
                ("new", Said("differ much: a plant new to you")),
                ("same", Said("are all the same")),
            ),
            start="usual",
            needed=False,
            more=True,
            arguments=("precision",),
        ),
    ),
    _number,
)


def _cane(given: Given, first: First) -> Reckoned:
    nodes = tuple(10 * place for place in given["nodes"])
    limits: dict[str, Any] = {
        "cane_mm": None if given["cane"] is None else 10 * given["cane"],
        "tip_mm": 10 * (given["tip"] or 0),
        "base_mm": 10 * (given["base"] or 0),
        "min_nodes": given["least"] or 2,
        "min_mm": 10 * (given["short"] or 7.5),
        "max_mm": 10 * (given["long"] or 12.5),
    }
    pieces = cuttings_of_cane(nodes, **limits)
    answer = (
        Said("{pieces} from this cane.", pieces=counted(len(pieces), "cutting"))
        if pieces
        else Said("None from this cane: {why:sentence}", why=why_none(nodes, **limits))
    )
    return Reckoned(
        answer,
        tuple(
            Line(Said("Cutting {i}, from the tip", i=i), _place(piece, first))
            for i, piece in enumerate(pieces, 1)
        ),
        (Said("Flat top just above a bud, slanted base just below a node, all the same way up."),)
        if pieces
        else (),
        range=Said("Mark to the nearest half centimetre: no cut needs to be finer."),
        trust=Said(
            "The division is the best there is for these lengths and limits. Which lengths and nodes "
            "root best is the handbook's word on the genus, not this sum's."
        ),
        holds=Said("Straight canes with one node at each place; stub 6 mm above, 3 mm below."),
        sources=(Said("dynamic programme, equal to trying every way"), COMMON),
        cautions=(
            Said(
                "A sharp, clean blade, drawn away from the hand that holds; close it between cuts. Prickles: "
                "stout gloves and long sleeves."
            ),
        ),
    )


def _place(piece: Cutting, first: First) -> str:
    return Said(
        "{length}, {nodes}",
        length=length_text(piece.top_mm, piece.base_mm, first=first),
        nodes=counted(piece.n_nodes, "node"),
    )


CANE: Final = Sum(
    "cane",
    Said("Dividing a cane"),
    Said("where to cut, tip to base"),
    "knife",
    (
        Blank(
            "nodes",
            Said("Nodes"),
            "lengths",
            "",
            0,
            10_000,
            "4, 8, 12, 16, 20.5, 24, 28, 32.5, 37, 41, 45.5",
            Said("cm from the tip down, with spaces or commas between"),
            arguments=("node_mm",),
        ),
        Blank(
            "tip",
            Said("Soft tip left out"),
            "number",
            "cm",
            0,
            1000,
            "6",
            needed=False,
            arguments=("tip_mm",),
        ),
        Blank(
            "base",
            Said("Woody base left out"),
            "number",
            "cm",
            0,
            1000,
            "4",
            needed=False,
            arguments=("base_mm",),
        ),
        Blank(
            "least",
            Said("Nodes at least"),
            "whole",
            "",
            1,
            50,
            "2",
            needed=False,
            more=True,
            arguments=("min_nodes",),
        ),
        Blank(
            "short",
            Said("Shortest"),
            "number",
            "cm",
            0.5,
            200,
            "7.5",
            needed=False,
            more=True,
            arguments=("min_mm",),
        ),
        Blank(
            "long",
            Said("Longest"),
            "number",
            "cm",
            0.5,
            200,
            "12.5",
            needed=False,
            more=True,
            arguments=("max_mm",),
        ),
        Blank(
            "cane",
            Said("Whole cane"),
            "number",
            "cm",
            0.5,
            10_000,
            hint=Said("if it goes on below the last node"),
            needed=False,
            more=True,
            arguments=("cane_mm",),
        ),
    ),
    _cane,
)
