"""Writing down what was done and seen, and where the batches stand."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import click

from slipwright.cli.answer import DAY, BadInput, as_json, counted, refusing, say, today
from slipwright.cli.garden import open_garden, with_garden
from slipwright.records import words
from slipwright.records.columns import ENTRY_TABLES

if TYPE_CHECKING:
    from slipwright.records.models import Garden, Sticking
    from slipwright.records.selectors import BatchNow
    from slipwright.records.services import Lot

KINDS = tuple(table.kind for table in ENTRY_TABLES if table.kind != "withdrawal")
#: flags whose name does not say what is wrong
_FLAGS = {
    "before-sticking": "something is dated before the day it was stuck, and counts as seen on that day",
}
COUNTS = ("n_stuck", "n_rooted", "n_lost", "n_removed", "n_waiting", "n_to_pot", "n_potted")


def _totals(now: BatchNow) -> dict[str, Any]:
    return {
        "batch": now.batch,
        "taxon": now.taxon,
        "place": now.place or None,
        "stuck_on": now.stuck_on.isoformat(),
        "counts": {name: getattr(now, name) for name in COUNTS},
        "last_look_on": now.last_look_on.isoformat() if now.last_look_on else None,
        "ended_on": now.ended_on.isoformat() if now.ended_on else None,
        "flags": list(now.flagged),
    }


def _in_words(now: BatchNow) -> str:
    from slipwright.records.codes import shown

    parts = [f"{now.n_rooted} rooted", f"{now.n_lost} lost", f"{max(now.n_waiting, 0)} waiting"]
    if now.n_removed:
        parts.append(f"{now.n_removed} removed")
    if now.n_potted:
        parts.append(f"{now.n_potted} potted")
    text = f"{shown(now.batch)}  {now.taxon}, {now.n_stuck} stuck {now.stuck_on}: {', '.join(parts)}"
    return text + "".join(f"\n  ! {_FLAGS.get(flag, flag.replace('-', ' '))}" for flag in now.flagged)


def _recorded(
    garden: Garden, batches: list[Any], entries: list[Any], *, json_wanted: bool, remark: str = ""
) -> None:
    from slipwright.records.selectors import states_of_batches

    found = {now.pk: now for now in states_of_batches(garden, batches)}
    data = {
        "recorded": [
            {"id": entry.entry_id, "number": entry.number, "kind": entry.kind} | _totals(found[batch.pk])
            for entry, batch in zip(entries, batches, strict=True)
        ]
    }
    lines = [f"Written down. {_in_words(found[pk])}" for pk in dict.fromkeys(batch.pk for batch in batches)]
    lines += [f"  {remark}"] if remark else []
    lines += [
        f"  A slip? slipwright withdraw {entry.entry_id} --kind {entry.kind} --reason WHY"
        for entry in entries
    ]
    say(data, "\n".join(lines), json_wanted=json_wanted)


@contextmanager
def _adding_up(
    garden: Garden, sticking: Sticking, *, on: date, as_counted: bool, n_waiting: int | None = None
) -> Iterator[None]:
    """Ask about a day or counts that do not add up before they are written down for good."""
    from django.db import transaction

    from slipwright.records.codes import shown
    from slipwright.records.selectors import states_of_batches

    if on < sticking.stuck_on and not as_counted:
        raise BadInput(
            f"--on: {on} is before {shown(sticking.batch)} was stuck, {sticking.stuck_on}. Nothing was "
            "written down; give the day it was seen, or say --as-counted to keep that day as it is"
        )
    with transaction.atomic():
        yield
        (after,) = states_of_batches(garden, [sticking])
        wrong = []
        if after.n_waiting < 0:
            wrong.append(f"{after.n_stuck - after.n_waiting} accounted for of {after.n_stuck} stuck")
        elif n_waiting is not None and n_waiting != after.n_waiting:
            wrong.append(f"{n_waiting} counted as still waiting, {after.n_waiting} by the sum")
        if after.n_lost_rooted > after.n_rooted:
            wrong.append(f"{after.n_lost_rooted} of {after.n_rooted} rooted lost")
        if after.n_to_pot < 0:
            wrong.append(f"{after.n_potted} potted of {after.n_rooted - after.n_lost_rooted} rooted")
        if wrong and not as_counted:
            raise BadInput(
                f"that does not add up: {'; '.join(wrong)}. Nothing was written down; count again, or say "
                "--as-counted if it was so"
            )


@click.command()
@click.argument("taxon")
@click.argument("n_stuck", type=int)
@click.option("--wood", type=click.Choice(words.WOODS), help="Left out: that of the method.")
@click.option("--method", help="Left out: the usual way, that of the last batch of this taxon.")
@click.option("--plant", default="", help="The stock plant.")
@click.option("--place", default="", help="Where it is stood.")
@click.option("--part", type=click.Choice(words.PARTS), default=None, help="Part of the shoot.")
@click.option("--shoot", type=click.Choice(words.SHOOTS), default=None, help="State of the shoot.")
@click.option("--want", default="", help="The want it serves.")
@click.option("--on", type=DAY, help="The day; today if left out.")
@click.option("--by", help="Your member id; may be left out where the garden has one member.")
@click.option("--note", default="")
@click.option("--already-done", is_flag=True, help="It was really so: write it down though it is refused.")
@click.option(
    "--ground", type=click.Choice(words.GROUNDS), default=None, help="On what ground, for a protected plant."
)
@with_garden
@as_json
@refusing()
def stick(
    taxon: str,
    n_stuck: int,
    wood: str | None,
    method: str | None,
    plant: str,
    place: str,
    part: str | None,
    shoot: str | None,
    want: str,
    on: date | None,
    by: str | None,
    note: str,
    ground: str | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    already_done: bool,
    json_wanted: bool,
) -> None:
    """Write down a batch: N_STUCK cuttings of TAXON, stuck today the usual way.

    \b
    Example
        slipwright stick "Rosa 'Lantern Keeper'" 24 --plant "Gate rose" --place "Tent 1" --by orla
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.selectors import member_named
    from slipwright.records.services import record_sticking
    from slipwright.records.services.stickings import lot_by_method

    lot = lot_by_method(garden, taxon=taxon, method=method)
    if not (wood := wood or str(lot.get("wood", ""))):
        raise BadInput("--wood: this taxon has no usual way yet; say which wood, or name a --method")
    given = {"plant": plant, "place": place, "part": part, "shoot": shoot, "want": want, "note": note}
    lot |= {"taxon": taxon, "stuck_on": on or today(), "n_stuck": n_stuck, "wood": wood}
    lot |= {name: value for name, value in given.items() if value}
    made = record_sticking(
        garden=garden,
        by=member_named(garden, by),
        now=datetime.now(UTC),
        lots=[cast("Lot", lot)],
        already_done=already_done,
        ground=ground or "",
    )
    _recorded(garden, made, made, json_wanted=json_wanted)


