"""The pages served in a process of their own, and phones that send to them until they are answered."""

from __future__ import annotations

import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
import uuid
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.db import connections

from slipwright.records.models import Garden, Member, User
from tests.campaign.sums import look

ROOT = Path(__file__).parents[2]
#: seconds for the pages to come up, and for one answer
UP_S, ANSWER_S = 60.0, 10.0


def free_port() -> int:
    """Return a port of this machine that nobody listens on."""
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return int(asked.getsockname()[1])


@dataclass
class Pages:
    """The pages of one garden at one port; they may be killed and started again."""

    url: str
    port: int
    application: str = "slipwright.config.wsgi:application"
    _running: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start them, and wait until they answer."""
        env = os.environ | {
            "SLIPWRIGHT_DATABASE_URL": self.url,
            "SLIPWRIGHT_SECRET_KEY": settings.SECRET_KEY,
            "SLIPWRIGHT_WEB": "1",
            "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT), *sys.path]),
        }
        command = [sys.executable, "-m", "granian", "--interface", "wsgi", "--host", "127.0.0.1"]
        command += ["--port", str(self.port), "--workers", "2", "--blocking-threads", "4", "--no-log"]
        self._running = subprocess.Popen([*command, self.application], env=env, process_group=0)
        until = time.monotonic() + UP_S
        while time.monotonic() < until:
            if self._running.poll() is not None:
                break
            asked = http.client.HTTPConnection("127.0.0.1", self.port, timeout=2)
            try:
                asked.request("GET", "/sync", headers={"Host": "127.0.0.1"})
                asked.getresponse().read()
                return
            except (OSError, http.client.HTTPException):
                time.sleep(0.05)
            finally:
                asked.close()
        raise RuntimeError("the pages did not come up")

    def kill(self) -> None:
        """End all their processes where they stand, as a crash would."""
        if self._running is None:
            return
        os.killpg(self._running.pid, signal.SIGKILL)
        self._running.wait(timeout=30)
        self._running = None


@contextmanager
def served(url: str, application: str = "slipwright.config.wsgi:application") -> Iterator[Pages]:
    """Serve a garden, and kill what is left at the end."""
    pages = Pages(url, free_port(), application)
    pages.start()
    try:
        yield pages
    finally:
        pages.kill()


def session_of(member: Member) -> dict[str, str]:
    """Sign a member in, and return the cookie that says so to the pages."""
    user = User.objects.create(username=f"{member.member}@{uuid.uuid4()}")
    member.user = user
    member.save()
    session = SessionStore()
    session[SESSION_KEY] = str(user.pk)
    session[BACKEND_SESSION_KEY] = "slipwright.records.signing_in.MemberBackend"
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    mark = f"{zlib.crc32(str(connections['default'].settings_dict['NAME']).encode()):08x}"
    return {f"session-{mark}": str(session.session_key)}


@dataclass
class Phone(threading.Thread):
    """Sends one look after the other; each again and again until it is answered as received.

    ``new_ids`` is a planted fault: what is sent again gets another id.
    """

    port: int
    garden: Garden
    batch: str
    cookies: dict[str, str]
    seed: int
    new_ids: bool = False
    made: list[str] = field(default_factory=list)
    acknowledged: list[str] = field(default_factory=list)
    odd: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        self._stop_asked = threading.Event()
        self._line: http.client.HTTPConnection | None = None
        self._token = ""
        self._cookies = dict(self.cookies)

    def __hash__(self) -> int:
        return id(self)

    def finish(self) -> None:
        """Make no more looks; what is under way is still sent."""
        self._stop_asked.set()

    def run(self) -> None:
        """Make looks and send them."""
        chance = random.Random(self.seed)
        while not self._stop_asked.is_set():
            record = look(self.garden, self.batch)
            self.made.append(record["content"]["id"])
            until = time.monotonic() + 120
            while not self._sent(record) and time.monotonic() < until:
                if self.new_ids:
                    record = look(self.garden, self.batch)
                time.sleep(0.02)
            if chance.random() < 0.2:
                self._sent(record)
        self._hang_up()

    def _hang_up(self) -> None:
        if self._line is not None:
            self._line.close()
        self._line, self._token = None, ""

    def _sent(self, record: dict[str, Any]) -> bool:
        try:
            if not self._token:
                self._token = str(self._asked("GET", None)[1]["csrf"])
            told = {"v": 1, "sent_at": datetime.now(UTC).isoformat(), "records": [record]}
            status, answer = self._asked("POST", told)
        except (OSError, http.client.HTTPException, ValueError, KeyError):
            self._hang_up()
            return False
        if status == 403:
            self._token = ""
            return False
        if status != 200:
            return False
        one = answer["answers"][0]
        if one["status"] != "received" or one["sha256"] != record["sha256"]:
            self.odd.append(json.dumps(one))
            return True
        if not self.new_ids or one["id"] == self.made[-1]:
            self.acknowledged.append(one["id"])
        return True

    def _asked(self, method: str, told: object) -> tuple[int, dict[str, Any]]:
        if self._line is None:
            self._line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=ANSWER_S)
        headers = {
            "Host": "127.0.0.1",
            "Cookie": "; ".join(f"{name}={value}" for name, value in self._cookies.items()),
            "Content-Type": "application/json",
            "X-CSRFToken": self._token,
        }
        body = json.dumps(told) if told is not None else None
        self._line.request(method, "/sync", body, headers)
        answer = self._line.getresponse()
        for line in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = line.partition(";")[0].partition("=")
            self._cookies[name] = value
        return answer.status, dict(json.loads(answer.read()))
