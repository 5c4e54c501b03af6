"""Opening a garden for a command."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, ParamSpec, TypeVar, cast
from urllib.parse import quote

import click

from slipwright.cli.answer import STANDS_ON, BadInput

if TYPE_CHECKING:
    from slipwright.records.models import Garden

P = ParamSpec("P")
R = TypeVar("R")


def with_garden(command: Callable[P, R]) -> Callable[P, R]:
    """Give a command the options ``--garden`` and ``--in``, and words for what the database refuses."""

    @functools.wraps(command)
    def inner(*args: P.args, **kwargs: P.kwargs) -> R:
        with reading(cast("Path | None", kwargs.get("garden_file"))):
            return command(*args, **kwargs)

    named = click.option("--in", "in_garden", metavar="GARDEN", help="Which, where there are several.")(inner)
    return click.option(
        "--garden",
        "garden_file",
        type=click.Path(dir_okay=False, path_type=Path),
        help="File the garden is kept in, instead of the usual one.",
    )(named)


def start_django(garden_file: Path | None) -> None:
    """Set up Django for the garden in ``garden_file`` or the usual one."""
    if garden_file is not None:
        os.environ["SLIPWRIGHT_DATABASE_URL"] = "sqlite:///" + quote(str(garden_file.resolve()))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")
    import django

    django.setup()


@contextmanager
def reading(garden_file: Path | None) -> Iterator[None]:
    """Turn what a held garden, or a file that is no garden, raises into words."""
    try:
        yield
    except Exception as error:
        # asked by name, so that commands without a garden need not load Django
        if not type(error).__module__.startswith("django.db"):
            raise
        where = garden_file or "the garden's database"
        if "locked" in str(error) or "lock timeout" in str(error):
            raise BadInput(
                f"{where} is held by another program, perhaps a load: nothing was written; try again later"
            ) from error
        raise BadInput(
            f"{where} cannot be read as a garden: {error}. If it was one, put a backup back: "
            "slipwright restore FILE"
        ) from error


def open_garden(garden_file: Path | None, named: str | None) -> Garden:
    """Return the garden a command is about; its database is there and of this version."""
    start_django(garden_file)
    from slipwright.records.keeping.schema import require_current
    from slipwright.records.selectors import the_garden

    require_current()
    garden = the_garden(named)
    ctx = click.get_current_context(silent=True)
    if ctx is not None and garden.stands_on:
        ctx.meta[STANDS_ON] = garden.stands_on
    return garden
