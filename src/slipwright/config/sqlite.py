"""A SQLite build that is safe to write from several connections at once.

SQLite 3.7.0 to 3.51.2 can, rarely, corrupt a database in WAL mode when two connections write or
checkpoint at the same moment (fixed in 3.51.3 and 3.53.0; back-ported to 3.44.6 and 3.50.7:
SQLite release history, entry 3.53.0 of 2026-04-09). ``pysqlite3`` brings a mended build; where it
has none, the interpreter's own is used and ``selfcheck`` says so.
"""

from __future__ import annotations

import importlib
import sys


def use_mended_build() -> None:
    """Put ``pysqlite3`` in the place of ``sqlite3`` if it is installed."""
    try:
        mended = importlib.import_module("pysqlite3")
        dbapi2 = importlib.import_module("pysqlite3.dbapi2")
    except ImportError:
        return
    sys.modules["sqlite3"] = mended
    sys.modules["sqlite3.dbapi2"] = dbapi2


def has_wal_fault(version: tuple[int, int, int]) -> bool:
    """Return whether a SQLite of ``version`` has the WAL-reset fault.

    >>> has_wal_fault((3, 40, 1)), has_wal_fault((3, 44, 6)), has_wal_fault((3, 53, 4))
    (True, False, False)
    """
    if version < (3, 7, 0) or version >= (3, 51, 3):
        return False
    return not (version[:2] in {(3, 44), (3, 50)} and version >= {44: (3, 44, 6), 50: (3, 50, 7)}[version[1]])
