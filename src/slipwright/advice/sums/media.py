"""Mixing medium, and testing how it drains."""

from __future__ import annotations

from typing import Final

from slipwright.advice._wording import counted, plain
from slipwright.advice.steps import part_words
from slipwright.advice.sums.asking import (
    ARITHMETIC,
    COMMON,
    OWN,
    Blank,
    Given,
    Line,
    Reckoned,
    Sum,
)
from slipwright.advice.sums.pot_heights import (
    AT_THE_BOTTOM,
    MEDIA_CHOICES,
    percent,
    share_words,
    water_by_height,
)
from slipwright.craft.cautions import cautions_for
from slipwright.craft.errors import BadArgument
from slipwright.craft.medium import (
    DRAIN_TEST_ERROR,
    MEDIA,
    SHRINK_RANGE,
    drain_test,
    medium_litres,
    retention_of_test,
)
from slipwright.craft.said import Said
from slipwright.outputs.measures import First, volume_text

_PARTS: Final = ("perlite", "vermiculite", "peat", "coir", "sand", "bark")


def _mix(given: Given, first: First) -> Reckoned:
    parts = {name: given[name] for name in _PARTS if given[name]}
    if not parts:
        raise BadArgument("perlite", Said("be given, or another part"), "")
    shares = {
        name: given[name] / 100 for name in ("fill", "settle", "waste", "shrink") if given[name] is not None
    }
    need = medium_litres(given["pots"], given["pot"] * 1000, parts, **shares)
    ends = (
        [
            medium_litres(given["pots"], given["pot"] * 1000, parts, **shares | {"shrink": s})
            for s in SHRINK_RANGE
        ]
        if "shrink" not in shares or shares["shrink"] == 0.10
        else [need, need]
    )
    lines = [
        Line(Said("{part:capital}", part=part_words(name)), volume_text(litres, first=first))
        for name, litres in need.parts_l.items()
    ]
    lines.append(Line(Said("Mixed, they come to"), volume_text(need.blend_l, first=first)))
    lines.append(Line(Said("Water to work in"), volume_text(need.water_l, first=first)))
    low, high = (sum(end.parts_l.values()) for end in ends)
    return Reckoned(
        Said(
            "For {pots} mix {blend}, and work in about {water} of water.",
            pots=counted(given["pots"], "pot"),
            blend=volume_text(need.blend_l, first=first),
            water=volume_text(need.water_l, first=first),
        ),
        tuple(lines),
        (Said("Work the water in by hand before filling: sprinkled on top it runs off dry medium."),),
        range=Said(
            "A tenth either way. Out of the bags {volume}, as the parts settle into each other.",
            volume=volume_text(low, high, first=first),
        ),
        trust=Said(
            "The arithmetic is exact; how much it settles, shrinks and spills is our own estimate. Measure "
            "one batch and put your own figures in."
        ),
        holds=Said("Loose parts by volume, not pressed; moist peat or dry perlite as they come."),
        sources=(ARITHMETIC, OWN, Said("water in bagged peat and in dry perlite: from memory")),
        cautions=tuple(
            caution.text for caution in cautions_for(parts=parts, moving=False) if caution.where == "mixing"
        ),
    )


def _percent(name: str, label: str, start: str, hint: str = "") -> Blank:
    return Blank(name, label, "number", "%", 0, 100, start, hint, needed=False, more=True)


def _part(name: str, start: str) -> Blank:
    hint = Said("parts by volume; leave empty what you do not use") if name == _PARTS[0] else ""
    label = Said("{part:capital}", part=part_words(name))
    return Blank(name, label, "number", "", 0, 1000, start, hint, needed=False)


MIX: Final = Sum(
    "mix",
    Said("Mixing medium"),
    Said("litres of each part, and the water"),
    "potted",
    (
        Blank("pots", Said("Pots"), "whole", "", 1, 1_000_000, "24", arguments=("n_containers",)),
        Blank(
            "pot",
            Said("One pot holds"),
            "number",
            "L",
            0.001,
            1000,
            "2.8",
            Said("to the rim"),
            arguments=("volume_ml",),
        ),
        *(_part(name, "1" if name in ("perlite", "vermiculite") else "") for name in _PARTS),
        _percent("fill", Said("Filled"), "90", Said("of the pot")),
        _percent("settle", Said("Settles"), "10", Said("when it is watered in")),
        _percent("shrink", Said("Shrinks"), "10", Said("as fine parts fill the gaps of coarse: 5 to 20")),
        _percent("waste", Said("Spilt"), "5"),
    ),
    _mix,
)


def _drain(given: Given, first: First) -> Reckoned:
    found = drain_test(given["volume"], given["added"], given["drained"])
    table = None
    if given["height"] is not None:
        like = MEDIA[given["like"] or "perlite and vermiculite"]
        mine = retention_of_test(like, found.porosity, found.container_capacity, given["height"] * 10)
        table = water_by_height(mine, first, Said("The same medium in other pots: an estimate"))
    return Reckoned(
        Said(
            "Of this pot {air} is air and {water} water once it has drained.",
            air=percent(found.air_space),
            water=percent(found.container_capacity),
        ),
        (
            Line(Said("Pores"), share_words(found.porosity, DRAIN_TEST_ERROR)),
            Line(Said("Air"), share_words(found.air_space, DRAIN_TEST_ERROR)),
            Line(Said("Water"), share_words(found.container_capacity, DRAIN_TEST_ERROR)),
        ),
        (Said("A lower pot of the same medium holds more water and less air. {above}", above=AT_THE_BOTTOM),),
        range=Said("About {points} points either way.", points=plain(100 * DRAIN_TEST_ERROR, 0)),
        trust=Said(
            "Measured on your own medium, so better than any table. Do it three times; medium that was moist "
            "when it was filled makes the pores too few. Other heights lean on what such media are like: "
            "estimates."
        ),
        holds=Said("The height it was tested at; filled as you fill pots."),
        sources=(
            COMMON,
            Said("other heights: van Genuchten 1980 (from memory), its mean over the pot in closed form"),
            Said("the error: our own estimate"),
        ),
        table=table,
    )


DRAIN: Final = Sum(
    "drain-test",
    Said("Drain test"),
    Said("how much air and water your medium holds"),
    "drip",
    (
        Blank(
            "volume",
            Said("Medium"),
            "number",
            "ml",
            1,
            1_000_000,
            hint=Said("dry, in a pot with its holes taped"),
            arguments=("volume_ml",),
        ),
        Blank(
            "added",
            Said("Water poured in"),
            "number",
            "ml",
            0.1,
            1_000_000,
            hint=Said("until the surface shines"),
            arguments=("added_ml",),
        ),
        Blank(
            "drained",
            Said("Water that ran out"),
            "number",
            "ml",
            0,
            1_000_000,
            hint=Said("in an hour, tape off"),
            arguments=("drained_ml",),
        ),
        Blank(
            "height",
            Said("Height of the medium"),
            "number",
            "cm",
            1,
            100,
            hint=Said("to reckon it for other pots"),
            needed=False,
            more=True,
            arguments=("height_mm",),
        ),
        Blank(
            "like",
            Said("It is most like"),
            "word",
            choices=MEDIA_CHOICES,
            start="perlite and vermiculite",
            needed=False,
            more=True,
            arguments=("container_capacity",),
        ),
    ),
    _drain,
)
