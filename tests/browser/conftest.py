"""A real server, a real browser: the demonstration garden, or a machine with nothing on it yet."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Playwright, sync_playwright

from tests.browser.served import PATIENCE_S, TOOL, Served, environment, serving


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the file of a demonstration garden, made once."""
    file = tmp_path_factory.mktemp("demo") / "garden.sqlite3"
    env = environment(file.parent) | {"SLIPWRIGHT_DATABASE_URL": ""}
    done = subprocess.run(
        [*TOOL, "demo", "--garden", str(file)],
        env=env,
        capture_output=True,
        text=True,
        timeout=4 * PATIENCE_S,
    )
    assert done.returncode == 0, done.stderr
    return file


@pytest.fixture(scope="session")
def demo(demo_file: Path) -> Iterator[Served]:
    """Give the demonstration garden, served. Tests that write to it take a garden of their own."""
    with serving(demo_file.parent) as served:
        yield served


@pytest.fixture
def own_demo(demo_file: Path, tmp_path: Path) -> Iterator[Served]:
    """Give a demonstration garden of this test's own, served."""
    shutil.copyfile(demo_file, tmp_path / "garden.sqlite3")
    with serving(tmp_path) as served:
        yield served


@pytest.fixture
def bare_machine(tmp_path: Path) -> Iterator[Served]:
    """Give a server on a machine with no garden yet."""
    with serving(tmp_path) as served:
        yield served


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Give Playwright."""
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """Give the Chromium of the system."""
    path = shutil.which("chromium")
    if path is None:
        words = "chromium is missing: on Debian, apt install chromium (ALLOW_SKIP=1 skips)"
        if os.environ.get("ALLOW_SKIP") == "1":
            pytest.skip(words)
        pytest.fail(words)
    running = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
    yield running
    running.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """Give a phone's browser."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    context.set_default_timeout(15_000)
    yield context
    context.close()
