"""A quick look whether a garden's file is sound, before its pages are served. It mends nothing."""

from __future__ import annotations

from datetime import datetime

from django.db import DatabaseError, connections

from slipwright.records.errors import Refused
from slipwright.records.keeping import diary, schema
from slipwright.records.keeping.opening import garden_file, told_garden, vendor
from slipwright.records.keeping.selfcheck import missing_triggers

#: so many faults are told; selfcheck tells all
_SHOWN = 5


class Damaged(Refused):
    """The garden's file is damaged; ``doors`` say what to do, step by step."""


def require_sound(*, now: datetime) -> None:
    """Raise ``Damaged`` where the file itself, or what guards the entries in it, is seen to be damaged.

    The entries are not read: that is for ``selfcheck``.
    """
    try:
        faults = _faults()
    except DatabaseError as error:
        if "locked" in str(error) or "lock timeout" in str(error):
            raise
        faults = [str(error)]
    if not faults:
        return
    newest = diary.read().newest(now)
    copy = newest.file if newest else "FILE"
    made = f" (made {newest.at:%Y-%m-%d})" if newest else ""
    where = garden_file() if vendor() == "sqlite" else connections["default"].settings_dict["NAME"]
    told = "; ".join(faults[:_SHOWN])
    raise Damaged(
        f"{where} is damaged, so it is not served, and nothing was mended: {told}",
        [
            "1. Leave the file as it is. Copy it, with what lies beside it, to another disk.",
            f"2. slipwright selfcheck{told_garden()} names what is damaged.",
            f"3. slipwright restore {copy}{told_garden()}{made} puts the newest copy back and keeps the "
            "damaged file.",
            f"4. slipwright dump{told_garden()} still writes out what can be read of the damaged one.",
        ],
    )


def _faults() -> list[str]:
    if schema.state() == "absent":
        return []
    faults = []
    if vendor() == "sqlite":
        with connections["default"].cursor() as cursor:
            cursor.execute(f"PRAGMA quick_check({_SHOWN})")
            faults = [line for (line,) in cursor.fetchall() if line != "ok"]
    if schema.state() == "current":
        faults += [
            f"the trigger {name} that keeps entries from change is gone" for _, name in missing_triggers()
        ]
    return faults
