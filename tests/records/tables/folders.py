"""Tables for tests, written into a folder or a zip."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from slipwright.records.columns import TABLES
from slipwright.records.models import Garden
from slipwright.records.rows import MODELS
from slipwright.records.tables.dumping import members
from slipwright.records.tables.loading import load
from slipwright.records.tables.report import LoadReport

#: Later than any day of these tests: what is not yet cannot have been seen.
NOW = datetime(2036, 1, 2, 12, 0, 0, 250_000, tzinfo=UTC)
UUID = "7d2b61f4-6f0e-4c1b-8e57-2a9c41d7f0b3"

#: A garden of few words, which tests add to.
SMALL = {
    "garden": (
        "garden,name,latitude_deg,longitude_deg,time_zone\n"
        f"{UUID},Saltmarsh Lane,41.1,-72.4,America/New_York\n"
    ),
    "members": "member,role\nwren,owner\nike,volunteer\n",
    "places": "place,kind\nBench 1,bench\nCold frame,frame\n",
    "plants": "plant,taxon\nGate rose,Rosa 'Lantern Keeper'\n",
    "batches": (
        "batch,taxon,stuck_on,n_stuck,wood,id\n"
        "ROSE1,Rosa 'Lantern Keeper',2026-10-20,16,semi-hardwood,stick-1\n"
        "ROSE2,Rosa 'Lantern Keeper',2026-10-21,12,semi-hardwood,stick-2\n"
    ),
}


def written(folder: Path, tables: Mapping[str, str | bytes]) -> Path:
    """Write tables as files of ``folder``, in place of all that was there."""
    folder.mkdir(parents=True, exist_ok=True)
    for file in folder.iterdir():
        file.unlink()
    for name, content in tables.items():
        data = content if isinstance(content, bytes) else content.encode("utf-8")
        (folder / f"{name}.csv").write_bytes(data)
    return folder


def zipped(file: Path, files: Mapping[str, str | bytes]) -> Path:
    """Write a zip of files."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return file


def loaded(folder: Path, tables: Mapping[str, str | bytes], **options: Any) -> LoadReport:
    """Load tables; they must be good."""
    report = load(written(folder, tables), now=NOW, **options)
    assert report.rejected == []
    assert report.n_rejected == 0
    return report


def the_garden() -> Garden:
    """Return the one garden there is."""
    return Garden.objects.get()


def dumped(garden: Garden) -> dict[str, bytes]:
    """Return every table of a garden as ``dump`` writes it."""
    return {name: b"".join(pieces) for name, pieces in members(garden, {})}


def n_rows() -> dict[str, int]:
    """Return how many rows each table has, over all gardens."""
    return {table.name: MODELS[table.name]._default_manager.count() for table in TABLES}
