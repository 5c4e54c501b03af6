"""How dry the air is."""

from __future__ import annotations

import click

from slipwright.cli.answer import as_json, refusing, say

SENSOR_POINTS = 3.0  # how far a plain humidity sensor may be off, common practice


@click.command("air")
@click.option("--t-c", "air_c", type=float, required=True, help="Temperature of the air, °C.")
@click.option("--rh-percent", type=float, required=True, help="Relative humidity.")
@click.option("--leaf-c", type=float, help="Temperature of the leaf, if it is known, °C.")
@click.option("--altitude-m", type=float, default=0.0, show_default=True, help="Height above the sea.")
@as_json
@refusing()
def air(
    air_c: float, rh_percent: float, leaf_c: float | None, altitude_m: float, *, json_wanted: bool
) -> None:
    """How dry the air is, where it drops its water, and how cool wet things stay.

    \b
    Example: a warm afternoon in the tunnel
        slipwright craft air --t-c 27 --rh-percent 55
    """
    from slipwright.craft.air import dew_point_c, ea_kpa, es_kpa, leaf_vpd_kpa, vpd_kpa, wet_bulb_c

    data = {
        "es_kpa": float(es_kpa(air_c)),
        "ea_kpa": float(ea_kpa(air_c, rh_percent)),
        "vpd_kpa": float(vpd_kpa(air_c, rh_percent)),
        "leaf_vpd_kpa": None if leaf_c is None else float(leaf_vpd_kpa(air_c, rh_percent, leaf_c)),
        "dew_point_c": float(dew_point_c(air_c, rh_percent)),
        "wet_bulb_c": float(wet_bulb_c(air_c, rh_percent, altitude_m)),
    }
    off = float(es_kpa(air_c)) * SENSOR_POINTS / 100
    lines = [f"The air could take up {data['vpd_kpa']:.1f} kPa more water (VPD)."]
    if leaf_c is not None:
        lines.append(f"At the leaf ({leaf_c:g} °C) it is {data['leaf_vpd_kpa']:.1f} kPa.")
    lines += [
        f"Drops form below {data['dew_point_c']:.0f} °C; wet medium in moving air and shade comes to about "
        f"{data['wet_bulb_c']:.0f} °C.",
        f"The sums are exact enough. A sensor {SENSOR_POINTS:g} points off makes {off:.2f} kPa; a leaf 3 °C "
        "warmer than the air makes far more.",
    ]
    say(data, "\n".join(lines), json_wanted=json_wanted)
