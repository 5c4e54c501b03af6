"""Serving the pages with the helper beside them."""

from __future__ import annotations

import os
import re
import signal
import socket
import stat
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from slipwright.cli import serve
from slipwright.cli.answer import BadInput
from slipwright.cli.children import run_together
from slipwright.cli.serve import secret_key
from slipwright.records import services
from slipwright.records.models import Garden, Member, User

Run = Callable[..., Any]
PYTHON = [sys.executable, "-c"]


@pytest.fixture
def port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@pytest.fixture
def not_run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, Any]:
    """Keep ``serve`` from starting its children; give what it would have started."""
    seen: dict[str, Any] = {}

    def run(children: Any, env: Any, **more: Any) -> str:
        seen.update(children=children, env=env, **more)
        return ""

    monkeypatch.setattr(serve, "run_together", run)
    monkeypatch.setattr(serve, "_key_file", lambda: tmp_path / "data" / "secret-key")
    monkeypatch.setenv("SLIPWRIGHT_SECRET_KEY", "given and long enough to sign a session")
    return seen


def test_a_garden_that_is_not_there_is_made_and_a_code_shown(
    nothing_yet: Path, port: int, not_run: dict[str, Any], run: Run
) -> None:
    said = run("serve", "--port", port).output
    assert nothing_yet.exists()
    assert f"http://127.0.0.1:{port}/set-up" in said
    found = re.search(r"with the code ([0-9A-Z]{8})$", said, re.MULTILINE)
    assert found
    assert services.spend_code(purpose="set-up", code=found[1], now=_soon()) is None
    web = not_run["children"]["the pages"]
    assert web[:3] == [sys.executable, "-m", "granian"]
    assert web[-1] == "slipwright.config.wsgi:application"
    assert not_run["children"]["the helper"][-1] == "work"
    assert not_run["env"]["SLIPWRIGHT_WEB"] == "1"


def _soon() -> Any:
    from datetime import UTC, datetime, timedelta

    return datetime.now(UTC) + timedelta(hours=23)


def test_no_code_is_shown_where_somebody_can_sign_in(
    example: Path, port: int, not_run: dict[str, Any], run: Run
) -> None:
    Member.objects.filter(member="jun").update(user=User.objects.create(username="tam"))
    assert "set-up" in run("serve", "--port", port).output  # no owner can yet
    Member.objects.filter(role="owner").update(user=User.objects.create(username="orla"))
    said = run("serve", "--port", port).output
    assert "set-up" not in said
    assert f"http://127.0.0.1:{port}/" in said


def test_a_key_is_drawn_where_none_is_given_and_the_children_are_told_it(
    nothing_yet: Path,
    port: int,
    not_run: dict[str, Any],
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.setenv("SLIPWRIGHT_SECRET_KEY", "")
    run("serve", "--port", port)
    kept = (tmp_path / "data" / "secret-key").read_text()
    assert not_run["env"]["SLIPWRIGHT_SECRET_KEY"] == kept


def test_pages_are_served_to_this_machine_only(nothing_yet: Path, run: Run) -> None:
    said = run("serve", "--host", "0.0.0.0", code=2).stderr
    assert "this machine only" in said
    assert not nothing_yet.exists()


def test_a_port_that_is_taken_is_named_before_anything_is_done(nothing_yet: Path, run: Run) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        said = run("serve", "--port", taken.getsockname()[1], code=2).stderr
    assert "--port" in said
    assert not nothing_yet.exists()


def test_the_key_is_for_its_owner_only_and_stays(tmp_path: Path) -> None:
    file = tmp_path / "data" / "secret-key"
    key = secret_key(file)
    assert len(key) >= 50
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert secret_key(file) == key
    assert list(file.parent.iterdir()) == [file]


def test_two_that_start_at_once_take_one_key(tmp_path: Path) -> None:
    file = tmp_path / "secret-key"
    start = threading.Barrier(8)
    keys = []

    def draw() -> None:
        start.wait()
        keys.append(secret_key(file))

    threads = [threading.Thread(target=draw) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(keys) == 8
    assert len(set(keys)) == 1


def test_an_empty_key_signs_nothing(tmp_path: Path) -> None:
    (tmp_path / "secret-key").touch()
    with pytest.raises(BadInput, match="holds no key"):
        secret_key(tmp_path / "secret-key")


def test_where_one_child_ends_the_other_is_stopped(tmp_path: Path) -> None:
    alive = tmp_path / "alive"
    waits = (
        "import os, signal, sys, time; "
        f"signal.signal(signal.SIGTERM, lambda *a: (os.remove({str(alive)!r}), sys.exit(0))); "
        f"open({str(alive)!r}, 'w').close(); time.sleep(60)"
    )
    ends = f"import os, time\nwhile not os.path.exists({str(alive)!r}): time.sleep(0.02)"
    assert run_together({"one": [*PYTHON, waits], "two": [*PYTHON, ends]}, os.environ) == "two"
    assert not alive.exists()


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="asks the kernel's list of processes")
def test_what_a_broken_child_had_started_is_stopped_too(tmp_path: Path) -> None:
    number = tmp_path / "grandchild"
    ends = (
        "import pathlib, subprocess, sys; "
        "late = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(60)']); "
        f"pathlib.Path({str(number)!r}).write_text(str(late.pid))"
    )
    assert run_together({"one": [*PYTHON, ends]}, os.environ) == "one"
    for _ in range(100):
        if not _runs(int(number.read_text())):
            return
        time.sleep(0.05)
    pytest.fail("what it had started still runs")


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="asks the kernel's list of processes")
@pytest.mark.parametrize("told", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP], ids=lambda told: told.name)
def test_told_to_stop_or_its_window_closed_it_stops_both(told: signal.Signals, tmp_path: Path) -> None:
    number = tmp_path / "child"
    waits = (
        "import os, pathlib, time; "
        f"pathlib.Path({str(number)!r}).write_text(str(os.getpid())); time.sleep(60)"
    )
    script = (
        "import os, sys; from slipwright.cli.children import run_together; "
        f"run_together({{'one': [sys.executable, '-c', {waits!r}]}}, os.environ)"
    )
    parent = subprocess.Popen([*PYTHON, script])
    for _ in range(200):
        if number.exists() and number.read_text():
            break
        time.sleep(0.05)
    parent.send_signal(told)
    assert parent.wait(timeout=30) == 0
    assert not _runs(int(number.read_text()))


