"""Settings, from the environment.

``SLIPWRIGHT_DATABASE_URL``  ``postgres://…`` or ``sqlite:///FILE``; else a file in the user's data folder.
``SLIPWRIGHT_SECRET_KEY``    signs sessions; needed by the pages only.
``SLIPWRIGHT_LABEL_BASE``    address put before a batch's code in the QR of a label.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from slipwright.config.sqlite import use_mended_build

use_mended_build()

import dj_database_url  # noqa: E402  (the swap above comes before anything opens a database)
import platformdirs  # noqa: E402

SQLITE_OPTIONS: dict[str, Any] = {
    "timeout": 20,
    "transaction_mode": "IMMEDIATE",
    "init_command": (
        "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA foreign_keys=ON;"
        "PRAGMA recursive_triggers=ON;PRAGMA cache_size=-20000;PRAGMA journal_size_limit=27103364;"
        "PRAGMA temp_store=MEMORY;"
    ),
}


def default_garden_file() -> Path:
    """Return where a garden is kept when nothing else is said."""
    return Path(platformdirs.user_data_path("slipwright")) / "garden.sqlite3"


def database(url: str) -> dict[str, Any]:
    """Return Django's settings for the database at ``url``."""
    if not url:
        url = f"sqlite:///{default_garden_file()}"
    found: dict[str, Any] = dict(dj_database_url.parse(url))
    if found["ENGINE"] == "django.db.backends.sqlite3":
        found["OPTIONS"] = SQLITE_OPTIONS
        found["CONN_MAX_AGE"] = None
    elif found["ENGINE"] == "django.db.backends.postgresql":
        found["CONN_MAX_AGE"] = 60
        # as long as SQLite waits: whoever records is told that the garden is held, and not left hanging
        found.setdefault("OPTIONS", {}).setdefault("options", "-c lock_timeout=20s")
    else:
        raise ValueError(f"SLIPWRIGHT_DATABASE_URL: only sqlite and postgres will do, not {found['ENGINE']}")
    found["ATOMIC_REQUESTS"] = False
    return found


DATABASES = {"default": database(os.environ.get("SLIPWRIGHT_DATABASE_URL", ""))}
SECRET_KEY = os.environ.get("SLIPWRIGHT_SECRET_KEY", "")
LABEL_BASE = os.environ.get("SLIPWRIGHT_LABEL_BASE", "")
INSTALLED_APPS = ["django.contrib.contenttypes", "django.contrib.auth", "slipwright.records"]
AUTH_USER_MODEL = "records.User"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
USE_TZ = True
TIME_ZONE = "UTC"
