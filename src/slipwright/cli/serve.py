"""Serving the pages, and the helper beside them."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from slipwright.cli.answer import BadInput, refusing
from slipwright.cli.garden import reading, start_django

WORKERS, BLOCKING_THREADS = 2, 4
#: minutes a code to set up with is good for
SET_UP_MINUTES = 24 * 60
#: seconds between two passes of the helper, between two looks at the children, and to let them end
PASS_S, LOOK_S, END_S = 2.0, 0.5, 10.0
#: seconds after which a child that has not ended is told again
AGAIN_S = 1.5
LOOPBACK = {"127.0.0.1": "127.0.0.1", "localhost": "127.0.0.1", "::1": "::1"}

_FILE = click.option(
    "--garden",
    "garden_file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="File the garden is kept in, instead of the usual one.",
)


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="This machine only.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True)
@_FILE
@refusing(OSError)
@click.pass_context
def serve(ctx: click.Context, host: str, port: int, garden_file: Path | None) -> None:
    """Serve the pages on this machine until you stop it with Ctrl-C.

    A garden that is not there yet is made; an older one is brought up to date, after a backup. As long
    as nobody can sign in, a code to set up with is shown, good for 24 hours and for one use.

    \b
    Example
        slipwright serve --port 8080
    """
    if host not in LOOPBACK:
        raise BadInput(
            f"--host {host}: the pages are served to this machine only, as 127.0.0.1. Over a network anybody "
            "near could read the passwords that are typed, so that is not offered yet"
        )
    address = LOOPBACK[host]
    _require_free(address, port)
    start_django(garden_file)
    with reading(garden_file):
        code = _prepared()
    web, work = _children(address, port)
    shown = f"http://{f'[{address}]' if ':' in address else address}:{port}"
    click.echo(f"Slipwright is at {shown}/  (Ctrl-C stops it)")
    if code:
        click.echo(f"Nobody can sign in yet. Set it up at {shown}/set-up with the code {code}")
        click.echo("It is good for 24 hours and for one use.")
    ended = run_together({"the pages": web, "the helper": work}, os.environ | {"SLIPWRIGHT_WEB": "1"})
    if ended:
        click.echo(f"slipwright: {ended} stopped by itself, so all was stopped", err=True)
        ctx.exit(1)


def _require_free(address: str, port: int) -> None:
    """Refuse a port that something else answers at."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError as error:
            raise BadInput(f"--port {port}: {error.strerror}. Give another, as --port {port + 1}") from error


def _prepared() -> str:
    """Make database and pages ready, and return the code to set up with if nobody can sign in."""
    from django.conf import settings
    from django.core.management import call_command

    from slipwright.records.keeping.schema import migrate
    from slipwright.records.selectors import nobody_yet
    from slipwright.records.services import make_code

    now = datetime.now(UTC)
    done = migrate(now=now)
    if done.backup:
        click.echo(f"The garden was brought up to date. The copy made first: {done.backup}")
    if not os.environ.get("SLIPWRIGHT_SECRET_KEY"):
        os.environ["SLIPWRIGHT_SECRET_KEY"] = settings.SECRET_KEY = secret_key(_key_file())
    call_command("collectstatic", verbosity=0, interactive=False)
    code = make_code(purpose="set-up", now=now, minutes=SET_UP_MINUTES) if nobody_yet() else ""
    from django.db import connections

    connections.close_all()
    return code


def _key_file() -> Path:
    import platformdirs

    return Path(platformdirs.user_data_path("slipwright")) / "secret-key"


