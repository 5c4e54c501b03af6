"""Mixing medium, testing how it drains, diluting hormone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import BadInput, as_json, refusing, say

if TYPE_CHECKING:
    from slipwright.craft.hormone import Auxin

_LABEL_IS_LAW = (
    "The product's label is law: its strength, its gloves and eyewear, its way of throwing away.\n"
    "Pour out a little, never pour it back."
)


def _parts(ctx: click.Context, param: click.Parameter, values: tuple[str, ...]) -> dict[str, float]:
    found: dict[str, float] = {}
    for value in values:
        name, _, share = value.partition("=")
        try:
            number = float(share)
        except ValueError:
            raise click.BadParameter(f"{value!r}: give a part as perlite=1", ctx, param) from None
        if not name.strip() or name.strip() in found:
            raise click.BadParameter(f"{value!r}: name each part once, as perlite=1", ctx, param)
        found[name.strip()] = number
    return found


@click.command("mix")
@click.option("--pots", "n_pots", type=int, required=True, help="Pots to fill.")
@click.option("--pot-l", type=float, required=True, help="What one pot holds to the rim, in litres.")
@click.option(
    "--part",
    "parts",
    multiple=True,
    required=True,
    callback=_parts,
    metavar="NAME=N",
    help="A part of the mix by volume, as perlite=1; once for each.",
)
@click.option("--fill", type=float, default=0.9, show_default=True, help="Share of the pot that is filled.")
@click.option("--settle", type=float, default=0.10, show_default=True, help="Share by which it settles.")
@click.option("--waste", type=float, default=0.05, show_default=True, help="Share spilt or left over.")
@click.option("--shrink", type=float, default=0.10, show_default=True, help="Share lost as parts mix.")
@as_json
@refusing()
def mix(
    n_pots: int,
    pot_l: float,
    parts: dict[str, float],
    fill: float,
    settle: float,
    waste: float,
    shrink: float,
    *,
    json_wanted: bool,
) -> None:
    """How much medium to mix for a number of pots, and the water to work in.

    \b
    Example: 24 pots of 2.83 L, half perlite and half vermiculite
        slipwright craft mix --pots 24 --pot-l 2.83 --part perlite=1 --part vermiculite=1
    """
    from slipwright.craft.cautions import cautions_for
    from slipwright.craft.medium import medium_litres

    need = medium_litres(n_pots, pot_l * 1000, parts, fill=fill, settle=settle, waste=waste, shrink=shrink)
    data = {"blend_l": need.blend_l, "parts_l": need.parts_l, "water_l": need.water_l}
    lines = [f"Mix {need.blend_l:.1f} L, within a tenth either way:"]
    lines += [f"  {litres:.1f} L {name}" for name, litres in need.parts_l.items()]
    lines += [
        f"Work in about {need.water_l:.0f} L of water before filling; sprinkled on top it runs off.",
        "Rests on shares that are our own estimates: measure one bag and put your own figures in.",
        *(caution.text for caution in cautions_for(parts=parts, moving=False) if caution.where == "mixing"),
    ]
    say(data, "\n".join(lines), json_wanted=json_wanted)


@click.command("drain-test")
@click.option("--volume-ml", type=float, required=True, help="Medium in the pot, dry, in mL.")
@click.option("--added-ml", type=float, required=True, help="Water until the surface shone, in mL.")
@click.option("--drained-ml", type=float, required=True, help="Water that ran out in an hour, in mL.")
@as_json
@refusing()
def drain_test_command(volume_ml: float, added_ml: float, drained_ml: float, *, json_wanted: bool) -> None:
    """What a drain test says of a medium, at the height it stood in.

    Tape the holes, fill the pot with dry medium, pour in water until the surface shines; take off the
    tape, catch what runs out in an hour.

    \b
    Example: a pot of 2.8 L
        slipwright craft drain-test --volume-ml 2800 --added-ml 2100 --drained-ml 700
    """
    from slipwright.craft.medium import DRAIN_TEST_ERROR, drain_test

    found = drain_test(volume_ml, added_ml, drained_ml)
    data = {
        "porosity": found.porosity,
        "air_space": found.air_space,
        "container_capacity": found.container_capacity,
    }
    text = (
        f"Of this pot {100 * found.air_space:.0f} % is air and {100 * found.container_capacity:.0f} % water "
        f"once it has drained; {100 * found.porosity:.0f} % is pores.\n"
        f"Each about {100 * DRAIN_TEST_ERROR:.0f} points out either way (our own estimate). A lower pot of "
        "the same medium holds more water and less air; at its bottom no pot holds air."
    )
    say(data, text, json_wanted=json_wanted)


@click.command("dip")
@click.option("--stock-mg-per-l", type=float, required=True, help="Strength of the stock; 1 % is 10000.")
@click.option("--want-mg-per-l", type=float, required=True, help="Strength wanted, counted alike.")
@click.option("--volume-ml", type=float, required=True, help="Volume wanted, in mL.")
@click.option(
    "--auxin",
    type=click.Choice(["iba", "naa", "k-iba", "k-naa"]),
    default="iba",
    show_default=True,
    help="What both strengths count: the acid, or the potassium salt (k-).",
)
@click.option("--alcohol-percent", type=float, help="Alcohol in the stock, if it is made with alcohol.")
@click.option("--for", "plant", help="The plant: its usual strengths are then looked at.")
@click.option("--confirmed", is_flag=True, help="An unusual strength is meant so; the label allows it.")
@as_json
@refusing()
def dip(
    stock_mg_per_l: float,
    want_mg_per_l: float,
    volume_ml: float,
    auxin: str,
    alcohol_percent: float | None,
    plant: str | None,
    *,
    confirmed: bool,
    json_wanted: bool,
) -> None:
    """How much stock to fill up with water for a dip.

    \b
    Example: half a litre of 3000 mg/L from a stock of 1 %, which is 10,000 mg/L
        slipwright craft dip --stock-mg-per-l 10000 --want-mg-per-l 3000 --volume-ml 500 --for rose
    """
    from slipwright.advice.doses import doubts_of_strength
    from slipwright.craft import hormone

    measured = float(hormone.stock_ml(stock_mg_per_l, want_mg_per_l, volume_ml))
    acid = float(hormone.as_acid(want_mg_per_l, auxin))  # type: ignore[arg-type]
    left = None
    if alcohol_percent is not None:
        left = float(hormone.mixed_alcohol_percent(measured, volume_ml, alcohol_percent))
    name, usual, of_any = _usual(plant, auxin)  # type: ignore[arg-type]
    doubts = doubts_of_strength(acid, usual or of_any, plant=name)
    if doubts and not confirmed:
        raise BadInput(" ".join(doubts) + " If it is meant so and the label allows it, add --confirmed.")
    data = {
        "stock_ml": measured,
        "make_up_to_ml": volume_ml,
        "alcohol_percent": left,
        "acid_mg_per_l": acid,
    }
    lines = [f"Measure {measured:.4g} mL of the stock and fill up to the {volume_ml:.4g} mL mark."]
    if auxin.startswith("k-"):
        lines.append(f"{want_mg_per_l:.4g} mg/L of the salt is {acid:.4g} mg/L as the acid.")
    if left is not None:
        lines.append(f"Alcohol is then about {left:.3g} % by volume.")
        if hormone.acid_may_come_out(left, auxin):  # type: ignore[arg-type]
            lines.append(
                "Below about 20 % the acid may come out, cloudy or as crystals (from memory): fill up with "
                "alcohol and water instead, or use the potassium salt."
            )
        if left > hormone.HARSH_ALCOHOL_PERCENT:
            lines.append("So much alcohol may hurt the bases: dip for the label's seconds, no longer.")
    if usual or of_any:
        low, high = usual or of_any or (0, 0)
        acid_name = auxin.removeprefix("k-").upper()
        of = f"of {acid_name}" if usual else f"of another hormone, and none of {acid_name},"
        lines.append(f"The handbook gives {low:,.0f} to {high:,.0f} mg/L {of} for {name}.")
    lines += ["The arithmetic is exact; what the plant makes of it is not.", *doubts, _LABEL_IS_LAW]
    say(data, "\n".join(lines), json_wanted=json_wanted)


def _usual(
    plant: str | None, auxin: Auxin
) -> tuple[str, tuple[float, float] | None, tuple[float, float] | None]:
    """Return the plant's name, and its usual strengths of this hormone and of any."""
    if plant is None:
        return "", None, None
    from slipwright.advice.asked import NotKnown, plant_named
    from slipwright.advice.doses import usual_strengths
    from slipwright.handbook import load_handbook

    found = plant_named(load_handbook(), plant)
    if isinstance(found, NotKnown):
        near = f"; near it: {', '.join(found.near)}" if found.near else ""
        raise BadInput(f"the handbook does not know {plant!r}{near}")
    pages = [found.page]
    return found.taxon, usual_strengths(pages, auxin=auxin), usual_strengths(pages)
