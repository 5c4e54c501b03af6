"""The demonstration garden."""

from __future__ import annotations

import shlex
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import BadInput, as_json, refusing, say
from slipwright.cli.bar import Bar
from slipwright.cli.garden import reading, start_django

if TYPE_CHECKING:
    from slipwright.records.models import Garden

#: minutes the link to sign in with is good for
LINK_MINUTES = 24 * 60


@click.command()
@click.option(
    "--garden",
    "garden_file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="File to keep the demonstration in, instead of demo.sqlite3 beside your own garden's.",
)
@click.option("--serve", "served", is_flag=True, help="Serve it, with a link to sign in.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True)
@as_json
@refusing(OSError)
@click.pass_context
def demo(ctx: click.Context, garden_file: Path | None, port: int, *, served: bool, json_wanted: bool) -> None:
    """Make a demonstration garden to look around in: three invented seasons of a community garden.

    It is kept in a file of its own, and your own garden is never touched. Its clock stands at 12 June
    2015. Once it is there it is left as it is, with what you wrote into it; remove the file to begin anew.

    \b
    Example
        slipwright demo --serve
    """
    if served and json_wanted:
        raise BadInput("--serve goes on until it is stopped, so it has no answer in --json: give one of them")
    file = _own_file(garden_file)
    start_django(file)
    _require_opened(file)
    with reading(file):
        garden, made = _filled()
        link = _link(port) if served else ""
    told = {
        "file": str(file),
        "made": made,
        "garden": garden.name,
        "stands_on": garden.stands_on.isoformat() if garden.stands_on else None,
    }
    say(
        told,
        _in_words(garden, file, made=made, served=served, is_asked=garden_file is not None),
        json_wanted=json_wanted,
    )
    if not served:
        return
    click.echo(f"Come in here, once, within a day: {link}")
    from slipwright.cli.serve import serve

    ctx.invoke(serve, port=port, garden_file=file)


def _own_file(asked: Path | None) -> Path:
    """Return the demonstration's file, which is never that of the usual garden.

    The settings must not be imported for it: they take the database from the environment as it is then.
    """
    import platformdirs

    usual = Path(platformdirs.user_data_path("slipwright")) / "garden.sqlite3"
    if asked is not None and asked.resolve() == usual.resolve():
        raise BadInput(f"{asked} is where your own garden is kept; give the demonstration another file")
    return asked or usual.with_name("demo.sqlite3")


def _require_opened(file: Path) -> None:
    """Refuse to go on unless the database that was opened is the demonstration's file."""
    from slipwright.records.keeping.opening import garden_file, vendor

    if vendor() != "sqlite" or garden_file() != file.resolve():
        raise BadInput(f"another database than {file} is open: the demonstration was not made")


def _filled() -> tuple[Garden, bool]:
    """Return the demonstration garden, made if it was not there, and whether it was made."""
    from slipwright.records.demo import demo_garden, fill_demo
    from slipwright.records.keeping.schema import create_if_absent

    create_if_absent()
    bar = Bar()
    made = demo_garden() is None
    try:
        garden = fill_demo(datetime.now(UTC), progress=bar)
        _work_out(garden, bar)
    finally:
        bar.close()
    return garden, made


def _work_out(garden: Garden, bar: Bar) -> None:
    """Work out beforehand what the pages show, as the helper would, so that the first opens quickly."""
    from slipwright.handbook import load_handbook
    from slipwright.records.answers import seasons, told
    from slipwright.records.answers.refit import learn
    from slipwright.records.selectors import garden_day

    now = datetime.now(UTC)
    handbook, on = load_handbook(), garden_day(garden, now)
    garden.refresh_from_db()
    learn(garden, handbook, now=now, progress=bar)
    told.refresh(garden, handbook, on=on, now=now)
    seasons.refresh(garden, handbook, on=on, now=now, progress=bar)


def _link(port: int) -> str:
    from slipwright.records.demo import demo_user
    from slipwright.records.services.door import make_code

    code = make_code(purpose="sign-in", user=demo_user(), now=datetime.now(UTC), minutes=LINK_MINUTES)
    return f"http://127.0.0.1:{port}/let-in/{code}"


def _in_words(garden: Garden, file: Path, *, made: bool, served: bool, is_asked: bool) -> str:
    lines = [
        f"{garden.name}, a demonstration: every plant and name is invented."
        f" Today stands at {garden.stands_on} there.",
        f"{'Made' if made else 'There already'}: {file}",
    ]
    if not served:
        given = f" --garden {shlex.quote(str(file))}" if is_asked else ""
        lines += [f"Look around in it: slipwright demo --serve{given}"]
    return "\n".join(lines)