def _runs(pid: int) -> bool:
    state = Path(f"/proc/{pid}/stat")
    return state.exists() and state.read_text().rpartition(")")[2].split()[0] != "Z"


def test_work_once_makes_one_pass_and_ends(example: Path, run: Run) -> None:
    done = run("work", "--once")
    assert done.stdout == ""
    # no fault is told; a bar stands there where learning took long
    assert "slipwright work:" not in done.stderr


def test_work_needs_a_garden(nothing_yet: Path, run: Run) -> None:
    assert "no garden" in run("work", "--once", code=2).stderr


def test_commands_take_the_day_a_demonstration_garden_stands_at(
    example: Path, run: Run, answer: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SLIPWRIGHT_TODAY")
    garden = Garden.objects.get()
    garden.stands_on = date(2015, 9, 10)
    garden.save()
    assert "Thursday 10 September 2015" in run("today").stdout
    assert "1 October 2015" in run("today", "--on", "2015-10-01").stdout
    assert "2 October 2015" in run("today", env={"SLIPWRIGHT_TODAY": "2015-10-02"}).stdout
    code = answer("batches", "batches")["batches"][0]["batch"]
    assert answer("forecast", "forecast", code)["days"][0]["on"] == "2015-09-10"


def test_web_connections_leave_the_log_of_writes_to_the_helper(example: Path) -> None:
    asked = "from slipwright.config import settings; print(settings.SQLITE_OPTIONS['init_command'])"
    for web, there in (("1", True), ("", False)):
        told = subprocess.run(
            [*PYTHON, asked], env=os.environ | {"SLIPWRIGHT_WEB": web}, capture_output=True, check=True
        ).stdout
        assert (b"wal_autocheckpoint=0" in told) is there
    with connection.cursor() as cursor:
        assert cursor.execute("PRAGMA wal_autocheckpoint").fetchone() == (1000,)


@pytest.mark.skipif(os.name == "nt", reason="signals are sent as Unix sends them")
def test_pages_are_there_until_ctrl_c(port: int, tmp_path: Path) -> None:
    env = os.environ | {
        "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{tmp_path}/garden.sqlite3",
        "SLIPWRIGHT_STATIC": str(tmp_path / "static"),
        "PYTHONPATH": os.pathsep.join(sys.path),
    }
    command = [sys.executable, "-m", "slipwright.cli", "serve", "--port", str(port)]
    served = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    try:
        page = _page(f"http://127.0.0.1:{port}/set-up", served)
        assert b'name="code"' in page
        served.send_signal(signal.SIGINT)
        said, _ = served.communicate(timeout=30)
    finally:
        served.kill()
    assert served.returncode == 0, said
    with socket.socket() as after:
        assert after.connect_ex(("127.0.0.1", port)) != 0


def _page(address: str, served: subprocess.Popen[str]) -> bytes:
    for _ in range(200):
        assert served.poll() is None, served.communicate()[0]
        try:
            with urllib.request.urlopen(address, timeout=10) as answer:
                return bytes(answer.read())
        except OSError:
            time.sleep(0.1)
    pytest.fail("the pages did not come up")
