"""The pictures of a garden on the disk: a folder a garden, each file called by what it holds.

A picture is ``<SHA-256 of its bytes>.jpg`` in ``photos/<UUID of the garden>``, so a name never says
anything that somebody typed, the same picture lies there once, and damage shows. Small pictures, in the
folder ``small`` within, are made anew where they are missing and are no part of a copy.
"""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from django.conf import settings

from slipwright.records.imaging import made_small
from slipwright.records.keeping.disk import settle_on_disk
from slipwright.records.keeping.opening import garden_file, vendor
from slipwright.records.models import Photo
from slipwright.records.rules import is_picture_name, picture_name

FOLDER = "photos"
_SMALL = "small"
UNFINISHED = ".unfinished-"

Fault = Literal["missing", "damaged"]


@dataclass(frozen=True, slots=True)
class BadPicture:
    """A picture that an entry names and that is not there, or not what it was."""

    entry_id: str
    file: str
    fault: Fault


@dataclass(frozen=True, slots=True)
class Copied:
    """How many pictures were copied, how many were there before, and which are damaged at their source."""

    n_copied: int = 0
    n_there: int = 0
    bad: tuple[str, ...] = ()


def pictures_at(file: Path | None = None) -> Path:
    """Return the folder of all pictures: beside a garden's SQLite ``file``, by default this garden's own.

    For a garden in PostgreSQL it is the one the settings name.
    """
    if file is not None:
        return file.parent / FOLDER
    if vendor() == "sqlite":
        return garden_file().parent / FOLDER
    return Path(settings.PHOTOS)


def folder_of(garden: uuid.UUID | str, at: Path | None = None) -> Path:
    """Return the folder of the pictures of one garden."""
    return (at or pictures_at()) / str(uuid.UUID(str(garden)))


def sha256_of(file: Path) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal."""
    with file.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()


@contextmanager
def written_beside(folder: Path, jpeg: bytes) -> Iterator[Path]:
    """Write a picture into ``folder`` under a passing name, whole and on the disk; give it to ``put``.

    It is gone at the end unless it was put in its place.
    """
    unfinished = folder / f"{UNFINISHED}{uuid.uuid4().hex}"
    try:
        write(unfinished, jpeg)
        yield unfinished
    finally:
        unfinished.unlink(missing_ok=True)


def write(file: Path, data: bytes) -> None:
    """Write a file that is not there yet, whole and on the disk."""
    _make(file.parent)
    with file.open("xb") as new:
        new.write(data)
        new.flush()
        os.fsync(new.fileno())


def put(unfinished: Path, file_sha256: str) -> None:
    """Give a picture that is whole its name."""
    unfinished.replace(unfinished.with_name(picture_name(file_sha256)))
    settle_on_disk(unfinished.parent)


def small_picture(folder: Path, name: str) -> bytes:
    """Return the small picture of the one called ``name``, made and kept where there is none yet."""
    file = folder / _SMALL / name
    try:
        return file.read_bytes()
    except FileNotFoundError:
        small = made_small((folder / name).read_bytes())
    try:
        with written_beside(folder / _SMALL, small) as unfinished:
            unfinished.replace(file)
    except OSError:
        pass  # it is shown all the same, and made again the next time
    return small


def bad_pictures(*, using: str = "default", at: Path | None = None) -> Iterator[BadPicture]:
    """Yield every picture that an entry names and that is missing or damaged, each read to its end.

    ``at`` is the folder of all pictures, by default that of the garden itself. A photo that was taken
    back is looked at too: its bytes stay.
    """
    rows = Photo.rows.using(using).order_by("garden_id", "number")
    seen: dict[tuple[uuid.UUID, str], Fault | None] = {}
    for garden, file, entry_id in rows.values_list("garden__garden", "file", "entry_id").iterator():
        if (garden, file) not in seen:
            seen[garden, file] = fault_of(folder_of(garden, at) / file)
        if (fault := seen[garden, file]) is not None:
            yield BadPicture(entry_id, file, fault)


def fault_of(picture: Path) -> Fault | None:
    """Return what is wrong with a picture on the disk."""
    try:
        return None if picture_name(sha256_of(picture)) == picture.name else "damaged"
    except OSError:
        return "missing"


def copy_pictures(source: Path, target: Path) -> Copied:
    """Copy all pictures from one folder of all pictures to another, those that are whole.

    Each is read to its end. What is there by name is left alone unless it is damaged. On one disk a picture
    is not copied but gets a second name (a hard link): it is never changed under its name. Nothing is ever
    removed.
    """
    n_copied = n_there = 0
    bad: list[str] = []
    for picture in sorted(source.glob("*/*.jpg")):
        if not is_picture_name(picture.name):
            continue
        place = target / picture.parent.name / picture.name
        is_whole = fault_of(picture) is None
        if not is_whole:
            bad.append(f"{picture.parent.name}/{picture.name}")
        is_same = place.exists() and os.path.samefile(place, picture)
        if is_whole if is_same else fault_of(place) is None:
            n_there += 1
        elif is_whole:
            _copy(picture, place)
            n_copied += 1
    for folder in {place for place in target.glob("*") if place.is_dir()}:
        settle_on_disk(folder)
    return Copied(n_copied, n_there, tuple(bad))


def _copy(picture: Path, place: Path) -> None:
    _make(place.parent)
    unfinished = place.with_name(f"{UNFINISHED}{uuid.uuid4().hex}")
    try:
        try:
            os.link(picture, unfinished)
        except OSError as error:
            if error.errno == errno.ENOSPC:
                raise
            shutil.copyfile(picture, unfinished)
            settle_on_disk(unfinished)
        unfinished.replace(place)
    finally:
        unfinished.unlink(missing_ok=True)


def _make(folder: Path) -> None:
    if not folder.is_dir():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        settle_on_disk(folder.parent)
