"""How often to mist, and how hot it gets under a bag."""

from __future__ import annotations

import math
from typing import Final

from slipwright.advice._wording import plain, span
from slipwright.advice.sums.asking import (
    AIR_AND_LIGHT,
    MEMORY,
    OWN,
    Blank,
    Given,
    Line,
    Reckoned,
    Sum,
    celsius,
)
from slipwright.craft.errors import BadArgument
from slipwright.craft.leaf_heat import heat_flag, leaf_c, shade_to_be_safe
from slipwright.craft.mist import BED_M_S, BED_WIND_M_S, Bed, wet_leaf
from slipwright.craft.mist_controller import short_form
from slipwright.craft.mist_times import FILM_MM, USABLE, burst_s, can_rate_mm_per_min, interval_min
from slipwright.craft.rewetting import days_to_rewet, rewet_class, water_lost_g
from slipwright.craft.said import Said
from slipwright.outputs.measures import First, temperature_text

_WATER_AND_MAINS: Final = Said(
    "Water and mains do not mix: pumps, valves, heated mats and lamps on a residual-current breaker, plugs "
    "above the wet, fixed wiring by a licensed electrician."
)
#: wind at the leaf up to which the balance holds [m/s]
_STRONGEST_M_S: Final = 1.0
#: more than any nozzle gives; a burst of it is no burst [mm/min]
_MOST_MM_PER_MIN: Final = 100.0
_BEDS: Final = (
    ("sheltered", Said("sheltered or curtained")),
    ("closed", Said("a closed tunnel")),
    ("open", Said("open and windy")),
)


def _mist(given: Given, first: First) -> Reckoned:
    bed: Bed = given["bed"] or "sheltered"
    wind = BED_WIND_M_S[bed] if given["wind"] is None else given["wind"]
    film = FILM_MM if given["film"] is None else given["film"]
    leaf = wet_leaf(given["air"], given["rh"], given["sun"], wind, v_ex_m_s=BED_M_S[bed])
    lost = float(leaf.evaporation_mm_h)
    between = interval_min(lost, film)
    lines = [
        Line(Said("A wet leaf loses"), Said("{mm} mm an hour", mm=plain(lost, 2))),
        Line(Said("Its leaves then have"), temperature_text(float(leaf.leaf_c), first=first)),
    ]
    rate = _rate(given)
    if rate is not None:
        seconds = burst_s(rate, film)
        lines.append(Line(Said("Nozzles give"), Said("{mm} mm a minute", mm=plain(rate, 2))))
        lines.append(Line(Said("A burst lasts"), Said("about {s} s", s=plain(seconds, 0))))
    a, b = (float(figure) for figure in short_form(wind))
    lines.append(
        Line(
            Said("For a controller"),
            Said(
                "add up {a} × W/m² + {b} × kPa by the hour, both at the leaf; mist at {mm} mm",
                a=plain(a, 5),
                b=plain(b, 3),
                mm=plain(USABLE * film, 3),
            ),
        )
    )
    notes = [
        Said(
            "A start. Shorten it where leaves dry before the next burst; lengthen it where the medium stays "
            "soggy."
        )
    ]
    if wind > _STRONGEST_M_S:
        notes.append(Said("In wind above 1 m/s this was never tried: curtain the bed first."))
    if rate is None:
        notes.append(
            Said(
                "For the burst: stand straight-sided cans among the pots, run the mist ten minutes, measure."
            )
        )
    return Reckoned(
        Said("Mist about every {mid} minutes.", mid=_minutes(between.mid))
        if between
        else Said("The leaves lose next to nothing: no mist."),
        tuple(lines),
        tuple(notes),
        range=Said(
            "Every {low} to {high} minutes: half to double.",
            low=_minutes(between.low),
            high=_minutes(between.high),
        )
        if between
        else "",
        trust=Said(
            "The balance of a wet leaf is sound; what leaves hold (0.05 to 0.20 mm) is from memory, and how "
            "fast a bed's air changes is our own estimate. Common practice, every 20 to 30 minutes, agrees "
            "in middling weather; a hot dry noon wants it three times as often."
        ),
        holds=Said("Leaves 0.5 to 8 cm wide, wind 0.05 to 1 m/s at the leaf, a film all over."),
        sources=(
            Said("energy balance of a wet leaf; exchange by Leuning et al. 1995"),
            Said("mist again before leaves are dry: Faust 2020"),
            MEMORY,
            OWN,
        ),
        cautions=(_WATER_AND_MAINS,),
    )


def _rate(given: Given) -> float | None:
    """Return what the nozzles give, from the can that was set among the pots."""
    can = (given["caught"], given["can"], given["minutes"])
    if all(part is None for part in can):
        return None
    for name, part in zip(("caught", "can", "minutes"), can, strict=True):
        if part is None:
            raise BadArgument(name, Said("be given where the rest of the can test is"), "")
    rate = can_rate_mm_per_min(given["caught"], given["can"] * 10, given["minutes"])
    if rate > _MOST_MM_PER_MIN:
        raise BadArgument("caught", Said("be less: no nozzle gives over 100 mm a minute"), given["caught"])
    return rate


def _minutes(minutes: float) -> str:
    return plain(minutes, 0 if minutes >= 2 else 1)