def secret_key(file: Path) -> str:
    """Return the key kept in ``file``; it is drawn and kept, for its owner's eyes only, where none is.

    It is written whole under another name first: two that start at once take the same key.
    """
    import secrets

    if not file.exists():
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_name(f".{file.name}.{os.getpid()}.{secrets.token_hex(4)}")
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        try:
            with os.fdopen(handle, "w", encoding="ascii") as new:
                new.write(secrets.token_urlsafe(48))
                new.flush()
                os.fsync(new.fileno())
            try:
                os.link(beside, file)
            except FileExistsError:
                pass  # another was quicker: its key is the key
            except OSError:
                os.replace(beside, file)  # a file system without links
        finally:
            beside.unlink(missing_ok=True)
    key = file.read_text(encoding="ascii").strip()
    if len(key) < 32:
        raise BadInput(f"{file} holds no key; remove it, and a new one is drawn (all will have to sign in)")
    return key


def _children(address: str, port: int) -> tuple[list[str], list[str]]:
    """Return the commands of the pages and of the helper."""
    web = [sys.executable, "-m", "granian", "--interface", "wsgi", "--host", address, "--port", str(port)]
    web += ["--workers", str(WORKERS), "--blocking-threads", str(BLOCKING_THREADS)]
    web += ["--no-ws", "--log-level", "warning", "slipwright.config.wsgi:application"]
    return web, [sys.executable, "-m", "slipwright.cli", "work"]


@contextmanager
def stopping() -> Iterator[threading.Event]:
    """Give an event that Ctrl-C, SIGTERM and a closed window set, instead of ending where it stands."""
    event = threading.Event()

    def stop(number: int, frame: Any) -> None:
        event.set()

    caught = [signal.SIGINT, signal.SIGTERM, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])]
    before = {number: signal.signal(number, stop) for number in caught}
    try:
        yield event
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def run_together(children: Mapping[str, Sequence[str]], env: Mapping[str, str]) -> str:
    """Run commands until one ends or we are told to stop; then stop all and return which ended by itself."""
    # in groups of their own: Ctrl-C reaches us alone, and each child is told once
    apart: dict[str, Any] = {} if os.name == "nt" else {"process_group": 0}
    running: dict[str, subprocess.Popen[bytes]] = {}
    ended = ""
    with stopping() as stop:
        try:
            for name, command in children.items():
                running[name] = subprocess.Popen(command, env=dict(env), **apart)  # noqa: S603  (our own)
            while not ended and not stop.wait(LOOK_S):
                ended = next((name for name, child in running.items() if child.poll() is not None), "")
        finally:
            _end(tuple(running.values()))
    return ended


def _end(children: Iterable[subprocess.Popen[bytes]]) -> None:
    """Stop children and all they started; one that was only just starting may need to be told again."""
    for child in children:
        _tell(child, signal.SIGTERM)
    give_up = time.monotonic() + END_S
    for child in children:
        while child.poll() is None:
            try:
                child.wait(AGAIN_S)
            except subprocess.TimeoutExpired:
                late = os.name == "nt" or time.monotonic() > give_up
                _tell(child, getattr(signal, "SIGKILL", signal.SIGTERM) if late else signal.SIGTERM)


def _tell(child: subprocess.Popen[bytes], number: int) -> None:
    """Send a signal to a child and to those it started, which outlive it where it broke."""
    if os.name == "nt":
        child.terminate()
        return
    with suppress(ProcessLookupError):
        os.killpg(child.pid, number)


@click.command()
@click.option("--once", is_flag=True, help="One pass, then end.")
@_FILE
@refusing(OSError)
def work(garden_file: Path | None, *, once: bool) -> None:
    """Keep what the pages show fresh: forecasts, the log of writes, codes that have ended.

    slipwright serve runs it beside the pages. Every 2 seconds until it is stopped.

    \b
    Example
        slipwright work --once
    """
    start_django(garden_file)
    from slipwright.records.keeping.helper import Helper
    from slipwright.records.keeping.schema import require_current

    with reading(garden_file):
        require_current()
    helper = Helper(told=lambda fault: click.echo(f"slipwright work: {fault}", err=True))
    with stopping() as stop:
        _passes(helper.one_pass, stop, once=once)


def _passes(one_pass: Callable[..., int], stop: threading.Event, *, once: bool) -> None:
    while True:
        one_pass(now=datetime.now(UTC))
        if once or stop.wait(PASS_S):
            return
