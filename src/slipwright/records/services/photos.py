"""Photos: the picture goes to the disk first, and then its entry is added."""

from __future__ import annotations

import errno
import hashlib
from datetime import datetime

from django.db import OperationalError, transaction
from django.utils.translation import gettext as _

from slipwright.records import roles
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.imaging import MOST_BYTES, made_anew, too_heavy
from slipwright.records.keeping import pictures
from slipwright.records.models import Garden, Member, Photo
from slipwright.records.numbering import hold
from slipwright.records.rows import Row
from slipwright.records.rules import picture_name
from slipwright.records.services.entry import add, id_beside, new_id
from slipwright.records.services.withdrawals import is_withdrawn


class DiskFull(Refused):
    """There is no room for a picture."""


@transaction.atomic
def record_photo(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    about: str,
    at: datetime,
    file_sha256: str,
    sent_sha256: str = "",
    entry_id: str = "",
) -> Photo:
    """Record a picture of any row or entry, named by its key or id; the picture is not looked for."""
    row: Row = {
        "about": about,
        "at": at,
        "file": picture_name(file_sha256),
        "file_sha256": file_sha256,
        "by": by.member,
        "id": entry_id or new_id(),
    }
    server = {"sent_sha256": sent_sha256}
    record: Photo = add(hold(garden), by=by, now=now, kind="photo", row=row, server=server).record
    return record


def receive_photo(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    about: str,
    at: datetime,
    sent: bytes,
    sent_sha256: str = "",
    entry_id: str = "",
) -> Photo:
    """Make a picture anew, put it on the disk and record it: all of it, or nothing.

    ``sent_sha256`` is what the sender says of the bytes ``sent``; they are refused where it is not theirs.
    The same picture sent again under the same id is received once. Where its file is missing since, it is
    put back, or recorded under an id beside that one if it is not made into the same bytes any more. Raises
    ``DiskFull`` where there is no room.
    """
    roles.require(by, roles.RECORD, garden)
    if len(sent) > MOST_BYTES:
        raise too_heavy()
    found = hashlib.sha256(sent).hexdigest()
    if sent_sha256 not in ("", found):
        raise BadValue("sha256", _("is not that of the picture: it did not arrive whole"), sent_sha256)
    kept = _sent_before(garden, by, entry_id, about, at, found)
    if kept is not None and pictures.fault_of(pictures.folder_of(garden.garden) / kept.file) is None:
        return kept
    jpeg = made_anew(sent)
    file_sha256 = hashlib.sha256(jpeg).hexdigest()
    try:
        with pictures.written_beside(pictures.folder_of(garden.garden), jpeg) as unfinished:
            if kept is not None and kept.file_sha256 == file_sha256:
                pictures.put(unfinished, file_sha256)
                return kept
            if kept is not None:
                if is_withdrawn(garden, kept):
                    raise Clash(Photo.kind, entry_id)
                entry_id = id_beside(entry_id, f"picture-{file_sha256}")
            with transaction.atomic():
                photo = record_photo(
                    garden=garden,
                    by=by,
                    now=now,
                    about=about,
                    at=at,
                    file_sha256=file_sha256,
                    sent_sha256=found,
                    entry_id=entry_id,
                )
                pictures.put(unfinished, file_sha256)
            return photo
    except (OSError, OperationalError) as error:
        if not _is_full(error):
            raise
        reason = _("The disk is full, so the picture was not kept. Nothing else is lost.")
        door = _("Ask whoever runs this garden to make room, and send it again.")
        raise DiskFull(reason, [door]) from error


def _is_full(error: Exception) -> bool:
    if isinstance(error, OSError):
        return error.errno in (errno.ENOSPC, errno.EDQUOT)
    return "disk is full" in str(error) or "No space left" in str(error)


def _sent_before(
    garden: Garden, by: Member, entry_id: str, about: str, at: datetime, sent_sha256: str
) -> Photo | None:
    """Return the photo that is kept under this id; raise ``Clash`` where it is another one.

    What is compared is the picture as it was sent: made anew it need not have the same bytes twice.
    """
    kept = Photo.rows.of(garden).filter(entry_id=entry_id).first() if entry_id else None
    if kept is None:
        return None
    if (kept.about, kept.at, kept.by_id, kept.sent_sha256) != (about, at, by.pk, sent_sha256):
        raise Clash(Photo.kind, entry_id)
    return kept
