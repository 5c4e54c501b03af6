"""A SQLite build that is safe to write from several connections at once.

Older builds have a fault in WAL mode (``records.keeping.sqlite_build`` tells which). ``pysqlite3``
brings a mended build; where it has none, the interpreter's own is used and ``selfcheck`` says so.
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
