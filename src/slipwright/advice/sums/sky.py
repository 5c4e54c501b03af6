"""How dry the air is, how high the sun stands, what light cuttings get, how warm a day counts."""

from __future__ import annotations

import math
from datetime import date
from typing import Final

from slipwright.advice._wording import plain, span
from slipwright.advice.sums.asking import AIR_AND_LIGHT, Blank, Given, Line, Reckoned, Sum, celsius, in_order
from slipwright.craft import light, sun
from slipwright.craft.air import dew_point_c, es_kpa, leaf_vpd_kpa, vpd_kpa, wet_bulb_c
from slipwright.craft.days import day_in_words
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.outputs.measures import First, temperature_text

#: how far a plain humidity sensor may be off: common practice, no source [points]
SENSOR_POINTS: Final = 3.0
_FAO: Final = "Allen et al. 1998, FAO Irrigation and Drainage Paper 56"


def _air(given: Given, first: First) -> Reckoned:
    air, rh = given["air"], given["rh"]
    short = float(vpd_kpa(air, rh))
    off = float(es_kpa(air)) * SENSOR_POINTS / 100
    lines = []
    notes = [Said("A leaf 3 °C warmer than the air counts for about 0.6 kPa more at 25 °C.")]
    if not 0 <= air <= 50:
        notes.append(Said("Below 0 °C and above 50 °C these equations were never tried: a rough guess."))
    if given["leaf"] is not None:
        at_leaf = float(leaf_vpd_kpa(air, rh, given["leaf"]))
        lines.append(Line(Said("At the leaf"), Said("{kpa} kPa", kpa=_signed(at_leaf))))
    if rh > 0:
        dew = temperature_text(float(dew_point_c(air, rh)), first=first)
        lines.append(Line(Said("Drops form below"), dew))
    wet = float(wet_bulb_c(air, rh, given["altitude"] or 0))
    lines.append(Line(Said("Wet medium, in shade and moving air"), temperature_text(wet, first=first)))
    return Reckoned(
        Said("The air is {kpa} kPa short of full: the more, the faster leaves dry.", kpa=plain(short)),
        tuple(lines),
        tuple(notes),
        range=Said(
            "{low} to {high} kPa, if the sensor is 3 points off either way.",
            low=plain(max(0.0, short - off)),
            high=plain(short + off),
        ),
        trust=Said(
            "The sums are exact enough. The sensor is not, and less so where it hangs: in shade, among the "
            "leaves."
        ),
        holds=Said("0 to 50 °C."),
        sources=(Said("{fao}, equations 11 and 17; wet bulb 15 and 16 from memory", fao=_FAO),),
    )


AIR: Final = Sum(
    "air",
    Said("Dryness of the air"),
    Said("deficit, dew point, wet bulb"),
    "drip",
    (
        celsius("air", Said("Air"), "25", arguments=("air_c",)),
        Blank("rh", Said("Humidity"), "number", "%", 0, 100, "60", arguments=("rh_percent",)),
        celsius("leaf", Said("Leaf"), needed=False, more=True, arguments=("leaf_c",)),
        Blank(
            "altitude", Said("Height above the sea"), "number", "m", -400, 9000, "0", needed=False, more=True
        ),
    ),
    _air,
    AIR_AND_LIGHT,
)

_LATITUDE: Final = Blank(
    "lat",
    Said("Latitude"),
    "number",
    "°",
    -90,
    90,
    hint=Said("south of the equator with a minus"),
    arguments=("lat_deg",),
)
_DAY: Final = Blank("on", Said("Day"), "day")


def _sun(given: Given, first: First) -> Reckoned:
    on: date = given["on"]
    long_h = float(sun.day_length_h(given["lat"], on))
    noon = float(sun.noon_elevation_deg(given["lat"], on))
    bare = float(sun.extraterrestrial_mj_m2(given["lat"], on))
    lit = float(sun.day_length_h(given["lat"], on, sun.TWILIGHT_DEG))
    clear = float(light.clear_sky_mj_m2(given["lat"], on))
    shadow = 1 / math.tan(math.radians(noon)) if noon > 0.5 else None
    lines = [
        Line(Said("Sun up"), _hours(long_h)),
        Line(Said("With twilight, for plants that count the day"), _hours(lit)),
        Line(Said("Highest, at its noon"), Said("{deg}° above the horizon", deg=_signed(noon, 0))),
    ]
    if shadow is not None:
        lines.append(
            Line(
                Said("Noon shadow of a wall 1 m high"),
                Said("{m} m", m=plain(shadow, 1 if shadow < 10 else 0)),
            )
        )
    lines += [
        Line(Said("Light above the air"), Said("{mj} MJ/m²", mj=plain(bare))),
        Line(
            Said("Of it on a clear day at the ground"), Said("{mj} MJ/m² at the brightest", mj=plain(clear))
        ),
    ]
    return Reckoned(
        Said(
            "On {day} the sun is up {hours} and stands {deg}° high at its noon.",
            day=day_in_words(on),
            hours=_hours(long_h),
            deg=_signed(noon, 0),
        )
        if long_h > 0
        else Said("On {day} the sun does not rise.", day=day_in_words(on)),
        tuple(lines),
        (Said("Its noon is not that of the clock: it lies when shadows are shortest."),),
        range=Said("Day length to two minutes, height to a twentieth of a degree."),
        trust=Said("As good as an almanac over open ground. Hills, walls and trees are not in it."),
        holds=Said("1950 to 2050; near the poles the sun may not rise or set."),
        sources=(
            Said("Astronomical Almanac's low-precision sun (Michalsky 1988, from memory)"),
            Said("{fao}, equation 21, for light above the air", fao=_FAO),
        ),
    )


