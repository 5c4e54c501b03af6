"""Keeping the garden whole: check, copy, put back, bring up to date."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from slipwright.cli.answer import as_json, counted, refusing, say
from slipwright.cli.bar import Bar
from slipwright.cli.certificate import certificates_folder, how_long
from slipwright.cli.garden import reading, start_django

_FILE = click.option(
    "--garden",
    "garden_file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="File the garden is kept in, instead of the usual one.",
)


@click.command()
@click.option("--to", "folder", type=click.Path(file_okay=False, path_type=Path), help="Folder of the copy.")
@_FILE
@as_json
@refusing(OSError)
def backup(folder: Path | None, garden_file: Path | None, *, json_wanted: bool) -> None:
    """Write a copy of the garden, read it again to its end, and only then give it its name.

    Others may go on recording. Without --to it goes into the folder backups beside the garden.

    \b
    Example
        slipwright backup --to /media/stick
    """
    start_django(garden_file)
    from slipwright.records.keeping.backup import backup as copy_garden
    from slipwright.records.keeping.daily import note_copy

    bar = Bar()
    now = datetime.now(UTC)
    with reading(garden_file):
        made = copy_garden(to=folder, now=now, told=bar.told)
    note_copy(made, at=now, by_hand=True)
    bar.close()
    data = {
        "file": str(made.file),
        "bytes": made.bytes,
        "n_entries": made.n_entries,
        "sha256": made.sha256,
        "n_pictures": made.n_pictures,
        "bad_pictures": list(made.bad_pictures),
    }
    text = f"{counted(made.n_entries, 'entry', 'entries')}, checked: {made.file} ({made.bytes / 1e6:.1f} MB)"
    text += _of_pictures(made.n_pictures, made.bad_pictures)
    say(data, text, json_wanted=json_wanted)


def _of_pictures(n: int, bad: Sequence[str]) -> str:
    whole = f"\n{counted(n, 'picture')} in the folder photos beside it." if n else ""
    return whole + "".join(f"\nA picture is damaged and was not copied: {one}" for one in bad)


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--replace-other", is_flag=True, help="Also over a garden that is another than the copy's.")
@_FILE
@as_json
@refusing(OSError)
def restore(file: Path, garden_file: Path | None, *, replace_other: bool, json_wanted: bool) -> None:
    """Put the backup FILE in the garden's place. What was there is kept under another name.

    \b
    Example
        slipwright restore backups/garden-20260910-180000.sqlite3
    """
    start_django(garden_file)
    from slipwright.records.keeping.restore import restore as put_back
    from slipwright.records.selectors import all_gardens, garden_names
    from slipwright.records.services.door_book import keep_door_event

    bar = Bar()
    with reading(garden_file):
        done = put_back(file, now=datetime.now(UTC), told=bar.told, replace_other=replace_other)
        for one in all_gardens():
            keep_door_event(what="restored", now=datetime.now(UTC), garden=one, told=file.name)
        names = ", ".join(garden_names())
    bar.close()
    data = {
        "garden_file": done.garden_file,
        "kept_as": done.kept_as,
        "n_entries": done.n_entries,
        "n_pictures": done.n_pictures,
        "bad_pictures": list(done.bad_pictures),
    }
    kept = f" What was there is kept as {done.kept_as}." if done.kept_as else ""
    entries = counted(done.n_entries, "entry", "entries")
    text = f"{entries} of {names} {'is' if done.n_entries == 1 else 'are'} back in {done.garden_file}.{kept}"
    text += _of_pictures(done.n_pictures, done.bad_pictures)
    say(data, text, json_wanted=json_wanted)


@click.command()
@_FILE
@as_json
@refusing(OSError)
@click.pass_context
def selfcheck(ctx: click.Context, garden_file: Path | None, *, json_wanted: bool) -> None:
    """Check the database, the hash of every entry, every picture and total. Mends nothing.

    Exit status 1 if anything is damaged.

    \b
    Example
        slipwright selfcheck
    """
    start_django(garden_file)
    from slipwright.records.keeping.daily import note_check
    from slipwright.records.keeping.selfcheck import selfcheck as check

    bar = Bar()
    now = datetime.now(UTC)
    with reading(garden_file):
        found = check(told=bar.told, now=now)
    with suppress(OSError):  # a disk that takes nothing more is no reason not to tell
        note_check(found, at=now)
    bar.close()
    data: dict[str, Any] = {
        "ok": found.ok,
        "database": found.database,
        "n_entries": found.n_entries,
        "n_batches": found.n_batches,
        "findings": [
            {"level": finding.level, "where": finding.where, "id": finding.id, "what": finding.what}
            for finding in found.findings
        ],
    }
    verdict = "all is well" if found.ok else "DAMAGED"
    entries = counted(found.n_entries, "entry", "entries")
    batches = counted(found.n_batches, "batch", "batches")
    lines = [f"{entries} of {batches} in {found.database}: {verdict}"]
    found_none = [one for one in found.findings if (one.level, one.where) == ("damage", "schema")]
    if found_none:
        lines = [f"There is no garden in {found.database} yet: nothing to check."]
    lines += [f"{one.level}: {one}" for one in found.findings if one not in found_none]
    told, warned = how_long(certificates_folder(), now)
    if warned:
        data["findings"] += [{"level": "warning", "where": "certificate", "id": None, "what": warned}]
        lines.append(f"warning: certificate: {warned}")
    if told:
        lines.append(told)
    say(data, "\n".join(lines), json_wanted=json_wanted)
    if not found.ok:
        ctx.exit(1)


@click.command()
@_FILE
@as_json
@refusing(OSError)
def migrate(garden_file: Path | None, *, json_wanted: bool) -> None:
    """Bring a garden of an older version up to date, after a backup.

    \b
    Example
        slipwright migrate
    """
    start_django(garden_file)
    from slipwright.records.keeping.schema import migrate as bring_up_to_date

    with reading(garden_file):
        done = bring_up_to_date(now=datetime.now(UTC))
    data = {"applied": list(done.applied), "backup": str(done.backup) if done.backup else None}
    if not done.applied:
        text = "The garden is up to date."
    else:
        copied = f" The copy made first: {done.backup}" if done.backup else ""
        text = f"Brought up to date: {', '.join(done.applied)}.{copied}"
    say(data, text, json_wanted=json_wanted)
