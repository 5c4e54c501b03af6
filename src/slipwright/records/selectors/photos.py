"""Photos of rows and entries, and where their pictures lie."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from slipwright.records.errors import NotFound
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Photo
from slipwright.records.states import local_day


@dataclass(frozen=True, slots=True)
class PhotoShown:
    """A photo as a page shows it."""

    entry_id: str
    on: date
    by: str
    by_id: int | None


def photos_about(garden: Garden, about: Iterable[str]) -> list[PhotoShown]:
    """Return the photos of what is called so, newest first, those taken back left out. One query."""
    rows = Photo.rows.of(garden).standing().filter(about__in=set(about)).select_related("by")
    return [
        PhotoShown(
            photo.entry_id,
            local_day(photo.at, photo.at_offset_min),
            str(photo.by) if photo.by else "",
            photo.by_id,
        )
        for photo in rows.order_by("-at", "-number")
    ]


def photo_called(garden: Garden, entry_id: str) -> Photo:
    """Return a photo of this garden that stands; raise ``NotFound`` where there is none."""
    photo = Photo.rows.of(garden).standing().filter(entry_id=entry_id).select_related("by").first()
    if photo is None:
        raise NotFound("there is no such photo")
    return photo


def picture_of(photo: Photo, *, small: bool = False) -> bytes:
    """Return the picture of a photo; raise ``NotFound`` where it is not on the disk."""
    folder = pictures.folder_of(photo.garden.garden)
    try:
        return pictures.small_picture(folder, photo.file) if small else (folder / photo.file).read_bytes()
    except OSError as error:
        raise NotFound("the picture itself is missing") from error
