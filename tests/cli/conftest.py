"""Running commands as a person would, and holding their answers to the contract."""

from __future__ import annotations

import json
import shutil
import socket
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result
from django.db import connection

from slipwright.cli import main
from tests.databases import at

EXAMPLE = Path(__file__).parents[2] / "examples" / "saltmarsh-lane"
CONTRACT = Path(__file__).parents[2] / "docs" / "contract"
Run = Callable[..., Result]


@cache
def validator(name: str) -> jsonschema.Draft202012Validator:
    schema = json.loads((CONTRACT / f"{name}.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())


@pytest.fixture
def run() -> Run:
    """Run a command in this process; ``code`` is the exit status asked for."""

    def call(*arguments: object, code: int = 0, env: dict[str, str] | None = None) -> Result:
        result = CliRunner().invoke(main, [str(part) for part in arguments], env=env)
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code == code, result.output
        return result

    return call


@pytest.fixture
def answer(run: Run) -> Callable[..., Any]:
    """Run a command with ``--json`` and return its object, which matches ``contract``."""

    def call(contract: str, *arguments: object, **options: Any) -> Any:
        result = run(*arguments, "--json", **options)
        data = json.loads(result.stdout)
        validator(contract).validate(data)
        return data

    return call


@pytest.fixture(scope="session")
def loaded_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example garden in a file, loaded once."""
    file = tmp_path_factory.mktemp("example") / "garden.sqlite3"
    with at(f"sqlite:///{file}"):
        result = CliRunner().invoke(main, ["load", str(EXAMPLE)])
        assert result.exit_code == 0, result.output
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return file


@pytest.fixture
def example(loaded_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the example garden that commands now answer for, on its own day."""
    file = tmp_path / "garden.sqlite3"
    shutil.copyfile(loaded_once, file)
    monkeypatch.setenv("SLIPWRIGHT_TODAY", "2015-10-20")
    with at(f"sqlite:///{file}"):
        yield file


@pytest.fixture
def nothing_yet(tmp_path: Path) -> Iterator[Path]:
    """A place where no garden is yet."""
    file = tmp_path / "none" / "garden.sqlite3"
    with at(f"sqlite:///{file}"):
        yield file


@pytest.fixture
def port() -> int:
    """Give a port that is free, and the next one too."""
    for _ in range(50):
        with socket.socket() as first, socket.socket() as second:
            first.bind(("127.0.0.1", 0))
            number = int(first.getsockname()[1])
            try:
                second.bind(("127.0.0.1", number + 1))
            except (OSError, OverflowError):
                continue
            return number
    pytest.fail("no two free ports beside each other")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep certificates apart."""
    monkeypatch.setenv("SLIPWRIGHT_CERTIFICATES", str(tmp_path / "certificates"))
    return tmp_path / "certificates"
