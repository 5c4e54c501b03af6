"""The demonstration garden, as a person asks for it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest

from slipwright.cli import serve
from slipwright.records.models import (
    BatchForecast,
    BatchState,
    Garden,
    Look,
    OneTimeCode,
    Plant,
    PlantSeason,
)


def test_it_is_made_once_and_left_as_it_is(nothing_yet: Path, answer: Callable[..., Any]) -> None:
    first = answer("demo", "demo", "--garden", nothing_yet)
    n_looks = Look.rows.count()
    second = answer("demo", "demo", "--garden", nothing_yet)
    assert (first["made"], second["made"]) == (True, False)
    assert second["stands_on"] == "2015-06-12"
    assert Look.rows.count() == n_looks > 1000


def test_what_its_pages_show_is_worked_out_with_it(nothing_yet: Path, answer: Callable[..., Any]) -> None:
    answer("demo", "demo", "--garden", nothing_yet)
    assert PlantSeason.rows.count() == Plant.rows.count() > 30
    assert BatchForecast.rows.count() == BatchState.rows.filter(ended_on=None).count() > 30


def test_it_says_what_it_is_and_how_to_go_on(nothing_yet: Path, run: Callable[..., Any]) -> None:
    told = run("demo", "--garden", nothing_yet).output
    assert "invented" in told
    assert f"slipwright demo --serve --garden {nothing_yet}" in told
    assert not OneTimeCode.objects.exists()


def test_a_garden_of_ones_own_is_refused(example: Path, run: Callable[..., Any]) -> None:
    n_looks = Look.rows.count()
    told = run("demo", "--garden", example, code=2).output
    assert "no demonstration" in told
    assert (Garden.objects.count(), Look.rows.count()) == (1, n_looks)


def test_another_database_than_the_one_named_is_never_filled(
    nothing_yet: Path, run: Callable[..., Any], tmp_path: Path
) -> None:
    told = run("demo", "--garden", tmp_path / "other.sqlite3", code=2).output
    assert "another database" in told
    assert not nothing_yet.exists()


def test_the_usual_gardens_file_is_never_taken(tmp_path: Path) -> None:
    """In a program of its own, as only there the settings are read anew."""
    usual = tmp_path / "slipwright" / "garden.sqlite3"
    env = {**os.environ, "XDG_DATA_HOME": str(tmp_path), "SLIPWRIGHT_DATABASE_URL": ""}

    def call(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "slipwright.cli", "demo", *arguments]
        return subprocess.run(command, env=env, capture_output=True, text=True, check=False)

    refused = call("--garden", str(usual))
    assert refused.returncode == 2
    assert "your own garden" in refused.stderr
    made = call("--json")
    assert made.returncode == 0, made.stderr
    assert json.loads(made.stdout)["file"] == str(usual.with_name("demo.sqlite3"))
    assert [file.name for file in usual.parent.glob("*.sqlite3")] == ["demo.sqlite3"]


def test_serving_begins_with_a_link_to_come_in_by_once(
    nothing_yet: Path, run: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    served: dict[str, Any] = {}

    @click.command()
    @click.option("--port", type=int)
    @click.option("--garden", "garden_file", type=Path)
    def instead(**options: Any) -> None:
        served.update(options)

    monkeypatch.setattr(serve, "serve", instead)
    told = run("demo", "--serve", "--port", 8123, "--garden", nothing_yet).output
    assert "http://127.0.0.1:8123/let-in/" in told
    assert served == {"port": 8123, "garden_file": nothing_yet}
    (code,) = OneTimeCode.objects.all()
    assert code.purpose == "sign-in"
    assert code.user is not None
    assert code.user.username == "orla"


def test_serving_has_no_answer_in_json(nothing_yet: Path, run: Callable[..., Any]) -> None:
    run("demo", "--serve", "--json", "--garden", nothing_yet, code=2)
    assert not nothing_yet.exists()
