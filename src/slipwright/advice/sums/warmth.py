"""How much warmth a day adds."""

from __future__ import annotations

from typing import Final

from slipwright.advice._wording import plain
from slipwright.advice.sums.asking import AIR_AND_LIGHT, Blank, Given, Line, Reckoned, Sum, celsius, in_order
from slipwright.craft.errors import BadArgument
from slipwright.craft.heat import DegreeDays, degree_days_c
from slipwright.craft.said import Said
from slipwright.outputs.measures import First, temperature_text

_METHODS: Final[tuple[tuple[DegreeDays, Said], ...]] = (
    ("sine", Said("a sine between the two")),
    ("triangle", Said("straight up and down")),
    ("average", Said("the middle of the two, all day")),
)


def _degree_days(given: Given, first: First) -> Reckoned:
    in_order(given)
    if given["upper"] is not None and given["upper"] < given["base"]:
        raise BadArgument("upper", Said("be at least the base"), given["upper"])
    asked = (given["tmin"], given["tmax"], given["base"], given["upper"])
    method: DegreeDays = given["method"] or "sine"
    found = {name: float(degree_days_c(*asked, name)) for name, _ in _METHODS}
    low, high = min(found.values()), max(found.values())
    return Reckoned(
        Said(
            "That day adds {n} degree-days above {base}.",
            n=plain(found[method]),
            base=temperature_text(given["base"], first=first),
        ),
        (
            *(Line(words, Said("{n} °C d", n=plain(found[name], 2))) for name, words in _METHODS),
            Line(Said("In Fahrenheit"), Said("{n} °F d", n=plain(found[method] * 1.8))),
        ),
        range=Said("{low} to {high}, by how the day's course is taken.", low=plain(low), high=plain(high)),
        trust=Said(
            "The sum is exact; base and need are what a plant is taken to have. Keep to one course and one "
            "base: sums by different ones do not compare."
        ),
        holds=Said("Air temperatures in the shade; a plant against a wall is warmer."),
        sources=(Said("Baskerville and Emin 1969, Ecology 50:514-517 (from memory)"),),
    )


DEGREE_DAYS: Final = Sum(
    "degree-days",
    Said("Degree-days of a day"),
    Said("how much warmth it adds"),
    "warm",
    (
        celsius("tmin", Said("Coldest"), "5", arguments=("tmin_c",)),
        celsius("tmax", Said("Warmest"), "20", arguments=("tmax_c",)),
        celsius("base", Said("Base"), "10", hint=Said("below it nothing counts"), arguments=("base_c",)),
        celsius(
            "upper",
            Said("Cut-off"),
            hint=Said("above it more warmth adds nothing"),
            needed=False,
            more=True,
            arguments=("upper_c",),
        ),
        Blank(
            "method",
            Said("Course of the day"),
            "word",
            choices=_METHODS,
            start="sine",
            needed=False,
            more=True,
        ),
    ),
    _degree_days,
    AIR_AND_LIGHT,
)
