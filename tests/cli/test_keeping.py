"""Commands that keep the garden leave word of it, and a damaged garden is not served."""

from __future__ import annotations

import socket
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.db import connection

from slipwright.records.keeping import diary
from tests.cli.conftest import EXAMPLE

Run = Callable[..., Any]


def test_a_copy_made_by_hand_stands_in_the_diary(example: Path, answer: Run, tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    said = answer("backup", "backup", "--to", tmp_path / "stick")
    newest = diary.read().newest(datetime.now(UTC))
    assert newest is not None
    assert (newest.file, newest.by_hand) == (said["file"], True)


def test_the_last_check_stands_in_the_diary(example: Path, answer: Run) -> None:
    said = answer("selfcheck", "selfcheck")
    check = diary.read().check
    assert check is not None
    assert (check.ok, check.n_entries) == (True, said["n_entries"])
    assert any(finding["where"] == "backup" for finding in said["findings"])


def test_after_a_load_a_copy_is_asked_for_and_the_helper_makes_it(nothing_yet: Path, run: Run) -> None:
    run("load", EXAMPLE)
    assert diary.stands("copy-asked") is not None
    run("work", "--once")
    assert diary.stands("copy-asked") is None
    assert diary.read().newest(datetime.now(UTC)) is not None
    run("load", EXAMPLE)
    assert diary.stands("copy-asked") is None, "nothing was new"


def test_a_damaged_garden_is_not_served(example: Path, run: Run) -> None:
    connection.close()
    content = bytearray(example.read_bytes())
    content[len(content) // 2 :] = bytes(len(content) - len(content) // 2)
    example.write_bytes(content)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    said = run("serve", "--port", port, code=2).stderr
    assert "is not served, and nothing was mended" in said
    assert "slipwright restore FILE" in said
    connection.close()
    assert example.read_bytes() == content
    assert "DAMAGED" in run("selfcheck", code=1).stdout


def test_where_there_is_no_garden_the_check_says_that_and_not_damage(nothing_yet: Path, run: Run) -> None:
    said = run("selfcheck", code=1).stdout
    assert "There is no garden in" in said
    assert "DAMAGED" not in said
