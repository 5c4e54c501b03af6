"""Django is set up once, pointed at no garden at all until a test asks for one."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

os.environ["SLIPWRIGHT_DATABASE_URL"] = "sqlite:////nonexistent/no-test-asked-for-a-garden.sqlite3"
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")

import django  # noqa: E402

django.setup()


@pytest.fixture(scope="session", autouse=True)
def _queries_may_run(request: pytest.FixtureRequest) -> Iterator[None]:
    """Take no heed of pytest-django's ban on queries, where that plug-in is installed."""
    if not request.config.pluginmanager.hasplugin("django"):
        yield
        return
    with request.getfixturevalue("django_db_blocker").unblock():
        yield
