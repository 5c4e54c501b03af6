"""How many to stick, and where to cut a cane."""

from __future__ import annotations

import click

from slipwright.cli.answer import as_json, counted, refusing, say

#: beyond this a number to stick rests on tails nobody has counted
MOST_ASSURANCE = 0.99


@click.command("stick-count")
@click.option("--want", "n_wanted", type=int, required=True, help="Plants wanted.")
@click.option("--mean", type=float, required=True, help="Expected share that roots, 0 to 1.")
@click.option("--assurance", type=float, required=True, help="Wished probability, as 0.9.")
@click.option(
    "--precision",
    type=float,
    default=10.0,
    show_default=True,
    help="How alike batches are: a+b of the beta. inf: all batches the same (binomial).",
)
@as_json
@refusing()
def stick_count(n_wanted: int, mean: float, assurance: float, precision: float, *, json_wanted: bool) -> None:
    """How many cuttings to stick so that enough root.

    \b
    Example: 24 plants, 65 in 100 expected to root, 9 times in 10
        slipwright craft stick-count --want 24 --mean 0.65 --assurance 0.9
    """
    from slipwright.craft.numbers import cuttings_to_stick

    count = cuttings_to_stick(n_wanted, mean, assurance, precision)
    data = {"n_to_stick": count.n_to_stick, "p_reached": count.p_reached}
    text = (
        f"Stick {count.n_to_stick:,}: {n_wanted:,} or more root {_of_hundred(count.p_reached)}.\n"
        f"Rests on the share you gave ({mean:g}) and {_batches(mean, precision)}."
    )
    if assurance > MOST_ASSURANCE:
        text += "\nSo sure, the number turns on batches worse than any you have likely seen."
    say(data, text, json_wanted=json_wanted)


def _of_hundred(share: float) -> str:
    if share == 1.0:
        return "every time"
    number = round(share * 100)
    return "over 99 times in 100" if number > 99 else f"about {number} times in 100"


def _batches(mean: float, precision: float) -> str:
    if mean == 1.0:
        return "every cutting rooting"
    if precision == float("inf"):
        return "batches that are all alike (binomial)"
    return f"batches that differ (beta-binomial, precision {precision:g})"


def _lengths(ctx: click.Context, param: click.Parameter, value: str) -> tuple[float, ...]:
    try:
        return tuple(float(part) for part in value.replace(";", ",").split(",") if part.strip())
    except ValueError:
        raise click.BadParameter(f"{value!r}: give distances as 30,70,115", ctx, param) from None


@click.command("cane")
@click.option(
    "--node-mm", required=True, callback=_lengths, help="Distance of each node from the tip, as 30,70,115."
)
@click.option("--cane-mm", type=float, help="Length of the cane, if it goes on below the last node.")
@click.option("--tip-mm", type=float, default=0.0, show_default=True, help="Soft tip to leave out.")
@click.option("--base-mm", type=float, default=0.0, show_default=True, help="Woody base to leave out.")
@click.option("--min-nodes", type=int, default=2, show_default=True, help="Nodes a cutting at least.")
@click.option("--min-mm", type=float, default=75.0, show_default=True, help="Shortest cutting.")
@click.option("--max-mm", type=float, default=125.0, show_default=True, help="Longest cutting.")
@as_json
@refusing()
def cane(
    node_mm: tuple[float, ...],
    cane_mm: float | None,
    tip_mm: float,
    base_mm: float,
    min_nodes: int,
    min_mm: float,
    max_mm: float,
    *,
    json_wanted: bool,
) -> None:
    """Where to cut a cane, tip to base.

    \b
    Example: nodes every 4 cm or so on a cane of half a metre
        slipwright craft cane --node-mm 40,80,118,160,205,240,282,325,370,410,455 --tip-mm 60 --base-mm 40
    """
    from slipwright.craft.cane import cuttings_of_cane, why_none

    limits = {
        "cane_mm": cane_mm,
        "tip_mm": tip_mm,
        "base_mm": base_mm,
        "min_nodes": min_nodes,
        "min_mm": min_mm,
        "max_mm": max_mm,
    }
    pieces = cuttings_of_cane(node_mm, **limits)  # type: ignore[arg-type]
    data = {
        "cuttings": [
            {"top_mm": piece.top_mm, "base_mm": piece.base_mm, "n_nodes": piece.n_nodes} for piece in pieces
        ]
    }
    head = f"{counted(len(pieces), 'cutting')}, from the tip down:"
    lines = [head] if pieces else [why_none(node_mm, **limits)]  # type: ignore[arg-type]
    lines += [
        f"{number:>3}  from {piece.top_mm:.0f} to {piece.base_mm:.0f} mm, "
        f"{counted(piece.n_nodes, 'node')}, {piece.length_mm:.0f} mm long"
        for number, piece in enumerate(pieces, 1)
    ]
    if pieces:
        lines.append(
            "Flat top just above a bud, slanted base just below a node, all the same way up.\n"
            "Clean blade; cut away from the hand."
        )
    say(data, "\n".join(lines), json_wanted=json_wanted)
