"""Cuttings under a clear bag: how hot, how long without water, and whether they have air."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import click

from slipwright.cli.answer import as_json, refusing, say

if TYPE_CHECKING:
    from slipwright.craft.bag_air import Breath
    from slipwright.craft.leaf_heat import HeatFlag
    from slipwright.craft.rewetting import Drip, RewetClass, Tie

_TIES: Final = ("tied", "loose", "open")
_DRIPS: Final = ("returns", "half", "lost")
_FLAG: Final[dict[HeatFlag, str]] = {
    "hot": "hot: leaves likely pass 35 °C. Shade it: a second cloth before noon, or shade all day. "
    "A looser tie does not cool.",
    "warm": "warm: it may pass 35 °C. Have a second cloth ready; a looser tie does not cool.",
    "cool": "not in danger of heat.",
}
_CLASS: Final[dict[RewetClass, str]] = {
    "weeks": "It goes for weeks without water",
    "10-15-days": "It goes for about 10 to 15 days without water",
    "under-a-week": "It goes for less than a week without water",
}
#: ten leafy cuttings, our guess
_CUTTINGS_G: Final = 25.0


@click.command("tent")
@click.option("--tmax-c", type=float, required=True, help="The day's highest temperature outside the bag.")
@click.option(
    "--light-w-m2",
    type=float,
    required=True,
    help="Strongest light at the bag, under its cloth: full summer sun 900, half shade 450, deep shade 100.",
)
@click.option(
    "--tie", type=click.Choice(_TIES), default="tied", show_default=True, help="open: open at the foot."
)
@click.option("--drip", type=click.Choice(_DRIPS), help="Does the drip run back into the pot?")
@as_json
@refusing()
def tent(tmax_c: float, light_w_m2: float, tie: Tie, drip: Drip | None, *, json_wanted: bool) -> None:
    """How hot leaves get under a clear bag over a pot, and how long the pot goes without water.

    \b
    Example: 24 °C in the shade, a bag under thin cloth, tied, its drip running back
        slipwright craft tent --tmax-c 24 --light-w-m2 400 --tie tied --drip returns
    """
    from slipwright.craft.bag_air import breath
    from slipwright.craft.leaf_heat import heat_flag, leaf_c
    from slipwright.craft.rewetting import AIR_CHANGES_PER_H

    leaf = leaf_c(tmax_c, light_w_m2)
    low, mid, high = (round(float(at), 1) for at in (leaf.low, leaf.mid, leaf.high))
    flag = heat_flag(float(leaf.mid))
    water = _rewet(tmax_c, light_w_m2, tie, drip or "returns")
    data = {
        "leaf_c": {"low": low, "mid": mid, "high": high},
        "flag": flag,
        "rewet_class": water[1],
    }
    lines = [
        f"A dry leaf under it likely reaches {mid:.0f} °C ({low:.0f} to {high:.0f}): {_FLAG[flag]}",
        _water(*water),
    ]
    if drip is None:
        runs_off = _rewet(tmax_c, light_w_m2, tie, "lost")
        lines.append(
            "Does the drip run back into the pot? That is taken for granted here. "
            f"If it all runs off outside the rim, {_small(_water(*runs_off))}"
        )
    lines += [
        "Weigh or lift the pot, do not water by the calendar; water when it is a tenth lighter.",
        _air(breath(_CUTTINGS_G, air_changes_per_h=AIR_CHANGES_PER_H[tie])),
        "Rests on: highest temperature + 0.028 x light, give or take 4 °C, a rule drawn from a balance of "
        "heat; water by the same balance, half to double, on a clear summer's day, for a bag of "
        "20 by 30 cm over a pot of 2.8 L. Nobody has measured it on a bag: trust the flag and the class, "
        "not the figure. Not for bottles or glass.",
        "A heat mat or lamp adds to this: a thermostat with its probe among the cuttings, mains on a "
        "residual-current breaker, its own label first.",
    ]
    say(data, "\n".join(lines), json_wanted=json_wanted)


def _rewet(tmax_c: float, light_w_m2: float, tie: Tie, drip: Drip) -> tuple[float, RewetClass]:
    from slipwright.craft.rewetting import days_to_rewet, rewet_class, water_lost_g

    lost_g = water_lost_g(tmax_c, light_w_m2, tie, drip)
    return lost_g, rewet_class(float(days_to_rewet(lost_g)))


def _water(lost_g: float, rewet: RewetClass) -> str:
    return f"{_CLASS[rewet]}, losing {_grams(lost_g / 2)} to {_grams(lost_g * 2)} g a day."


def _grams(grams: float) -> str:
    return f"{grams:.1f}" if grams < 3 else f"{grams:.0f}"


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _air(air: Breath) -> str:
    enough = "enough oxygen" if air.is_enough else "too little oxygen: thinner film, or fewer cuttings"
    lost = f"about {air.o2_lost[1]:.1f}" if air.o2_lost[1] >= 0.1 else "less than 0.1"
    return (
        f"Air: {enough} for about ten cuttings ({lost} of the air's 21 points used up). "
        "Tied, not welded: a welded bag must be thin and lightly filled. No need to open it for air."
    )
