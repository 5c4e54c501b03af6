"""How often to mist, and for how long."""

from __future__ import annotations

import click

from slipwright.cli.answer import as_json, refusing, say

_OFF = "The leaves lose nothing: no mist."


@click.command("mist")
@click.option("--t-c", "air_c", type=float, required=True, help="Warmth of the air [C].")
@click.option("--rh-percent", type=float, required=True, help="Its relative humidity.")
@click.option("--sun-w-m2", type=float, required=True, help="Light at the leaf, under every shade.")
@click.option("--wind-m-s", type=float, required=True, help="Wind at the leaf.")
@click.option(
    "--bed",
    type=click.Choice(["closed", "sheltered", "open"]),
    help="The air given is that outside such a bed; left out, it is that at the leaf.",
)
@click.option("--film-mm", type=float, default=0.10, show_default=True, help="Water the leaf holds.")
@click.option("--rate-mm-per-min", type=float, help="What the nozzles give, by a catch-can test.")
@click.option(
    "--catch", type=float, default=0.6, show_default=True, help="Share of it that stays on leaves, 0 to 1."
)
@as_json
@refusing()
def mist(
    air_c: float,
    rh_percent: float,
    sun_w_m2: float,
    wind_m_s: float,
    bed: str | None,
    film_mm: float,
    rate_mm_per_min: float | None,
    catch: float,
    *,
    json_wanted: bool,
) -> None:
    """How often to mist, as a range, and how long a burst.

    \b
    Example: a mild noon, half shade, nozzles that give 0.25 mm a minute
        slipwright craft mist --t-c 23 --rh-percent 50 --sun-w-m2 280 --wind-m-s 0.15 --bed sheltered \\
            --rate-mm-per-min 0.25
    """
    from slipwright.craft.mist import BED_M_S, wet_leaf
    from slipwright.craft.mist_controller import short_form
    from slipwright.craft.mist_times import burst_s, interval_min

    v_ex_m_s = BED_M_S[bed] if bed else float("inf")  # type: ignore[index]
    leaf = wet_leaf(air_c, rh_percent, sun_w_m2, wind_m_s, v_ex_m_s=v_ex_m_s)
    evaporation_mm_h = float(leaf.evaporation_mm_h)
    between = interval_min(evaporation_mm_h, film_mm)
    seconds = None if rate_mm_per_min is None else burst_s(rate_mm_per_min, film_mm, catch=catch)
    a, b = (float(figure) for figure in short_form(wind_m_s))
    data = {
        "evaporation_mm_h": evaporation_mm_h,
        "leaf_c": float(leaf.leaf_c),
        "interval_min": between and {"low": between.low, "mid": between.mid, "high": between.high},
        "burst_s": seconds,
        "short_form": {"a_mm_h_per_w_m2": a, "b_mm_h_per_kpa": b},
    }
    lines = [
        f"Mist about every {_minutes(between.mid)} min (from {_minutes(between.low)} to "
        f"{_minutes(between.high)}); wet leaves lose {evaporation_mm_h:.2f} mm an hour."
        if between
        else _OFF,
        f"A burst of about {seconds:.0f} s."
        if seconds is not None
        else "Burst: catch the mist of 10 minutes in straight-sided cans and give --rate-mm-per-min.",
        f"A controller: add up {a:.5f} x W/m2 + {b:.3f} x kPa by the hour, both at the leaf; mist at "
        f"{0.7 * film_mm:.3f} mm.",
        "Rests on the balance of a wet leaf 3 cm wide; what leaves hold (0.05 to 0.20 mm) is from memory"
        + (", how fast the bed's air changes is our estimate" if bed else "")
        + ".\nA start, right to half or double: shorten it where leaves dry before the burst, lengthen it "
        "where the medium stays soggy.",
    ]
    say(data, "\n".join(lines), json_wanted=json_wanted)


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f}" if minutes >= 2 else f"{minutes:.1f}"
