"""The pictures of a load: each held against its name, and put in place before its row is."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from uuid import uuid4

from slipwright.records.imaging import MOST_BYTES, is_kept_kind
from slipwright.records.keeping import pictures
from slipwright.records.keeping.disk import settle_on_disk
from slipwright.records.models import Garden, Photo
from slipwright.records.rules import picture_name
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch
from slipwright.records.tables.source import PICTURES, Source

PHOTOS = "photos.csv"


@dataclass
class Pictures:
    """Pictures on the garden's disk that have not their names yet."""

    folder: Path
    waiting: list[tuple[Path, str]] = field(default_factory=list)

    def place(self) -> None:
        """Give every picture its name."""
        for unfinished, name in self.waiting:
            unfinished.replace(self.folder / name)
        if self.waiting:
            settle_on_disk(self.folder)

    def clear(self) -> None:
        """Remove what was not placed. What was stays: somebody else may have sent the same meanwhile."""
        for unfinished, _ in self.waiting:
            unfinished.unlink(missing_ok=True)
        self.waiting = []


@contextmanager
def taken(garden: str) -> Iterator[Pictures]:
    """Give the pictures of a load room beside the others until they have their names."""
    found = Pictures(pictures.folder_of(garden))
    try:
        yield found
    finally:
        with suppress(OSError):
            found.clear()


def take(source: Source, record: Garden | None, scratch: Scratch, report: LoadReport, into: Pictures) -> None:
    """Take in the pictures of a source that rows name; warn of those missing, damaged or nobody's."""
    named = _named(scratch)
    before = set(Photo.rows.of(record).values_list("file", flat=True)) if record else set()
    for name in source.pictures:
        file = f"{PICTURES}/{name}"
        if name not in named and name not in before:
            report.warn(remark(file, 0, "", "", "no row of photos.csv names it, so it was left out"))
        elif pictures.fault_of(into.folder / name) is not None and (why := _take(source, name, into)):
            report.warn(remark(file, 0, "", "", f"{why}, so it was left out"))
    waiting = {name for _, name in into.waiting}
    for name, line in named.items():
        if name not in waiting and pictures.fault_of(into.folder / name) is not None:
            rule = "its picture is not there, or damaged; the row is loaded without"
            report.warn(remark(PHOTOS, line, "file", name, rule))


def _named(scratch: Scratch) -> dict[str, int]:
    """Return the pictures the load's rows name, each with its first line."""
    named: dict[str, int] = {}
    if scratch.has("photos"):
        for name, line in scratch.rows("SELECT file, line FROM photos ORDER BY n"):
            named.setdefault(name, line)
    return named


def _take(source: Source, name: str, into: Pictures) -> str:
    """Put a picture beside the others; return what is wrong with it where it is not taken."""
    with source.open_picture(name) as stream:
        data = stream.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        return f"is larger than {MOST_BYTES // 1_000_000} MB"
    if picture_name(hashlib.sha256(data).hexdigest()) != name:
        return "is damaged: its name is not the SHA-256 of its bytes"
    if not is_kept_kind(data):
        return "is no JPEG of a size that is kept"
    unfinished = into.folder / f"{pictures.UNFINISHED}{uuid4().hex}"
    into.waiting.append((unfinished, name))
    pictures.write(unfinished, data)
    return ""
