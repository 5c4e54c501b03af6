"""Serving the pages for a measurement, on each kind of database there is."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path

ROOT = Path(__file__).parents[1]


@contextmanager
def served(*, helped: bool = False) -> Iterator[int]:
    """Serve the pages as ``slipwright serve`` does, ``helped`` by the helper too, and give the port."""
    from slipwright.cli.serve import BLOCKING_THREADS, WORKERS

    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    pages = [sys.executable, "-m", "granian", "--interface", "wsgi", "--host", "127.0.0.1"]
    pages += ["--port", str(port), "--workers", str(WORKERS), "--blocking-threads", str(BLOCKING_THREADS)]
    pages += ["--no-ws", "--log-level", "warning", "slipwright.config.wsgi:application"]
    helper = [sys.executable, "-m", "slipwright.cli", "work"]
    env = os.environ | {"SLIPWRIGHT_WEB": "1"}
    running = [
        subprocess.Popen(command, env=env, cwd=ROOT) for command in ([pages, helper] if helped else [pages])
    ]
    try:
        _wait_for(port)
        yield port
    finally:
        for one in running:
            one.terminate()
        for one in running:
            one.wait(60)


def _wait_for(port: int) -> None:
    for _ in range(200):
        try:
            with socket.create_connection(("127.0.0.1", port), 1):
                return
        except OSError:
            time.sleep(0.1)
    raise SystemExit("the pages are not served")


def run(url: str, folder: str, script: str, flags: Sequence[str], today: date | None) -> bool:
    """Measure one kind of database in a process of its own."""
    env = os.environ | {
        "SLIPWRIGHT_DATABASE_URL": url,
        "SLIPWRIGHT_STATIC": f"{folder}/static",
        "SLIPWRIGHT_PHOTOS": f"{folder}/photos",
        "SLIPWRIGHT_BACKUPS": f"{folder}/backups",
        "SLIPWRIGHT_SECRET_KEY": "of a measurement and of nothing else, thrown away after it",
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "PYTHONPATH": str(ROOT),
    }
    if today is not None:
        env["SLIPWRIGHT_TODAY"] = today.isoformat()
    Path(folder, "backups").mkdir(exist_ok=True)
    print(f"\n{url.partition(':')[0]}", flush=True)
    command = [sys.executable, script, "--here", *flags]
    return subprocess.run(command, env=env, check=False, cwd=ROOT).returncode == 0


def run_on_each(folder: str, script: str, flags: Sequence[str], today: date | None = None) -> bool:
    """Measure SQLite, and a database of its own on the server of SLIPWRIGHT_BENCH_POSTGRES_URL, if any."""
    kept = run(f"sqlite:///{folder}/garden.sqlite3", folder, script, flags, today)
    server = os.environ.get("SLIPWRIGHT_BENCH_POSTGRES_URL")
    if not server:
        return kept
    import psycopg

    name = f"slipwright_bench_{os.getpid()}"
    base, _, _ = server.rpartition("/")
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")  # type: ignore[arg-type]
        try:
            return run(f"{base}/{name}", folder, script, flags, today) and kept
        finally:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")  # type: ignore[arg-type]