MIST: Final = Sum(
    "mist",
    Said("Mist interval"),
    Said("how often, and how long a burst"),
    "waiting",
    (
        celsius("air", Said("Air outside the bed"), "23", arguments=("air_c",)),
        Blank("rh", Said("Its humidity"), "number", "%", 0, 100, "50", arguments=("rh_percent",)),
        Blank(
            "sun",
            Said("Light at the leaf"),
            "number",
            "W/m²",
            0,
            1200,
            "280",
            Said("full summer sun 900, half shade 450, deep shade 100"),
            arguments=("sun_w_m2",),
        ),
        Blank("bed", Said("The bed is"), "word", choices=_BEDS, start="sheltered", needed=False),
        Blank(
            "caught",
            Said("Caught in a can"),
            "number",
            "ml",
            0.1,
            100_000,
            needed=False,
            more=True,
            arguments=("caught_ml",),
        ),
        Blank(
            "can",
            Said("Width of the can"),
            "number",
            "cm",
            0.5,
            100,
            needed=False,
            more=True,
            arguments=("can_diameter_mm",),
        ),
        Blank("minutes", Said("The mist ran"), "number", "min", 0.1, 240, needed=False, more=True),
        Blank(
            "wind",
            Said("Wind at the leaf"),
            "number",
            "m/s",
            0,
            5,
            needed=False,
            more=True,
            arguments=("wind_m_s",),
        ),
        Blank(
            "film",
            Said("A leaf holds"),
            "number",
            "mm",
            0.01,
            1,
            "0.1",
            needed=False,
            more=True,
            arguments=("film_mm",),
        ),
    ),
    _mist,
    AIR_AND_LIGHT,
)

_FLAG: Final = {
    "hot": Said("Likely too hot: leaves pass 35 °C. Shade it before noon; a looser tie does not cool."),
    "warm": Said("It may get too hot. Have a second cloth ready; a looser tie does not cool."),
    "cool": Said("No danger of heat."),
}
_NO_SHADE: Final = Said(
    "Likely too hot: leaves pass 35 °C whatever the shade. Take it where the air is cooler."
)
_CLASS: Final = {
    "weeks": Said("weeks"),
    "10-15-days": Said("about 10 to 15 days"),
    "under-a-week": Said("less than a week"),
}
_TIES: Final = (
    ("tied", Said("tied")),
    ("loose", Said("tied loosely")),
    ("open", Said("open at the foot")),
)
_DRIPS: Final = (
    ("returns", Said("runs back into the pot")),
    ("half", Said("half of it runs off")),
    ("lost", Said("runs off outside the rim")),
)


def _tent(given: Given, first: First) -> Reckoned:
    hot, bright = given["tmax"], given["light"]
    leaf = leaf_c(hot, bright)
    low, mid, high = (float(end) for end in (leaf.low, leaf.mid, leaf.high))
    flag = heat_flag(mid)
    lost = water_lost_g(hot, bright, given["tie"] or "tied", given["drip"] or "returns")
    lines = [
        Line(Said("A dry leaf reaches"), temperature_text(low, high, first=first)),
        Line(Said("Goes without water"), _CLASS[rewet_class(float(days_to_rewet(lost)))]),
        Line(Said("Loses a day"), span(lost / 2, lost * 2, "g", 1 if lost < 10 else 0)),
    ]
    shade = float(shade_to_be_safe(hot, bright))
    if flag != "cool" and 0 < shade < 1:
        tens = 10 * math.ceil(10 * shade)
        lines.append(
            Line(
                Said("Shade, to stay likely below 35 °C"),
                Said("hold back {n} % of that light at least", n=tens),
            )
        )
    return Reckoned(
        _FLAG[flag] if flag == "cool" or shade < 1 else _NO_SHADE,
        tuple(lines),
        (
            Said("Weigh or lift the pot, do not water by the calendar; water when it is a tenth lighter."),
            Said("Open it for a look at mould, fallen leaves and roots, not for air: a tied bag has enough."),
        ),
        range=Said("Leaves 4 °C either way; water half to double."),
        trust=Said(
            "The flag and the class, not the figure: nobody has measured this balance on a bag. A "
            "thermometer inside, out of the sun, settles it."
        ),
        holds=Said(
            "A bag of 20 by 30 cm over a pot of 2.8 L, clear film, 10 to 32 °C outside; not bottles or glass."
        ),
        sources=(
            Said("warmest of the day + 0.028 × light, drawn from our own heat balance: {mark}", mark=OWN),
        ),
        cautions=(_WATER_AND_MAINS,),
    )


TENT: Final = Sum(
    "tent",
    Said("Heat under a bag"),
    Said("whether it gets too hot, and when to weigh"),
    "bag",
    (
        celsius(
            "tmax",
            Said("Warmest outside"),
            "24",
            hint=Said("of the day, in the shade"),
            arguments=("tmax_c",),
        ),
        Blank(
            "light",
            Said("Strongest light at the bag"),
            "number",
            "W/m²",
            0,
            1200,
            "400",
            Said("under its cloth: full summer sun 900, half shade 450, deep shade 100"),
            arguments=("light_w_m2",),
        ),
        Blank("tie", Said("The bag is"), "word", choices=_TIES, start="tied", needed=False),
        Blank("drip", Said("The drip"), "word", choices=_DRIPS, start="returns", needed=False),
    ),
    _tent,
    AIR_AND_LIGHT,
)
