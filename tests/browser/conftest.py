"""A real server, a real browser: the demonstration garden, or a machine with nothing on it yet."""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import pytest
from playwright.sync_api import Browser, BrowserContext, Playwright, sync_playwright

ROOT = Path(__file__).parents[2]
TOOL = [sys.executable, "-m", "slipwright.cli"]
#: longer than this nothing here takes
PATIENCE_S = 60


@dataclass(frozen=True)
class Served:
    """A garden served on this machine, and what its server said."""

    address: str
    folder: Path
    said: Path

    def slipwright(self, *words: str) -> str:
        """Run a command on the garden that is served."""
        done = subprocess.run(
            [*TOOL, *words], env=environment(self.folder), capture_output=True, text=True, timeout=PATIENCE_S
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def sign_in_code(self) -> str:
        """Make a code that signs the owner of the garden in once."""
        script = (
            "import django; django.setup()\n"
            "from datetime import UTC, datetime\n"
            "from slipwright.records.models import Member\n"
            "from slipwright.records.services import make_code\n"
            "user = Member.objects.exclude(user=None).filter(role='owner').get().user\n"
            "print(make_code(purpose='sign-in', user=user, now=datetime.now(UTC), minutes=5))"
        )
        done = subprocess.run(
            [sys.executable, "-c", script],
            env=environment(self.folder),
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()


def environment(folder: Path) -> dict[str, str]:
    """Return the environment of a machine whose only garden lies in ``folder``."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("SLIPWRIGHT")}
    return kept | {
        "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{folder / 'garden.sqlite3'}",
        "SLIPWRIGHT_STATIC": str(folder / "static"),
        "SLIPWRIGHT_SECRET_KEY": "only for tests: signs nothing that leaves them",
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "PYTHONUNBUFFERED": "1",
    }


@contextmanager
def serving(folder: Path) -> Iterator[Served]:
    """Serve the garden in ``folder`` on a free port, as a person would."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    said = folder / "said.txt"
    with said.open("w") as out:
        server = _start(port, folder, out)
        try:
            _await(f"http://127.0.0.1:{port}/sign-in", server, said)
            yield Served(f"http://127.0.0.1:{port}", folder, said)
        finally:
            server.terminate()
            server.wait(timeout=PATIENCE_S)


def _start(port: int, folder: Path, out: IO[str]) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*TOOL, "serve", "--port", str(port)], env=environment(folder), stdout=out, stderr=subprocess.STDOUT
    )


def _await(address: str, server: subprocess.Popen[bytes], said: Path) -> None:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        assert server.poll() is None, said.read_text()
        try:
            with urllib.request.urlopen(address, timeout=5):
                return
        except OSError:
            time.sleep(0.1)
    pytest.fail(f"the server did not answer: {said.read_text()}")


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


def set_up_code(served: Served) -> str:
    """Return the set-up code the server printed."""
    found = re.search(r"set-up code\D*?([0-9A-Z]{4}[- ]?[0-9A-Z]{4})", served.said.read_text(), re.IGNORECASE)
    assert found, served.said.read_text()
    return found[1]


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