SUN: Final = Sum(
    "sun",
    Said("Sun and day length"),
    Said("how long, how high, how bright at the most"),
    "sun",
    (_LATITUDE, _DAY),
    _sun,
    AIR_AND_LIGHT,
)


def _light(given: Given, first: First) -> Reckoned:
    on, lat = given["on"], given["lat"]
    radiation, method = _radiation(given, lat, on)
    known = light.METHODS[method]
    shade, through = (given["shade"] or 0) / 100, (100 if given["cover"] is None else given["cover"]) / 100
    low, mid, high = (float(end) for end in light.dli_range(radiation, known.day_share, shade, through))
    wanted = light.WANTED_MOL_M2
    least, most = (float(light.shade_needed(radiation, end, through)) for end in reversed(wanted))
    said = light.cloth_said(radiation, shade, through)
    return Reckoned(
        Said(
            "The cuttings get about {mol} mol of light that day; leafy ones want {low} to {high}.",
            mol=plain(mid, 0 if mid >= 10 else 1),
            low=plain(wanted[0]),
            high=plain(wanted[1]),
        ),
        (
            Line(Said("Light, daily (DLI)"), span(low, high, "mol/m²", 1)),
            Line(Said("Sun on open ground"), Said("{mj} MJ/m²", mj=plain(radiation))),
            Line(
                Said("Shade in all for what they want"),
                Said("none") if most <= 0 else span(100 * least, 100 * most, "%", 0),
            ),
        ),
        (said,) if said else (Said("The cloth fits the day."),),
        range=Said(
            "From {low} to {high} mol, 8 days in 10: the sky {sky} %, the cloth 5 points either way.",
            low=plain(low),
            high=plain(high),
            sky=plain(100 * known.day_share, 0),
        ),
        trust=Said(
            "A week's mean comes nearer, by a third or more. A wall or a tree cannot be reckoned: hold a "
            "light meter inside and outside at midday and give the share as shade."
        ),
        holds=Said("Open ground; one day by {what}.", what=known.says),
        sources=(
            Said(
                "{fao}, equations 21, 35 and 50, and a linear rule for cloud, tried on 64 538 station-days",
                fao=_FAO,
            ),
            Said("2.06 mol a MJ: 45 % of sunlight, from memory"),
            Said("light wanted: Faust 2020; Currey, Hutchinson and Lopez 2012, as summarised"),
        ),
    )


def _radiation(given: Given, lat: float, on: date) -> tuple[float, str]:
    """Return the sun's radiation by the best thing that was given, and what that was."""
    if given["radiation"] is not None:
        return given["radiation"], "radiation"
    if given["sunshine"] is not None:
        return float(light.from_sunshine(given["sunshine"], lat, on)), "sunshine"
    if given["cloud"] is not None:
        return float(light.from_cloud(given["cloud"] / 100, lat, on)), "cloud"
    if given["tmin"] is not None and given["tmax"] is not None:
        in_order(given)
        return float(light.from_temperatures(given["tmin"], given["tmax"], lat, on)), "temperatures"
    raise BadArgument("sunshine", Said("be given, or the cloud, or both temperatures, or the radiation"), "")


LIGHT: Final = Sum(
    "light",
    Said("Light and shade"),
    Said("what cuttings get, and the cloth they want"),
    "shade",
    (
        _LATITUDE,
        _DAY,
        Blank(
            "sunshine",
            Said("Sunshine"),
            "number",
            "h",
            0,
            24,
            hint=Said("or one of those folded below"),
            needed=False,
            arguments=("sunshine_h",),
        ),
        Blank("shade", Said("Shade cloth"), "number", "%", 0, 100, "50", needed=False),
        Blank(
            "cover",
            Said("Glass or film lets through"),
            "number",
            "%",
            1,
            100,
            "100",
            needed=False,
            arguments=("transmission",),
        ),
        Blank(
            "cloud",
            Said("Cloud"),
            "number",
            "%",
            0,
            100,
            hint=Said("of the sky, over the day"),
            needed=False,
            more=True,
            arguments=("cloud_fraction",),
        ),
        celsius("tmin", Said("Coldest"), needed=False, more=True, arguments=("tmin_c",)),
        celsius("tmax", Said("Warmest"), needed=False, more=True, arguments=("tmax_c",)),
        Blank(
            "radiation",
            Said("Radiation measured"),
            "number",
            "MJ/m²",
            0,
            60,
            needed=False,
            more=True,
            arguments=("radiation_mj_m2",),
        ),
    ),
    _light,
    AIR_AND_LIGHT,
)


def _hours(hours: float) -> str:
    minutes = round(hours * 60)
    return Said("{h} h {min} min", h=minutes // 60, min=f"{minutes % 60:02d}")


def _signed(number: float, decimals: int = 1) -> str:
    words = plain(abs(number), decimals)
    return Said("−{number}", number=words) if number < 0 and words != "0" else words
