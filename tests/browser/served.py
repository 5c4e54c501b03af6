"""A garden served on this machine as a person would serve it."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import pytest

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
    authority = folder / "garden-authority.pem"
    if authority.exists():
        kept["SLIPWRIGHT_AUTHORITY"] = str(authority)
    return kept | {
        "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{folder / 'garden.sqlite3'}",
        "SLIPWRIGHT_STATIC": str(folder / "static"),
        "SLIPWRIGHT_CERTIFICATES": str(folder / "certificates"),
        "SLIPWRIGHT_SECRET_KEY": "only for tests: signs nothing that leaves them",
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "PYTHONUNBUFFERED": "1",
    }


@contextmanager
def serving(folder: Path, *words: str) -> Iterator[Served]:
    """Serve the garden in ``folder`` on a free port, as a person would; ``words`` are more options."""
    port = _free_port(2 if "--tls" in words else 1)
    # the page of the authority stands beside pages that a browser must first be taught to trust
    asked = f"http://127.0.0.1:{port + 1}/trust" if "--tls" in words else f"http://127.0.0.1:{port}/sign-in"
    said = folder / "said.txt"
    with said.open("w") as out:
        server = _start(port, folder, out, *words)
        try:
            _await(asked, server, said)
            yield Served(f"http://127.0.0.1:{port}", folder, said)
        finally:
            server.terminate()
            server.wait(timeout=PATIENCE_S)


def _free_port(side_by_side: int) -> int:
    """Return the first of so many free ports beside each other."""
    while True:
        with ExitStack() as held:
            port = 0
            try:
                for i in range(side_by_side):
                    free = held.enter_context(socket.socket())
                    free.bind(("127.0.0.1", port and port + i))
                    port = port or int(free.getsockname()[1])
            except (OSError, OverflowError):
                continue
            return port


def _start(port: int, folder: Path, out: IO[str], *words: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*TOOL, "serve", "--port", str(port), *words],
        env=environment(folder),
        stdout=out,
        stderr=subprocess.STDOUT,
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


def set_up_code(served: Served) -> str:
    """Return the set-up code the server printed."""
    found = re.search(r"/set-up with the code ([0-9A-Z]{8})\b", served.said.read_text())
    assert found, served.said.read_text()
    return found[1]
