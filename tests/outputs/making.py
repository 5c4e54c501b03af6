"""Labels and sheets for the tests, from the invented garden."""

from __future__ import annotations

import math
from datetime import date, timedelta

from slipwright.outputs.labels import Label
from slipwright.outputs.sheet import (
    CaneCutting,
    CaneDrawing,
    PotDrawing,
    Step,
    StickSheet,
    Timeline,
)

ROSE = (("Rosa", True), (" ‘Lantern Keeper’", False))
LAVENDER = (("Lavandula angustifolia", True), (" 'Grey Heron'", False))
LONG_NAME = (
    ("Hydrangea macrophylla", True),
    (" subsp. ", False),
    ("serrata", True),
    (" 'Grandmother Teasdale's Washing Day'", False),
)
CODES = ("R3XB7JME", "K7Q2M9T3", "D4HW2RK6", "8TNC5VQA", "P6GA9WHP", "Q8BV4TDN", "T5NR3EGH", "W4KD8QNB")
STUCK_ON = date(2026, 9, 10)


def label(**changes: object) -> Label:
    """A usual label."""
    fields: dict[str, object] = {
        "name_runs": ROSE,
        "code": CODES[0],
        "common_name": "lantern rose",
        "stuck_on": STUCK_ON,
        "treatment": "IBA 1,000",
        "place": "Tent 1",
    }
    return Label(**(fields | changes))  # type: ignore[arg-type]


def labels() -> list[Label]:
    """Short and long names, with and without dip, place, date and letters the fonts lack."""
    return [
        label(),
        label(code=CODES[1], name_runs=LAVENDER, common_name="lavender", treatment="no dip", place="Mist"),
        label(code=CODES[2], name_runs=(("Salvia", True),), common_name="", treatment="", place=""),
        label(code=CODES[3], name_runs=LONG_NAME, treatment="K-IBA 2,500 mg/L, quick dip 5 s"),
        label(code=CODES[4], stuck_on=None),
        label(code=CODES[5], name_runs=(("Ribes", True), (" × ", False), ("gordonianum", True))),
        label(code=CODES[6], place="Θερμοκήπιο 鉢"),
        label(code=CODES[7], place="Far bench by the north door of the long polyethylene house"),
    ]


def rose_cane() -> CaneDrawing:
    """A cane of a metre in five pieces, tip and base left out."""
    nodes = tuple(20.0 + 55.0 * i for i in range(17))
    pieces = tuple(
        CaneCutting(
            nodes[1 + 3 * k] - 5, nodes[3 + 3 * k] + 8, "ABCDE"[k], ("3 nodes, 12 cm", "7 in 10 root")
        )
        for k in range(5)
    )
    return CaneDrawing(1000, nodes, pieces, 70, 110, prickles=True, leaf="leaflets")


def lavender_tip() -> CaneDrawing:
    """A tip cutting, not divided."""
    nodes = (5.0, 10.0, 16.0, 23.0, 31.0, 40.0, 52.0, 65.0, 74.0)
    return CaneDrawing(80, nodes, form="tip", wood="softwood", opposite=True, called="shoot", nodes_under=2)


def hardwood_cane() -> CaneDrawing:
    """A dormant shoot without leaves."""
    nodes = tuple(15 + 32.0 * i for i in range(12))
    pieces = tuple(
        CaneCutting(nodes[3 * k] - 10, nodes[3 * k + 2] + 5, "ABCD"[k], ("3 nodes",)) for k in range(4)
    )
    return CaneDrawing(
        420, nodes, pieces, 0, 20, wood="hardwood", leaves="none", top_stub_mm=18, nodes_under=2
    )


def round_pot() -> PotDrawing:
    """Eight in a ring and one in the middle."""
    ring = tuple((60 * math.cos(math.tau * k / 8), 60 * math.sin(math.tau * k / 8)) for k in range(8))
    return PotDrawing(165, (*ring, (0.0, 0.0)), 2, says=("2 pots, 16.5 cm (6½ in) across, 9 in each.",))


def timeline() -> Timeline:
    """Nine weekly looks."""

    def day(n: int) -> date:
        return STUCK_ON + timedelta(days=n)

    return Timeline(
        STUCK_ON,
        tuple(day(7 * i) for i in range(1, 10)),
        (day(28), day(56)),
        (day(52), day(75)),
        (("Look", "every week"), ("Pot up", "1 Nov to 24 Nov 2026, when three roots are about 2 cm long")),
    )


def sheet(**changes: object) -> StickSheet:
    """A full stick sheet."""
    steps = (
        Step("Scrub them; rinse; let them drain.", lead="Wash the pots."),
        Step(
            "Perlite and vermiculite, half and half.",
            "Dust: a mask until the mix is wet.",
            "Mix the medium.",
        ),
        Step(
            "In the cool, straight into a damp bag.",
            "Clean blade, cut away from the hand.",
            "Cut the canes.",
        ),
        Step("Flat above a bud, slanted just below a node, as drawn.", lead="Divide them."),
        Step(
            "Base 1 cm deep, 5 s, tap off. Never pour it back.",
            "The product's label decides on gloves.",
            "Dip.",
        ),
        Step("One node under, leaves just touching.", lead="Stick."),
    )
    fields: dict[str, object] = {
        "name_runs": ROSE,
        "answer": "Stick 18 in two pots for 12 rooted.",
        "steps": steps,
        "common_name": "repeat-flowering shrub rose",
        "code": CODES[1],
        "facts": (("Wanted", "12 rooted"), ("Medium", "5.6 L (6 US qt)"), ("Dip", "IBA 1,000 mg/L")),
        "cane": rose_cane(),
        "pot": round_pot(),
        "days": timeline(),
        "cautions": ("A named rose may be protected: its label says so.", "Keep the pot from freezing."),
        "rests_on": "Rests on the handbook alone: common practice, no source.",
        "sources": ("Product label, generic",),
        "garden": "Saltmarsh Lane Community Garden",
        "made_on": STUCK_ON,
    }
    return StickSheet(**(fields | changes))  # type: ignore[arg-type]
