"""Files that the season's programme is written to: sheets to print, and the table."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, ParamSpec, TypeVar

import click

from slipwright.cli.answer import counted
from slipwright.cli.files import write_whole

if TYPE_CHECKING:
    from datetime import date

    from slipwright.handbook import Handbook
    from slipwright.outputs.measures import First
    from slipwright.records.answers.programme.paper_lines import PaperLine
    from slipwright.records.answers.programme.planning import GardenProgramme
    from slipwright.records.models import Garden

P = ParamSpec("P")
R = TypeVar("R")

_FILE = click.Path(dir_okay=False, path_type=Path)


@dataclass(frozen=True, slots=True)
class Wished:
    """The files that were asked for, and how they are to be."""

    csv: Path | None
    collecting: Path | None
    crew: Path | None
    tongue: str
    units: str
    paper: str

    @property
    def is_empty(self) -> bool:
        """Whether none was asked for."""
        return not (self.csv or self.collecting or self.crew)


def with_papers(command: Callable[P, R]) -> Callable[P, R]:
    """Give a command the options that ask for papers, as one ``wished``."""

    @functools.wraps(command)
    def inner(*args: P.args, **kwargs: P.kwargs) -> R:
        told: Any = dict(kwargs)
        fields = ("csv", "collecting", "crew", "tongue", "units", "paper")
        told["wished"] = Wished(*(told.pop(f"paper_{name}") for name in fields))
        return command(*args, **told)

    options = (
        click.option("--csv", "paper_csv", type=_FILE, help="Table to write, every number of each line."),
        click.option("--collecting", "paper_collecting", type=_FILE, help="Sheet to collect by, a PDF."),
        click.option("--crew", "paper_crew", type=_FILE, help="Sheet to stick by, a PDF."),
        click.option(
            "--tongue",
            "paper_tongue",
            type=click.Choice(["en", "es"]),
            default="en",
            show_default=True,
            help="Of the sheets.",
        ),
        click.option(
            "--units",
            "paper_units",
            type=click.Choice(["metric", "us"]),
            help="Which come first on the sheets; the garden's if left out.",
        ),
        click.option(
            "--paper",
            "paper_paper",
            type=click.Choice(["a4", "letter"]),
            help="Of the sheets; by the units if left out.",
        ),
    )
    made: Callable[P, R] = inner
    for option in reversed(options):
        made = option(made)
    return made


def write_papers(
    garden: Garden, handbook: Handbook, found: GardenProgramme, wished: Wished
) -> list[dict[str, Any]]:
    """Write the files that were asked for, and return what there is to tell of each."""
    if wished.is_empty:
        return []
    from slipwright.outputs.tables import write_csv
    from slipwright.records.answers.programme.just_made import content_for_papers
    from slipwright.records.answers.programme.paper_lines import all_lines, paper_lines
    from slipwright.records.answers.programme.table import COLUMNS, TEXTS, rows_of_programme

    content, on = content_for_papers(found), found.problem.given.on
    told: list[dict[str, Any]] = []
    if wished.csv is not None:
        rows = rows_of_programme(all_lines(garden, handbook, content))
        write_whole(wished.csv, b"".join(write_csv(COLUMNS, rows, TEXTS)), "--csv")
        told.append({"file": str(wished.csv), "n_pages": None, "warnings": []})
    lines = paper_lines(garden, handbook, content, on=on, tongue=wished.tongue)
    for kind, file in (("collecting", wished.collecting), ("crew", wished.crew)):
        if file is not None:
            told.append(
                _sheet(garden, content, lines, on, wished, "crew" if kind == "crew" else "collecting", file)
            )
    return told


def _sheet(
    garden: Garden,
    content: Mapping[str, Any],
    lines: tuple[PaperLine, ...],
    on: date,
    wished: Wished,
    kind: Literal["collecting", "crew"],
    file: Path,
) -> dict[str, Any]:
    from django.utils import translation

    from slipwright.outputs.collecting import collecting_pdf
    from slipwright.outputs.crew import crew_pdf
    from slipwright.records.answers.programme.papers import collecting_sheet, crew_sheet

    if not lines:
        return {
            "file": str(file),
            "n_pages": None,
            "warnings": [f"{file} was not written: nothing is to be stuck."],
        }
    first: First = "us" if (wished.units or garden.units) == "us" else "metric"
    paper = wished.paper or ("letter" if first == "us" else "a4")
    size: Literal["a4", "letter"] = "letter" if paper == "letter" else "a4"
    with translation.override(wished.tongue):
        if kind == "crew":
            sheet = crew_sheet(garden, content, lines, on=on, first=first)
            printed = crew_pdf(sheet, paper=size, translate=translation.gettext)
        else:
            to_collect = collecting_sheet(garden, content, lines, on=on, first=first)
            printed = collecting_pdf(to_collect, paper=size, translate=translation.gettext)
    write_whole(file, printed.pdf, f"--{kind}")
    return {"file": str(file), "n_pages": printed.n_pages, "warnings": list(printed.warnings)}


def papers_in_words(told: list[dict[str, Any]]) -> list[str]:
    """Return a line for each file that was written."""
    lines = []
    for one in told:
        if one["n_pages"]:
            lines.append(f"{counted(one['n_pages'], 'page')}: {one['file']}")
        elif not one["warnings"]:
            lines.append(f"Table: {one['file']}")
        lines += one["warnings"]
    return lines
