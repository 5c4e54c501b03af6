"""The small words of answers: one is not many, options are named as they are typed, and what to do next."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest

from slipwright.cli.answer import as_typed, counted
from slipwright.craft.errors import BadArgument
from tests.cli.conftest import EXAMPLE

Run = Callable[..., Any]


@pytest.mark.parametrize(
    ("n", "said"), [(0, "0 bad lines"), (1, "1 bad line"), (2, "2 bad lines"), (1200, "1,200 bad lines")]
)
def test_one_is_not_many(n: int, said: str) -> None:
    assert counted(n, "bad line") == said
    assert counted(2, "entry", "entries") == "2 entries"


def test_a_load_says_one_bad_line(nothing_yet: Path, run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    shutil.copytree(EXAMPLE, folder)
    places = folder / "places.csv"
    header, *rows = places.read_text(encoding="utf-8").splitlines()
    kind = header.split(",").index("kind")
    cells = rows[0].split(",")
    cells[kind] = "cupboard"
    places.write_text("\n".join([header, ",".join(cells), *rows[1:]]) + "\n", encoding="utf-8")
    said = run("load", folder, code=2).stderr
    assert "Nothing was loaded: 1 bad line. Mend it and load again." in said


def test_without_a_garden_every_way_to_one_is_named(nothing_yet: Path, run: Run) -> None:
    said = run("today", code=2).stderr
    for way in ("slipwright load", "slipwright serve", "slipwright demo"):
        assert way in said


def test_what_is_blamed_is_named_as_it_is_typed() -> None:
    @click.command()
    @click.argument("n_cut")
    @click.option("--stuck", "n_stuck")
    def command() -> None:
        """Do nothing."""

    with click.Context(command):
        assert as_typed(BadArgument("n_stuck", "be 1 or more", 0)) == "--stuck must be 1 or more, not 0"
        assert as_typed(ValueError("n_stuck must be 1 or more")) == "--stuck must be 1 or more"
        assert as_typed(BadArgument("n_cut", "be 1 or more", 0)) == "N_CUT must be 1 or more, not 0"
        assert as_typed(ValueError("stuck is no word for it")) == "stuck is no word for it"
        assert as_typed(BadArgument("share", "be 1 or less", 2)) == "share must be 1 or less, not 2"
    assert as_typed(BadArgument("n_stuck", "be 1 or more", 0)) == "n_stuck must be 1 or more, not 0"
