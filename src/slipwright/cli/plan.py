"""The season's programme."""

from __future__ import annotations

from datetime import UTC, date, datetime
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import DAY, as_json, refusing, say
from slipwright.cli.answer import today as this_day
from slipwright.cli.bar import Bar
from slipwright.cli.garden import open_garden, with_garden
from slipwright.cli.plan_papers import Wished, papers_in_words, with_papers, write_papers

if TYPE_CHECKING:
    from slipwright.records.answers.programme.told import LineTold, ProgrammeTold, WantTold
    from slipwright.records.models import Garden
    from slipwright.records.services.plan_lists import KeptLists


@click.command()
@click.option("--on", type=DAY, help="The day; today if left out.")
@click.option("--seed", type=click.IntRange(min=0), default=1, show_default=True, help="Of the draws.")
@with_papers
@with_garden
@as_json
@refusing()
def plan(
    on: date | None,
    seed: int,
    wished: Wished,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """What to stick in which week, from which plant, to meet every want; and what stops the rest.

    From the windows of each plant, what was learned of rooting and growing on, the batches that stand, and
    the wood, room and hours there are. The same garden, day and seed give the same programme.

    \b
    Examples
        slipwright plan --on 2026-06-12 --csv programme.csv
        slipwright plan --collecting collect.pdf --crew crew.pdf --tongue es
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.programme.planning import programme_of_garden
    from slipwright.records.answers.programme.told import told_of_programme
    from slipwright.records.services.plan_lists import KeptLists

    handbook = load_handbook()
    bar, lists = Bar(), KeptLists(garden, on=datetime.now(UTC).date())
    try:
        found = programme_of_garden(
            garden, handbook, on=on or this_day(), seed=seed, kept=lists, progress=bar
        )
    finally:
        bar.close()
    told = told_of_programme(found)
    papers = write_papers(garden, handbook, found, wished)
    words = "\n".join([_in_words(garden, told), *papers_in_words(papers)])
    say({**told.as_json(), "papers": papers}, words, json_wanted=json_wanted)
    _settle(lists)


def _settle(lists: KeptLists) -> None:
    """Keep the lists for the next programme; without them it takes longer, and this one is told already."""
    from django.db import DatabaseError

    try:
        lists.settle()
    except DatabaseError as error:
        click.echo(f"slipwright: what the next programme could go by was not kept: {error}", err=True)


def _in_words(garden: Garden, told: ProgrammeTold) -> str:
    if not told.wants:
        return "No want is written down. Say what is wanted by when, and ask again."
    n, cost = len(told.lines), told.found.programme.cost
    batches = "no batch" if not n else "1 batch" if n == 1 else f"{n:,} batches"
    lines = [
        f"{garden.name}, from {told.on}: {batches} to stick, {cost:,.2f} {garden.currency}".rstrip() + "."
    ]
    lines += ["", *(_want(want) for want in told.wants)]
    for week, of_week in groupby(told.lines, key=lambda one: one.line.week):
        lines += ["", f"Week of {week}", *(_line(one) for one in of_week)]
    if told.loosened:
        lines += ["", "What more would bring, each by itself"]
        lines += [f"   {one.in_words}" for one in told.loosened]
    if told.lines:
        near = max(told.found.programme.gap, 0.0)
        lines += ["", f"Cost and shortfall lie within {near:.1%} of the least that such plans could come to."]
    lines += ["", *map(str, told.notes)]
    return "\n".join(lines)


def _want(told: WantTold) -> str:
    want = told.want
    head = f"{want.want}: {want.n_wanted:,} {want.ready_as} by {want.ready_by}, {want.assurance:.0%} wished"
    if told.is_met:
        return f"{head}; {told.promised:.0%} promised by what is stuck already."
    if not told.short_by:
        return f"{head}; {told.promised:.0%} promised."
    first = told.stopped_by[0] if told.stopped_by else None
    why = f" What stops it{', even alone' if first.alone else ''}: {first.why}." if first else ""
    if not told.planned:
        return f"{head}; nothing is planned.{why}"
    return f"{head}; {told.planned:,} planned, {told.short_by:,} short.{why}"


def _line(told: LineTold) -> str:
    line = told.line
    pots = "container" if line.n_containers == 1 else "containers"
    where = f"in {line.n_containers:,} {pots}, for {line.want}"
    text = f"   {line.n_to_stick:>5,} {line.wood} of {line.taxon} {where}"
    plants = [
        plant if n is None else f"{plant} ({n:,} {'shoot' if n == 1 else 'shoots'})"
        for plant, n in told.shoots
    ]
    more = [*(["from " + ", ".join(plants)] if plants else []), *([line.method] if line.method else [])]
    return f"{text}\n{' ' * 9}{'; '.join(more)}" if more else text
