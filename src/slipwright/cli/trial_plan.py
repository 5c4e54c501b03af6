"""How large a trial must be, and where each of its units stands."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from slipwright.cli.answer import BadInput, as_json, refusing, say
from slipwright.cli.files import write_whole
from slipwright.cli.trial_file import fit_of, pairs_of

if TYPE_CHECKING:
    from slipwright.rooting.trial_layout import TrialUnit
    from slipwright.rooting.trial_sizes import TrialPlan

_OUT = click.Path(dir_okay=False, path_type=Path)
#: blocks told in words, and how many of a longer layout
MOST_BLOCKS, FEW_BLOCKS = 20, 5
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


def _arms(ctx: click.Context, param: click.Parameter, values: tuple[str, ...]) -> dict[str, float]:
    found = {}
    for arm, share in pairs_of(ctx, param, values).items():
        try:
            found[arm] = float(share)
        except ValueError:
            raise click.BadParameter(f"{arm}={share}: give a share as 0.6", ctx, param) from None
    return found


@click.command()
@click.option(
    "--arm", "arms", callback=_arms, multiple=True, metavar="NAME=SHARE", help="An arm, as iba=0.7."
)
@click.option("--baseline", type=float, help="Share that roots the usual way, instead of arms.")
@click.option("--difference", type=float, help="Difference to find, as 0.2; with --baseline.")
@click.option("--power", type=float, default=0.8, show_default=True, help="Chance wished to find it.")
@click.option("--spread", type=float, help="How far units differ: a logit sd. 0.5 unless a file tells.")
@click.option("--per-unit", "n_per_unit", type=int, default=8, show_default=True, help="Cuttings a unit.")
@click.option("--spread-from", type=_FILE, metavar="FILE", help="An earlier trial that tells the spread.")
@click.option("--rooted", metavar="C", help="Its columns, as in trial FILE.")
@click.option("--stuck", metavar="C")
@click.option("--by", metavar="FORMULA", default="")
@click.option("--unit", metavar="C", default="")
@click.option("--seed", type=click.IntRange(0, 2**31), help="Draws the same layout again; drawn if left out.")
@click.option("--layout", "layout_file", type=_OUT, metavar="FILE", help="Write the layout as a table (CSV).")
@click.option("--labels", "labels_file", type=_OUT, metavar="FILE", help="Write a label for each unit (PDF).")
@click.option("--taxon", default="Trial", show_default=True, help="What stands on the labels.")
@click.option("--stock", default="a4", show_default=True, help="Labels: a4, letter, stake, or as 100x25mm.")
@as_json
@refusing()
def plan(
    arms: dict[str, float],
    baseline: float | None,
    difference: float | None,
    power: float,
    spread: float | None,
    n_per_unit: int,
    seed: int | None,
    layout_file: Path | None,
    labels_file: Path | None,
    taxon: str,
    stock: str,
    *,
    json_wanted: bool,
    **earlier: Any,
) -> None:
    """How many units of how many cuttings tell the arms apart, and where each stands.

    A unit is what is treated and stands together: a pot, a tray, a plot. Cuttings of one unit share its luck,
    so more units tell more than more cuttings in each. Every arm is to be told from the first; the power is
    each arm's own, and with more than two arms the chance of all at once stands beside it.

    \b
    Examples
        slipwright trial plan --arm none=0.5 --arm iba=0.7
        slipwright trial plan --baseline 0.5 --difference 0.2 --per-unit 4 --layout dips.csv --labels dips.pdf
        slipwright trial plan --arm none=0.5 --arm iba=0.7 --spread-from examples/rose-dips.csv \\
            --rooted rooted --stuck stuck --by 'dip*part' --unit pot
    """
    import numpy as np

    from slipwright.rooting.trial_layout import trial_layout
    from slipwright.rooting.trial_sizes import BATCH_SPREAD, plan_trial

    shares = _shares(arms, baseline, difference)
    spread, rests_on = _spread(spread, earlier, BATCH_SPREAD)
    found = plan_trial(shares, power=power, spread=spread, n_per_unit=n_per_unit)
    seed = secrets.randbelow(1_000_000) if seed is None else seed
    units = trial_layout(
        list(shares),
        n_units_per_arm=found.size.n_units_per_arm,
        n_per_unit=n_per_unit,
        generator=np.random.default_rng(seed),
    )
    warnings = list(found.warnings)
    if layout_file:
        _write_layout(layout_file, units)
    if labels_file:
        warnings += _write_labels(labels_file, units, taxon, stock)
    files = {"layout": layout_file, "labels": labels_file}
    data = {
        **found.as_json(),
        "spread_rests_on": rests_on,
        "seed": seed,
        "layout": [unit.as_row() for unit in units],
        "files": {name: str(file) if file else None for name, file in files.items()},
        "warnings": warnings,
    }
    say(
        data, "\n".join([*_in_words(found, rests_on, units, seed, files), *warnings]), json_wanted=json_wanted
    )


def _shares(arms: dict[str, float], baseline: float | None, difference: float | None) -> dict[str, float]:
    if bool(arms) == (baseline is not None) or (baseline is None) != (difference is None):
        raise BadInput("give either --arm NAME=SHARE for each arm, or --baseline and --difference")
    if baseline is None or difference is None:
        return arms
    return {"usual": baseline, "new": baseline + difference}


def _spread(given: float | None, earlier: dict[str, Any], usual: float) -> tuple[float, str]:
    """Return the spread of units and what it rests on."""
    file = earlier.pop("spread_from")
    if file is None:
        if any(earlier.values()):
            raise BadInput("--rooted, --stuck, --by and --unit belong to --spread-from FILE")
        return (usual, "how far batches usually lie apart") if given is None else (given, "what you gave")
    if given is not None:
        raise BadInput("give either --spread or --spread-from FILE")
    if not (earlier["rooted"] and earlier["stuck"]):
        raise BadInput("--spread-from: say which columns by --rooted and --stuck")
    fit = fit_of(file, **earlier)
    text = f"{file.name}: {fit.spread.mean:.2f}, 8 times in 10 {fit.spread.q10:.2f} to {fit.spread.q90:.2f}"
    return round(fit.spread.mean, 4), text


def _write_layout(file: Path, units: tuple[TrialUnit, ...]) -> None:
    from slipwright.outputs.tables import write_csv
    from slipwright.rooting.trial_layout import LAYOUT_COLUMNS, LAYOUT_TEXTS

    rows = (unit.as_row() for unit in units)
    write_whole(file, b"".join(write_csv(LAYOUT_COLUMNS, rows, LAYOUT_TEXTS)), "--layout")


def _write_labels(file: Path, units: tuple[TrialUnit, ...], taxon: str, stock: str) -> list[str]:
    from slipwright.advice.label import label_of_batch
    from slipwright.outputs.labels import labels_pdf
    from slipwright.outputs.stock import parse_stock

    labels = [
        label_of_batch(
            code=unit.unit,
            taxon=taxon,
            treatment=unit.arm,
            place=f"block {unit.block}, position {unit.position}",
        )
        for unit in units
    ]
    printed = labels_pdf(labels, parse_stock(stock), title="Labels of a trial", garden="")
    write_whole(file, printed.pdf, "--labels")
    return list(printed.warnings)


def _in_words(
    plan: TrialPlan, rests_on: str, units: tuple[TrialUnit, ...], seed: int, files: dict[str, Path | None]
) -> list[str]:
    lines = [plan.verdict, f"The spread rests on {rests_on}.", ""]
    several = len(plan.pairs) > 1
    if several:
        lines += [f"{arm} from {first}: {100 * power:.0f} times in 100" for first, arm, power in plan.pairs]
        lines.append("")
    lines.append("The same chance with other units:")
    head = f"{'cuttings a unit':>15}  {'units an arm':>12}  {'cuttings in all':>15}"
    lines.append(head + (f"  {'all arms, in 100':>16}" if several else ""))
    for size in sorted((plan.size, *plan.alternatives), key=lambda one: one.n_per_unit):
        mark = "  these" if size == plan.size else ""
        row = f"{size.n_per_unit:>15,}  {size.n_units_per_arm:>12,}  {size.n_cuttings:>15,}"
        lines.append(row + (f"  {100 * size.power_all:>16.0f}" if several else "") + mark)
    lines += ["", f"Layout (seed {seed}): each block holds every arm once, in its own order."]
    n_arms = len(plan.shares)
    n_blocks = len(units) // n_arms
    n_told = n_blocks if n_blocks <= MOST_BLOCKS else FEW_BLOCKS
    for at in range(0, n_told * n_arms, n_arms):
        block = units[at : at + n_arms]
        named = "  ".join(f"{unit.unit} {unit.arm}" for unit in block)
        lines.append(f"block {block[0].block:>3}: {named}")
    if n_told < n_blocks:
        where = "in the layout's file" if files["layout"] else "write them all with --layout FILE"
        lines.append(f"… and {n_blocks - n_told:,} blocks more: {where}")
    for name, file in files.items():
        if file:
            lines.append(f"{name}: {file}")
    if files["layout"]:
        lines.append("Fill in the column rooted, then:")
        lines.append(
            f"  slipwright trial {files['layout']} --rooted rooted --stuck stuck --by arm --unit unit "
            f"--reference 'arm={next(iter(plan.shares))}'"
        )
    return lines
