"""Trials: what a table of rooted of stuck teaches, and how to lay out the next one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import BadInput, as_json, counted, refusing, say
from slipwright.cli.trial_file import fit_of, pairs_of
from slipwright.cli.trial_plan import plan

if TYPE_CHECKING:
    from slipwright.rooting.trials import TrialFit

_FILE = click.Path(path_type=Path)
#: ratios of odds beyond these are all one to a grower
_MOST_ODDS = 1_000


class FileOrPlan(click.Group):
    """``trial FILE`` reads a table; ``trial plan`` lays one out. What is not ``plan`` is a file."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the command that reads a file in front of it."""
        if args and args[0] not in ("plan", "--help", "-h"):
            args = ["FILE", *args]
        return super().parse_args(ctx, args)


@click.group(cls=FileOrPlan)
def trial() -> None:
    """What a trial taught, and how to lay out the next one.

    Any table of rooted of stuck will do; a trial that is too small says so.

    \b
    Examples
        slipwright trial examples/rose-dips.csv --rooted rooted --stuck stuck --by dip --unit pot \\
            --reference dip=none
        slipwright trial FILE --help
        slipwright trial plan --help
    """


@trial.command("FILE")
@click.argument("file", type=_FILE, metavar="", required=False)
@click.option("--rooted", metavar="C", required=True, help="Column of how many rooted.")
@click.option("--stuck", metavar="C", required=True, help="Column of how many were stuck.")
@click.option("--by", metavar="FORMULA", default="", help="Factors: 'a', 'a+b', 'a*b'.")
@click.option(
    "--unit", metavar="C", default="", help="Column of the pot, plate or plot; else each row is one."
)
@click.option("--reference", callback=pairs_of, multiple=True, metavar="A=X", help="Level compared with.")
@click.option("--cell-means", is_flag=True, help="Each combination of levels as a share, too.")
@click.option(
    "--spread-prior",
    default="half-normal:0.5",
    show_default=True,
    metavar="PRIOR",
    help="Of the units' spread: half-normal:SCALE, uniform:MOST, inverse-gamma:SHAPE,RATE.",
)
@click.option(
    "--effect-prior",
    default="2,2",
    show_default=True,
    metavar="SD,SD",
    help="Of the mean of all, and of what each level adds, on the logit scale.",
)
@as_json
@refusing()
def read(
    file: Path | None,
    rooted: str,
    stuck: str,
    by: str,
    unit: str,
    reference: dict[str, str],
    spread_prior: str,
    effect_prior: str,
    *,
    cell_means: bool,
    json_wanted: bool,
) -> None:
    """What a table of rooted of stuck taught: effects, pairs of levels, and whether like units differ.

    Ranges are 8 times in 10. Cells are read as text; no formula in them is ever evaluated.

    \b
    Examples
        slipwright trial examples/rose-dips.csv --rooted rooted --stuck stuck --by dip --unit pot \\
            --reference dip=none
        slipwright trial examples/rose-dips.csv --rooted rooted --stuck stuck --by 'dip*part' \\
            --unit pot --reference dip=none --reference part=middle --cell-means
    """
    from slipwright.rooting import trial_priors

    if file is None:
        raise BadInput("name the trial's table first: slipwright trial FILE --rooted C --stuck C")
    fit = fit_of(
        file,
        rooted=rooted,
        stuck=stuck,
        by=by,
        unit=unit,
        reference=reference,
        spread_prior=trial_priors.spread_prior(spread_prior),
        effect_prior=trial_priors.EffectPrior(*_two(effect_prior)),
    )
    say(fit.as_json(cell_means=cell_means), _in_words(fit, cell_means=cell_means), json_wanted=json_wanted)


def _two(text: str) -> tuple[float, float]:
    try:
        first, second = (float(part) for part in text.split(","))
    except ValueError:
        raise BadInput(f"--effect-prior: give two standard deviations as 2,2, not {text!r}") from None
    return first, second


def _in_words(fit: TrialFit, *, cell_means: bool) -> str:
    told = f"{fit.n_rooted:,} of {fit.n_stuck:,} rooted, in {counted(fit.n_units, 'unit')}"
    lines = [fit.verdict[0].upper() + fit.verdict[1:], told, ""]
    wide = max(len(effect.term) for effect in fit.effects)
    lines.append(f"{'term (logit scale)':<{max(wide, 18)}}  {'mean':>7}  {'sd':>6}  8 times in 10")
    for effect in (*fit.effects, fit.spread):
        term = "spread of units" if effect is fit.spread else effect.term
        span = f"{effect.q10:.2f} to {effect.q90:.2f}"
        lines.append(f"{term:<{max(wide, 18)}}  {effect.mean:>7.2f}  {effect.sd:>6.2f}  {span}")
    if fit.contrasts:
        lines += ["", "In 100 cuttings, over many units:"]
    for one in fit.contrasts:
        share = one.difference
        lines.append(
            f"{one.factor} {one.level} over {one.against}: {100 * share.mean:+.0f} "
            f"({100 * share.q10:+.0f} to {100 * share.q90:+.0f}); odds times {_odds(one.odds[0])} "
            f"({_odds(one.odds[1])} to {_odds(one.odds[2])}); better {_times(one.p_above_0)}"
        )
    if cell_means:
        lines += ["", "Rooted in 100, over many units:"]
        lines += [
            f"{cell.cell}: {100 * cell.mean:.0f} ({100 * cell.q10:.0f} to {100 * cell.q90:.0f}); "
            f"counted {cell.n_rooted:,} of {cell.n_stuck:,}"
            for cell in fit.cell_means
        ]
    extra = {"none_found": "none found", "present": "present", "cannot_tell": "cannot be told"}
    lines += [
        "",
        f"Extra variation: {extra[fit.extra_variation]}. Without it chi-square would be near {fit.df:,}; "
        f"it is {fit.pearson_chi2:.1f}.",
        "A range holds 8 times in 10.",
        *fit.warnings,
    ]
    return "\n".join(lines)


def _odds(ratio: float) -> str:
    """Return a ratio in two figures, written out."""
    if ratio >= _MOST_ODDS:
        return f"over {_MOST_ODDS:,}"
    if ratio <= 1 / _MOST_ODDS:
        return f"under {1 / _MOST_ODDS:g}"
    return f"{float(f'{ratio:.2g}'):,.10g}"


def _times(share: float) -> str:
    number = round(share * 100)
    if number in (0, 100):
        return "over 99 times in 100" if number else "less than once in 100"
    return f"{number} times in 100"


trial.add_command(plan)
