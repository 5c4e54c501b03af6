"""Opening a garden for a command."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, ParamSpec, TypeVar
from urllib.parse import quote

import click

from slipwright.cli.answer import BadInput

if TYPE_CHECKING:
    from slipwright.records.models import Garden

P = ParamSpec("P")
R = TypeVar("R")


def with_garden(command: Callable[P, R]) -> Callable[P, R]:
    """Give a command the options ``--garden`` and ``--in``."""
    command = click.option(
        "--in", "in_garden", metavar="GARDEN", help="Which garden, where there are several."
    )(command)
    return click.option(
        "--garden",
        "garden_file",
        type=click.Path(dir_okay=False, path_type=Path),
        help="File the garden is kept in, instead of the usual one.",
    )(command)


def start_django(garden_file: Path | None) -> None:
    """Set up Django for the garden in ``garden_file`` or the usual one."""
    if garden_file is not None:
        os.environ["SLIPWRIGHT_DATABASE_URL"] = "sqlite:///" + quote(str(garden_file.resolve()))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")
    import django

    django.setup()


@contextmanager
def reading(garden_file: Path | None) -> Iterator[None]:
    """Turn what a file that is no garden raises into words."""
    from django.db import DatabaseError

    try:
        yield
    except DatabaseError as error:
        where = garden_file or "the garden's database"
        raise BadInput(f"{where} cannot be read as a garden: {error}") from error


def open_garden(garden_file: Path | None, named: str | None) -> Garden:
    """Return the garden a command is about; its database is there and of this version."""
    start_django(garden_file)
    from slipwright.records.keeping.schema import require_current
    from slipwright.records.selectors import the_garden

    with reading(garden_file):
        require_current()
        return the_garden(named)
