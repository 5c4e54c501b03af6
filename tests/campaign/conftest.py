"""What the long tests share: the records' databases and garden, and parts that are done once.

Without more said each suite does a few of its parts, and all of its planted faults. ``make campaign`` does
all; with ``SLIPWRIGHT_CAMPAIGN_TO`` a folder it writes each part that is done into a file there, as a line
of JSON, and leaves it out the next time.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from tests.records.conftest import database, garden, grower, now, owner, reader, templates, volunteer

__all__ = ["database", "garden", "grower", "now", "owner", "reader", "templates", "volunteer"]

IS_FULL = os.environ.get("SLIPWRIGHT_CAMPAIGN") == "full"
#: seconds between two lines of how far a suite is
SAY_EVERY_S = 20.0
_TO = os.environ.get("SLIPWRIGHT_CAMPAIGN_TO", "")


class Parts:
    """The parts of one suite: those not done yet, and what became of each."""

    def __init__(self, name: str, say: Callable[[str], None] = print) -> None:
        self._name, self._say, self._said_at = name, say, time.monotonic()
        self._n = 0
        self._file = Path(_TO) / f"{name}.jsonl" if _TO else None
        self._done: set[int] = set()
        if self._file is not None and self._file.exists():
            lines = self._file.read_text(encoding="utf-8").splitlines()
            self._done = {json.loads(line)["part"] for line in lines if line.endswith("}")}

    def of(self, few: int, all_of_them: int) -> Iterator[int]:
        """Yield the number of each part that is to be done."""
        self._n = all_of_them if IS_FULL else few
        for part in range(self._n):
            if part not in self._done:
                yield part

    def done(self, part: int, **told: Any) -> None:
        """Write down that a part held, and now and then say how far it is."""
        self._done.add(part)
        if IS_FULL and time.monotonic() - self._said_at >= SAY_EVERY_S:
            self._said_at = time.monotonic()
            self._say(f"{time.strftime('%H:%M:%S')} {self._name}: {len(self._done)} of {self._n}")
        if self._file is None:
            return
        self._file.parent.mkdir(parents=True, exist_ok=True)
        with self._file.open("a", encoding="utf-8") as results:
            results.write(json.dumps({"part": part, **told}) + "\n")
            results.flush()
            os.fsync(results.fileno())


@pytest.fixture
def parts(request: pytest.FixtureRequest) -> Callable[[str], Parts]:
    """Give the parts of a suite by its name, apart for each kind of database."""
    kind = request.node.callspec.params.get("database", "") if hasattr(request.node, "callspec") else ""
    capture = request.config.pluginmanager.getplugin("capturemanager")

    def say(words: str) -> None:
        with capture.global_and_fixture_disabled():
            print(f"\n{words}", flush=True)  # noqa: T201  (for whoever waits)

    return lambda name: Parts(f"{name}-{kind}" if kind else name, say)


@pytest.fixture(autouse=True)
def _own_places(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    data: Path = tmp_path_factory.mktemp("data")
    monkeypatch.setenv("XDG_DATA_HOME", str(data))
    monkeypatch.setattr(settings, "PHOTOS", str(data / "photos"))
    monkeypatch.setattr(settings, "BACKUPS", "")
