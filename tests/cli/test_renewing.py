"""A certificate is renewed before it ends, and served without losing a request."""

from __future__ import annotations

import http.client
import os
import signal
import ssl
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest

from slipwright.certificates import Hosts, Kept
from slipwright.cli import certificate, lan, listeners, serve
from slipwright.cli.children import run_together
from slipwright.cli.listeners import Listener

Run = Callable[..., Any]
NAME = "shed.home.arpa"


def test_the_helper_renews_what_is_due_and_says_so(folder: Path) -> None:
    begun = datetime.now(UTC) - timedelta(days=25)
    Kept(folder).ready(Hosts((NAME,)), now=begun)
    assert "was renewed" in certificate.renewed(folder, datetime.now(UTC))
    assert certificate.renewed(folder, datetime.now(UTC)) == ""


def test_the_helper_says_why_it_cannot_renew(folder: Path) -> None:
    kept = Kept(folder)
    kept.ready(Hosts((NAME,)), now=datetime.now(UTC) - timedelta(days=25))
    kept.authority_file.unlink()
    assert "authority.pem is not there" in certificate.renewed(folder, datetime.now(UTC))


@pytest.mark.parametrize(
    ("days", "told", "warned"),
    [
        (0, "30 days left; its authority: 3,652 days left", ""),
        (24, "6 days left", "was not renewed"),
        (3600, "its authority: 52 days left", "draw a new one"),
    ],
)
def test_selfcheck_tells_how_long_it_holds(folder: Path, days: int, told: str, warned: str) -> None:
    begun = datetime(2026, 11, 27, 9, tzinfo=UTC)
    Kept(folder).ready(Hosts((NAME,)), now=begun)
    said = certificate.how_long(folder, begun + timedelta(days=days))
    assert told in said[0]
    assert warned in said[1]
    assert bool(warned) is bool(said[1])


def test_selfcheck_shows_it(example: Path, folder: Path, run: Run, answer: Run) -> None:
    assert "certificate" not in run("selfcheck").output
    Kept(folder).ready(Hosts((NAME,)), now=datetime.now(UTC) - timedelta(days=26))
    assert "3 days left" in run("selfcheck").output
    warned = [
        one["what"] for one in answer("selfcheck", "selfcheck")["findings"] if one["where"] == "certificate"
    ]
    assert len(warned) == 1
    assert "was not renewed" in warned[0]


def test_a_certificate_and_key_halfway_changed_are_not_taken_up(tmp_path: Path) -> None:
    kept = Kept(tmp_path)
    kept.ready(Hosts((NAME,)), now=datetime.now(UTC))
    first, second = tmp_path / "first.pem", kept.served_file
    first.write_bytes(second.read_bytes())
    assert certificate.loads_together(first)
    kept.ready(Hosts((NAME,)), now=datetime.now(UTC), is_new=True)
    assert certificate.loads_together(second)
    assert not certificate.loads_together(first, second)
    first.write_bytes(first.read_bytes()[:300])
    assert not certificate.loads_together(first)


def _app(tmp_path: Path) -> Path:
    (tmp_path / "answers.py").write_text(
        "import time\n"
        "def application(env, start):\n"
        "    time.sleep(0.01)\n"
        "    start('200 OK', [('Content-Type', 'text/plain')])\n"
        "    return [b'here']\n"
    )
    return tmp_path


@pytest.mark.skipif(os.name == "nt", reason="signals are sent as Unix sends them")
def test_a_renewed_certificate_is_served_and_no_request_is_lost(
    tmp_path: Path, port: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listeners, "COMES_UP_S", 2)
    kept = Kept(tmp_path / "certificates")
    kept.ready(Hosts((NAME,), (ip_address("127.0.0.1"),)), now=datetime.now(UTC) - timedelta(days=25))
    pages = Listener("127.0.0.1", port, certificate=kept.served_file, key=kept.served_file)
    anew = serve._anew({"the pages": pages}, lan.Network(pages, None, (kept.served_file,), (), "", None))
    phones = Phones(port, kept.public_file)

    def renew() -> None:
        """Renew once the phones are answered, and stop all a while after they are answered by the new one."""
        if phones.wait_for(certificates=1) and kept.renew(now=datetime.now(UTC)):
            phones.wait_for(certificates=2)
            phones.over.wait(6)
        phones.over.set()
        for thread in asking:
            thread.join()
        os.kill(os.getpid(), signal.SIGTERM)

    asking = [threading.Thread(target=phones.ask) for _ in range(3)]
    threads = [*asking, threading.Thread(target=renew)]
    for thread in threads:
        thread.start()
    command = [*pages.command()[:-1], "answers:application"]
    ended = run_together({"the pages": command}, os.environ | {"PYTHONPATH": str(_app(tmp_path))}, anew=anew)
    for thread in threads:
        thread.join()
    assert ended == ""
    assert len(phones.certificates) == 2
    assert phones.lost == []


class Phones:
    """Asks again and again as phones do, and once more where a line was cut."""

    def __init__(self, port: int, authority: Path) -> None:
        self.port, self.authority = port, authority
        self.over = threading.Event()
        self.certificates: set[bytes] = set()
        self.lost: list[str] = []
        self.cut = 0

    def wait_for(self, *, certificates: int) -> bool:
        """Wait until so many certificates were seen."""
        until = time.monotonic() + 60
        while len(self.certificates) < certificates and time.monotonic() < until:
            time.sleep(0.05)
        return len(self.certificates) >= certificates

    def ask(self) -> None:
        """Ask until it is over."""
        context = ssl.create_default_context(cafile=str(self.authority))
        while not self.over.is_set():
            fault = self._once(context)
            if fault and self.certificates:
                self.cut += 1
                if fault := self._once(context):
                    self.lost.append(fault)
            elif fault:
                time.sleep(0.1)  # it is only coming up

    def _once(self, context: ssl.SSLContext) -> str:
        line = http.client.HTTPSConnection("127.0.0.1", self.port, context=context, timeout=10)
        try:
            line.connect()
            certificate = line.sock.getpeercert(binary_form=True)
            line.request("GET", "/")
            with line.getresponse() as answer:
                assert answer.read() == b"here"
            self.certificates.add(certificate)
        except OSError as error:
            return repr(error)
        finally:
            line.close()
        return ""