@click.command()
@click.argument("batch")
@click.option("--rooted", "n_rooted", type=int, help="Newly rooted since the look before.")
@click.option("--lost", "n_lost", type=int, help="Newly lost.")
@click.option("--removed", "n_removed", type=int, help="Newly taken away while waiting.")
@click.option("--waiting", "n_waiting", type=int, help="What stands now; only checks the sum.")
@click.option("--lost-rooted", "n_lost_rooted", type=int, help="Newly lost of those that had rooted.")
@click.option("--tried", "n_tried", type=int, help="Pulled at gently.")
@click.option("--tried-rooted", "n_tried_rooted", type=int, help="Of those tried, rooted.")
@click.option("--cause", type=click.Choice(words.CAUSES), default=None, help="Why lost.")
@click.option(
    "--sign", "signs", type=click.Choice(words.SIGNS), multiple=True, help="New leaf is not a root."
)
@click.option("--as-counted", is_flag=True, help="It was counted so, though it does not add up.")
@click.option(
    "--pot-weight", type=click.Choice(words.POT_WEIGHTS), default=None, help="Of the pot in the hand."
)
@click.option("--on", type=DAY, help="The day; today if left out.")
@click.option("--by", help="Your member id; may be left out where the garden has one member.")
@click.option("--note", default="")
@with_garden
@as_json
@refusing()
def look(
    batch: str,
    cause: str | None,
    signs: tuple[str, ...],
    pot_weight: str | None,
    on: date | None,
    by: str | None,
    note: str,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    as_counted: bool,
    json_wanted: bool,
    **counts: Any,
) -> None:
    """Write down a look at BATCH. A count left out was not counted; 0 was counted and is none.

    \b
    Example: three newly rooted, one lost to rot
        slipwright look K7Q2 --rooted 3 --lost 1 --cause rot-from-base --by bea
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.selectors import batch_by_code, member_named
    from slipwright.records.services import record_look

    sticking = batch_by_code(garden, batch)
    on = on or today()
    with _adding_up(garden, sticking, on=on, as_counted=as_counted, n_waiting=counts["n_waiting"]):
        seen = record_look(
            garden=garden,
            by=member_named(garden, by),
            now=datetime.now(UTC),
            batch=sticking.batch,
            on=on,
            cause=cause or "",
            signs=signs,
            pot_weight=pot_weight or "",
            note=note,
            **counts,
        )
    _recorded(garden, [sticking], [seen], json_wanted=json_wanted)


@click.command("pot-up")
@click.argument("batch")
@click.argument("n_potted", type=int)
@click.option("--as-counted", is_flag=True, help="It was counted so, though it does not add up.")
@click.option("--container", default="", help="Into what.")
@click.option("--medium", default="", help="Into which medium.")
@click.option("--place", default="", help="Where they stand.")
@click.option("--on", type=DAY, help="The day; today if left out.")
@click.option("--by", help="Your member id; may be left out where the garden has one member.")
@click.option("--note", default="")
@with_garden
@as_json
@refusing()
def pot_up(
    batch: str,
    n_potted: int,
    container: str,
    medium: str,
    place: str,
    on: date | None,
    by: str | None,
    note: str,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    as_counted: bool,
    json_wanted: bool,
) -> None:
    """Write down N_POTTED rooted cuttings of BATCH potted up.

    \b
    Example
        slipwright pot-up K7Q2 5 --container "Pot 9 cm" --place "Cold frame" --by tam
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.selectors import batch_by_code, member_named
    from slipwright.records.services import record_potting
    from slipwright.records.services.pottings import look_beside

    sticking = batch_by_code(garden, batch)
    on = on or today()
    with _adding_up(garden, sticking, on=on, as_counted=as_counted):
        potted = record_potting(
            garden=garden,
            by=member_named(garden, by),
            now=datetime.now(UTC),
            batch=sticking.batch,
            on=on,
            n_potted=n_potted,
            container=container,
            medium=medium,
            place=place,
            note=note,
        )
    beside = [look for look in [look_beside(garden, potted)] if look]
    entries = [*beside, potted]
    remark = f"{beside[0].n_rooted} more were counted as rooted, since they were potted." if beside else ""
    _recorded(garden, [sticking] * len(entries), entries, json_wanted=json_wanted, remark=remark)


