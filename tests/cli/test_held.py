"""A garden that another program holds: words, not a traceback, and nothing written."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.db import connection


def test_recording_while_the_garden_is_held_says_so(
    example: Path, run: Callable[..., Any], answer: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(connection.settings_dict["OPTIONS"], "timeout", 0.1)
    connection.close()
    before = answer("batches", "batches")
    with closing(sqlite3.connect(example, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        said = run("look", "7CGG", "--rooted", 1, "--by", "bea", code=2).stderr
        other.execute("ROLLBACK")
    assert "held by another program" in said
    assert answer("batches", "batches") == before
