"""The commands of the README work as they stand there, and every command has its schema."""

from __future__ import annotations

import re
import shlex
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
