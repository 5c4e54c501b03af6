"""What every test may use.

Django is set up once, pointed at no garden at all until a test asks for one.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable

import pytest

os.environ["SLIPWRIGHT_DATABASE_URL"] = "sqlite:////nonexistent/no-test-asked-for-a-garden.sqlite3"
os.environ["SLIPWRIGHT_SECRET_KEY"] = "only for tests: signs nothing that leaves them"
os.environ["SLIPWRIGHT_STATIC"] = tempfile.mkdtemp(prefix="slipwright-static-")
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")

import django

django.setup()

#: program: the Debian package that has it
PACKAGES = {
    "pdftoppm": "poppler-utils",
    "msgattrib": "gettext",
    "msgfmt": "gettext",
    "xgettext": "gettext",
    "pdftotext": "poppler-utils",
    "pdffonts": "poppler-utils",
    "pdfinfo": "poppler-utils",
    "pg_dump": "postgresql-client",
    "certutil": "libnss3-tools",
    "glpsol": "glpk-utils",
    "ip": "iproute2",
    "unshare": "util-linux",
}


@pytest.fixture(scope="session")
def gathered_files() -> None:
    """Gather style sheets and scripts once, as ``serve`` does."""
    from django.core.management import call_command

    call_command("collectstatic", verbosity=0, interactive=False)


@pytest.fixture(scope="session")
def need_program() -> Callable[[str], str]:
    """Return a program's path; without it the test fails, naming the Debian package."""

    def find(name: str) -> str:
        path = shutil.which(name)
        if path is None:
            words = (
                f"{name} is missing: on Debian, apt install {PACKAGES.get(name, name)} (ALLOW_SKIP=1 skips)"
            )
            if os.environ.get("ALLOW_SKIP") == "1":
                pytest.skip(words)
            pytest.fail(words)
        return path

    return find
