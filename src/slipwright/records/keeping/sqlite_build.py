"""Which SQLite is linked, and whether several connections may safely write with it.

SQLite 3.7.0 to 3.51.2 can, rarely, corrupt a database in WAL mode when two connections write or
checkpoint at the same moment (fixed in 3.51.3 and 3.53.0; back-ported to 3.44.6 and 3.50.7:
SQLite release history, entry 3.53.0 of 2026-04-09).
"""

from __future__ import annotations

from typing import Any

from django.db.backends.sqlite3 import base

#: The module Django opens SQLite with: the interpreter's own or the mended build.
sqlite: Any = vars(base)["Database"]


def linked_version() -> tuple[int, int, int]:
    """Return the version of the SQLite library that is linked."""
    major, minor, patch = sqlite.sqlite_version_info
    return major, minor, patch


def has_wal_fault(version: tuple[int, int, int]) -> bool:
    """Return whether a SQLite of ``version`` has the WAL-reset fault.

    >>> has_wal_fault((3, 40, 1)), has_wal_fault((3, 44, 6)), has_wal_fault((3, 53, 4))
    (True, False, False)
    """
    if version < (3, 7, 0) or version >= (3, 51, 3):
        return False
    return not (version[:2] in {(3, 44), (3, 50)} and version >= {44: (3, 44, 6), 50: (3, 50, 7)}[version[1]])
