"""The commands of the README work as they stand there, and every command has its schema."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import click
import pytest

from slipwright.cli import COMMANDS, SHORT_HELP, main

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def _commands(page: str) -> list[str]:
    return [line.split("   #")[0].strip() for line in page.splitlines() if line.startswith("    slipwright ")]


LINES = _commands(README)


def test_readme_shows_the_main_commands() -> None:
    shown = {shlex.split(line)[1] for line in LINES}
    assert shown >= {"advise", "load", "today", "forecast", "labels", "sheet", "calendar", "dump", "backup"}


def test_commands_of_the_readme_run(
    nothing_yet: Path, run: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SLIPWRIGHT_TODAY", "2015-10-20")
    for line in LINES:
        assert run(*shlex.split(line)[1:]).output


@pytest.mark.parametrize("page", ["papers", "season"])
def test_commands_of_a_page_run_on_the_example_garden_and_write_what_they_name(
    page: str, example: Path, run: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    lines = _commands((ROOT / "docs" / f"{page}.md").read_text(encoding="utf-8"))
    assert len(lines) >= 3
    for line in lines:
        words = shlex.split(line)[1:]
        assert run(*words).output
        for option, file in pairwise(words):
            if option in ("--out", "--csv", "--collecting", "--crew"):
                written = (tmp_path / file).read_bytes()
                assert written.startswith(b"%PDF" if file.endswith(".pdf") else b"line,week"), line
                (tmp_path / file).unlink()


def _station_file() -> str:
    """Return a month of a station as GHCN-Daily writes it: tenths of a degree in columns of fixed width."""
    days = {"TMIN": 31, "TMAX": 92}
    return "".join(
        f"USW00024233201501{element}" + "".join(f"{tenths:5d}  S" for _ in range(31)) + "\n"
        for element, tenths in days.items()
    )


@pytest.mark.parametrize("page", ["first-season", "keeping", "lan", "running", "tables", "trials", "weather"])
def test_commands_of_the_other_pages_run_as_they_stand(
    page: str, example: Path, run: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    shutil.copytree(ROOT / "examples" / "saltmarsh-lane", tmp_path / "my-garden")
    shutil.copy(ROOT / "examples" / "saltmarsh-lane" / "weather.csv", tmp_path)
    (tmp_path / "USW00024233.dly").write_text(_station_file(), encoding="ascii")
    pots = [(arm, n, 4 + (arm != "no hormone") + n % 2) for n in range(8) for arm in ("no hormone", "dip")]
    table = "".join(f"{arm},{arm} {n},8,{rooted}\n" for arm, n, rooted in pots)
    (tmp_path / "trial-dip-or-none.csv").write_text("arm,unit,stuck,rooted\n" + table, encoding="utf-8")
    for folder in ("copies", "stick"):
        (tmp_path / folder).mkdir()
    run("backup", "--to", str(tmp_path / "copies"))
    (copy,) = (tmp_path / "copies").glob("*.sqlite3")
    here = {
        "FILE": str(copy),
        "backups/garden-20260910-180000.sqlite3": str(copy),
        "/media/stick": str(tmp_path / "stick"),
    }
    lines = _commands((ROOT / "docs" / f"{page}.md").read_text(encoding="utf-8"))
    assert lines
    for line in lines:
        name, *words = shlex.split(line)[1:]
        if name == "serve":  # runs until it is stopped: what it is asked with is read, and no more
            command = main.get_command(click.Context(main), name)
            assert command is not None
            assert command.make_context(name, words)
        else:
            assert run(name, *(here.get(word, word) for word in words)).output, line


def test_every_page_with_commands_is_run_here() -> None:
    pages = {
        page.stem for page in (ROOT / "docs").glob("*.md") if _commands(page.read_text(encoding="utf-8"))
    }
    run = {"papers", "season", "first-season", "keeping", "lan", "running", "tables", "trials", "weather"}
    assert pages == run


def test_every_command_says_what_it_does_and_gives_an_example() -> None:
    assert set(COMMANDS) == set(SHORT_HELP)
    context = click.Context(main)
    for name in COMMANDS:
        command = main.get_command(context, name)
        assert command is not None
        found = list(command.commands.values()) if isinstance(command, click.Group) else [command]
        for one in found:
            assert "slipwright" in str(one.help), one.name


def test_every_command_that_answers_in_json_has_its_schema() -> None:
    listed = (ROOT / "docs" / "contract" / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`([a-z -]+)`", listed))
    assert named >= set(COMMANDS) - {"craft"}
    for file in re.findall(r"\]\(([a-z.-]+\.json)\)", listed):
        assert (ROOT / "docs" / "contract" / file).exists()