@click.command()
@click.argument("entry_id", metavar="ID")
@click.option("--reason", required=True, help="Why.")
@click.option("--kind", type=click.Choice(KINDS), default=None, help="Where two kinds share the id.")
@click.option("--by", help="Your member id; may be left out where the garden has one member.")
@with_garden
@as_json
@refusing()
def withdraw(
    entry_id: str,
    reason: str,
    kind: str | None,
    by: str | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """Take back the entry with this ID. It stays written down, and no longer counts.

    \b
    Example
        slipwright withdraw look-0206 --reason "wrong pot" --by bea
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.selectors import member_named
    from slipwright.records.services import withdraw as take_back

    now = datetime.now(UTC)
    taken = take_back(
        garden=garden,
        by=member_named(garden, by),
        now=now,
        withdraws=entry_id,
        kind=kind or "",
        reason=reason,
        at=now.replace(microsecond=0),
    )
    data = {"id": taken.entry_id, "number": taken.number, "withdraws": entry_id, "kind": taken.withdraws_kind}
    say(data, f"Taken back: {taken.withdraws_kind} {entry_id}. It no longer counts.", json_wanted=json_wanted)


@click.command()
@click.option("--all", "everything", is_flag=True, help="Also those that have ended.")
@with_garden
@as_json
@refusing()
def batches(garden_file: Path | None, in_garden: str | None, *, everything: bool, json_wanted: bool) -> None:
    """Where every batch stands: stuck, rooted, lost, waiting, potted.

    \b
    Example
        slipwright batches --all
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.selectors import states_of_all_batches, states_of_open_batches

    found = states_of_all_batches(garden) if everything else states_of_open_batches(garden)
    total = {name: sum(max(getattr(now, name), 0) for now in found) for name in COUNTS}
    data = {"batches": [_totals(now) for now in found], "total": total}
    closing = (
        f"{counted(len(found), 'batch', 'batches')}: {total['n_stuck']} stuck, {total['n_rooted']} rooted, "
        f"{total['n_lost']} lost, "
        f"{total['n_waiting']} waiting, {total['n_potted']} potted."
    )
    say(data, "\n".join([*map(_in_words, found), closing]), json_wanted=json_wanted)
