"""What all looks of a garden taught."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import click

from slipwright.cli.answer import BadInput, as_json, refusing, say
from slipwright.cli.bar import Bar
from slipwright.cli.garden import open_garden, with_garden
from slipwright.craft.figures import plain

if TYPE_CHECKING:
    from slipwright.records.answers.findings.found import Found, PlantFound
    from slipwright.records.models import Garden
    from slipwright.records.selectors.fits import FitNow

#: so many comparisons and plants are told in words; --json tells all
TOLD = 20


@click.command()
@click.option("--anew", is_flag=True, help="Learn again even where nothing is new.")
@with_garden
@as_json
@refusing()
def learn(garden_file: Path | None, in_garden: str | None, *, anew: bool, json_wanted: bool) -> None:
    """Learn from every look of the garden, and say what was learned and how much is still believed only.

    From nothing, so that the same records give the same numbers. The helper beside the pages does it
    too: a while after something was written, and each night.

    \b
    Example
        slipwright learn
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.findings.found import found_from
    from slipwright.records.answers.refit import learn as take_in
    from slipwright.records.selectors.fits import fit_now
    from slipwright.records.services.fits import Overtaken

    bar = Bar()
    try:
        is_new = take_in(garden, load_handbook(), now=datetime.now(UTC), anew=anew, progress=bar)
    except Overtaken as error:
        raise BadInput("the helper beside the pages learned at the same moment: ask again") from error
    finally:
        bar.close()
    fit = fit_now(garden)
    if fit is None:
        say(
            _nothing(),
            "No look has counted anything yet: there is nothing to learn from.",
            json_wanted=json_wanted,
        )
        return
    found = found_from(fit.found)
    say(_as_json(fit, found, is_new), _in_words(garden, fit, found, is_new), json_wanted=json_wanted)


def _nothing() -> dict[str, Any]:
    return {
        "n_batches": 0,
        "n_looks": 0,
        "is_new": False,
        "learned_up_to": None,
        "seconds": 0.0,
        "effects": [],
        "taxa": [],
        "spreads": [],
        "contrasts": [],
        "prior_share": 1.0,
        "converged": True,
        "remarks": [],
        "model": "",
        "data_hash": "",
    }


def _as_json(fit: FitNow, found: Found, is_new: bool) -> dict[str, Any]:
    return _nothing() | {
        "n_batches": fit.n_batches,
        "n_looks": fit.n_looks,
        "is_new": is_new,
        "learned_up_to": fit.learned_up_to.isoformat(),
        "seconds": fit.seconds,
        "effects": list(found.effects),
        "taxa": [one.as_kept() for one in found.taxa],
        "spreads": list(found.spreads),
        "contrasts": [one.as_kept() | {"text": str(one.in_words)} for one in found.contrasts],
        "prior_share": round(found.prior_share, 4),
        "converged": fit.converged,
        "remarks": [remark.as_kept() | {"text": str(remark.in_words)} for remark in found.remarks],
        "model": fit.version,
        "data_hash": fit.data_hash,
    }


def _in_words(garden: Garden, fit: FitNow, found: Found, is_new: bool) -> str:
    at = fit.learned_up_to.astimezone(ZoneInfo(garden.time_zone))
    behind = f"{_counted(fit.n_looks, 'look', 'looks')} at {_counted(fit.n_batches, 'batch', 'batches')}"
    lines = [
        f"Learned from {behind}, in {fit.seconds:.1f} s."
        if is_new
        else f"Nothing new: this was learned from {behind}, and holds up to {at:%Y-%m-%d %H:%M}."
    ]
    lines.append("Looks that counted nothing, and batches without a count, teach nothing and are left out.")
    lines += ["", *_comparisons(found), "", *_plants(found.plants), ""]
    lines += [f"! {remark.in_words}" for remark in found.remarks]
    lines.append("Ranges are 8 times in 10. Every forecast rests on this from now on.")
    return "\n".join(lines)


def _counted(n: int, one: str, more: str) -> str:
    return f"{plain(n, 0)} {one if n == 1 else more}"


def _comparisons(found: Found) -> list[str]:
    told, n_prior, n_same = found.learned, found.n_prior, found.n_same
    lines = [str(one.in_words) for one in told[:TOLD]]
    if len(told) > TOLD:
        lines.append(f"… and {len(told) - TOLD} more; --json tells all.")
    if not told:
        lines = ["No comparison has been moved far from what was believed before any record as yet."]
    if n_same:
        lines.append(f"{_counted(n_same, 'comparison', 'comparisons')} turned out to make no difference.")
    if n_prior and told:
        are = "is" if n_prior == 1 else "are"
        lines.append(
            f"{n_prior} of {len(found.contrasts)} comparisons {are} still mostly what was believed before."
        )
    return lines


def _plants(plants: Sequence[PlantFound]) -> list[str]:
    width = max((len(plant.taxon) for plant in plants[:TOLD]), default=0)
    lines = [
        "How fast each plant is at six weeks, as a multiple of what the handbook says, and how much is still "
        "handbook:"
    ]
    if not all(plant.has_row for plant in plants[:TOLD]):
        lines.append("(* no page: as a multiple of any plant, and how much is still what holds for any)")
    for plant in plants[:TOLD]:
        root, loss = (
            f"{one.p50:>5.2f} ({one.p10:.2f} to {one.p90:.2f})" for one in (plant.rooting, plant.loss)
        )
        lines.append(
            f" {' ' if plant.has_row else '*'} {plant.taxon:<{width}}  {plant.wood:<14}  roots {root}"
            f"  is lost {loss}  {plant.rooting.prior_share:>4.0%}"
        )
    if len(plants) > TOLD:
        lines.append(f"   … and {len(plants) - TOLD} more; --json tells all.")
    return lines
