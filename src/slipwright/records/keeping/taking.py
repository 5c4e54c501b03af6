"""The newest copy and its pictures, to be taken to another disk as one file."""

from __future__ import annotations

import io
import uuid
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from slipwright.records.keeping import pictures, standing

#: more than so many bytes of pictures are not sent over the web
MOST_PICTURE_BYTES = 2_000_000_000
_CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class Parcel:
    """A copy and the pictures that go with it; ``lacks_pictures`` where these are too large to go."""

    copy: Path
    pictures: tuple[Path, ...]
    bytes: int
    lacks_pictures: bool

    @property
    def name(self) -> str:
        """What it is called where it is put: a zip, or the copy alone."""
        return f"{self.copy.stem}.zip" if self.pictures else self.copy.name


def parcel(copy: Path, garden: uuid.UUID) -> Parcel:
    """Return what is taken away of a garden: the copy, and the pictures of that garden beside it."""
    beside = pictures.folder_of(garden, pictures.pictures_at(copy))
    found = tuple(sorted(beside.glob("*.jpg")))
    n_bytes, alone = sum(one.stat().st_size for one in found), copy.stat().st_size
    if n_bytes > MOST_PICTURE_BYTES:
        return Parcel(copy, (), alone, lacks_pictures=True)
    return Parcel(copy, found, alone + n_bytes, lacks_pictures=False)


def sent(what: Parcel) -> Iterator[bytes]:
    """Yield the bytes of a parcel; once the last is gone it counts as taken, unless it lacks pictures."""
    yield from _zipped(what) if what.pictures else _read(what.copy)
    if not what.lacks_pictures:
        standing.copy_taken()


def _read(file: Path) -> Iterator[bytes]:
    with file.open("rb") as content:
        while chunk := content.read(_CHUNK):
            yield chunk


def _zipped(what: Parcel) -> Iterator[bytes]:
    """Pack as a copy lies on the disk: unpacked, it is put back with the pictures beside it."""
    out = _Passing()
    with zipfile.ZipFile(out, "w") as archive:
        for file in (what.copy, *what.pictures):
            folder = "" if file == what.copy else f"{pictures.FOLDER}/{file.parent.name}/"
            with archive.open(f"{folder}{file.name}", "w", force_zip64=True) as entry:
                for chunk in _read(file):
                    entry.write(chunk)
                    yield out.passed()
    yield out.passed()


class _Passing(io.RawIOBase):
    """Holds what was written until it is passed on."""

    def __init__(self) -> None:
        self._held = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, data: bytes) -> int:  # type: ignore[override]
        self._held += data
        return len(data)

    def passed(self) -> bytes:
        """Return what was written since the last time."""
        held = bytes(self._held)
        self._held.clear()
        return held
