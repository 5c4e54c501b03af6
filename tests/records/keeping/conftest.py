"""Places of their own for what PostgreSQL keeps in the user's data folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings

from slipwright.records.keeping import standing


@pytest.fixture(autouse=True)
def _own_places(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    data: Path = tmp_path_factory.mktemp("data")
    monkeypatch.setenv("XDG_DATA_HOME", str(data))
    monkeypatch.setattr(settings, "PHOTOS", str(data / "photos"))
    monkeypatch.setattr(settings, "BACKUPS", "")
    standing.forget()
