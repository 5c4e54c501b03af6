"""Settings, from the environment.

``SLIPWRIGHT_DATABASE_URL``   ``postgres://…`` or ``sqlite:///FILE``; else a file in the user's data folder.
``SLIPWRIGHT_LABEL_BASE``     address put before a batch's code in the QR of a label.
``SLIPWRIGHT_SECRET_KEY``     signs sessions; ``serve`` keeps one in a file of its own if none is given.
``SLIPWRIGHT_HOSTS``          names the pages answer to, with commas between; else this machine only.
``SLIPWRIGHT_HTTPS``          1 where the pages are reached over https only: http is sent on to it.
``SLIPWRIGHT_PROXIES``        servers of yours in front, which speak https and set X-Forwarded-Proto and
                              X-Forwarded-For; without it neither is read.
``SLIPWRIGHT_AUTHORITY``      certificate of the garden's own authority, for the page that hands it out.
``SLIPWRIGHT_PAGES_AT``       address that page then sends a phone to.
``SLIPWRIGHT_ONLY_TRUST``     1 where nothing but that page is served.
``SLIPWRIGHT_WEB``            1 where the helper moves SQLite's log of writes; ``serve`` says so itself.
``SLIPWRIGHT_PHOTOS``         folder of the pictures of gardens in PostgreSQL; else they lie beside the file.
``SLIPWRIGHT_BACKUPS``        folder of the copies the helper makes; else ``backups`` beside the garden.
``SLIPWRIGHT_WEATHER``        ``open-meteo``, or the address of a server that answers as it does: the helper
                              fetches the days' weather and forecast there. Off if not given.
``SLIPWRIGHT_STATIC``         folder ``serve`` gathers style sheets, scripts and fonts in.
"""

from __future__ import annotations

import os
import zlib
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
if os.environ.get("SLIPWRIGHT_WEB") == "1":
    # nobody who presses a button waits for the log of writes to be moved: the helper does it
    SQLITE_OPTIONS["init_command"] += "PRAGMA wal_autocheckpoint=0;"


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


def _listed(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


USUAL_GARDEN = str(default_garden_file())
DATABASES = {"default": database(os.environ.get("SLIPWRIGHT_DATABASE_URL", ""))}
PHOTOS = os.environ.get("SLIPWRIGHT_PHOTOS") or str(
    Path(platformdirs.user_data_path("slipwright")) / "photos"
)
BACKUPS = os.environ.get("SLIPWRIGHT_BACKUPS", "")
WEATHER = os.environ.get("SLIPWRIGHT_WEATHER", "")
WEATHER_CACHE = str(Path(platformdirs.user_cache_path("slipwright")) / "weather")
LABEL_BASE = os.environ.get("SLIPWRIGHT_LABEL_BASE", "")
AUTH_USER_MODEL = "records.User"
AUTHENTICATION_BACKENDS = ["slipwright.records.signing_in.MemberBackend"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "slipwright.records",
    "slipwright.web",
]

# --- the pages ----------------------------------------------------------------------------------------

SECRET_KEY = os.environ.get("SLIPWRIGHT_SECRET_KEY", "")
ALLOWED_HOSTS = _listed(os.environ.get("SLIPWRIGHT_HOSTS", "")) or ["127.0.0.1", "localhost", "[::1]"]
ROOT_URLCONF = "slipwright.config.urls"
WSGI_APPLICATION = "slipwright.config.wsgi.application"
MIDDLEWARE = [
    "csp.middleware.CSPMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "slipwright.web.refusals.not_too_large",
    "slipwright.web.refusals.no_nul",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "slipwright.web.tongue.in_their_tongue",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "slipwright.web.membership.in_a_garden",
    "slipwright.web.refusals.told_plainly",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {"context_processors": ["slipwright.web.context.of_page"]},
    }
]
FORM_RENDERER = "django.forms.renderers.DjangoTemplates"
STATIC_URL = "/static/"
STATIC_ROOT = os.environ.get("SLIPWRIGHT_STATIC") or str(
    Path(platformdirs.user_cache_path("slipwright")) / "static"
)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "slipwright.web.static_files.HashedFiles"},
}
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "img-src": ["'self'", "blob:"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}
#: cookies do not tell ports apart: gardens served beside each other on one machine keep their own
_MARK = f"{zlib.crc32(str(DATABASES['default']['NAME']).encode()):08x}"
_HTTPS = os.environ.get("SLIPWRIGHT_HTTPS") == "1"
_HOST = "__Host-" if _HTTPS else ""
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = f"{_HOST}session-{_MARK}", f"{_HOST}csrf-{_MARK}"
SECURE_SSL_REDIRECT = _HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if _HTTPS else 0
# a garden's machine speaks for its own name only: other names below it are not its to bind, and no
# browser's list takes a name of a private network
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
PROXIES = int(os.environ.get("SLIPWRIGHT_PROXIES") or 0)
if PROXIES:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = _HTTPS
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "slipwright.web.refusals.no_token"
SESSION_COOKIE_AGE = 180 * 24 * 3600
SESSION_SERIALIZER = "django.contrib.sessions.serializers.JSONSerializer"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
LOGIN_URL = "sign-in"
PASSWORD_HASHERS = ["slipwright.records.hashing.QuietHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 8},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
# what broke while a page was made is told where the pages are served from, with DEBUG off too
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"stderr": {"class": "logging.StreamHandler"}},
    "loggers": {"django.request": {"handlers": ["stderr"], "level": "ERROR", "propagate": False}},
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = True
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LANGUAGE_COOKIE_NAME = "tongue"
LOCALE_PATHS = [str(Path(__file__).parents[1] / "web" / "locale")]

# --- the page that hands out the garden's own authority -----------------------------------------------

AUTHORITY_FILE = os.environ.get("SLIPWRIGHT_AUTHORITY", "")
PAGES_AT = os.environ.get("SLIPWRIGHT_PAGES_AT", "")
if os.environ.get("SLIPWRIGHT_ONLY_TRUST") == "1":
    ROOT_URLCONF = "slipwright.config.only_trust"
    MIDDLEWARE = [
        "csp.middleware.CSPMiddleware",
        "django.middleware.security.SecurityMiddleware",
        "whitenoise.middleware.WhiteNoiseMiddleware",
        "slipwright.web.tongue.in_their_tongue",
        "django.middleware.common.CommonMiddleware",
        "django.middleware.clickjacking.XFrameOptionsMiddleware",
    ]
