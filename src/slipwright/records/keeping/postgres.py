"""PostgreSQL's own programs for copying a database, and how they are called."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

from django.db import connections
from django.db.backends.postgresql.client import DatabaseClient

from slipwright.records.errors import NotWhole, Refused
from slipwright.records.keeping.signed_in import LETS_IN

#: Tables a copy of a garden must hold the rows of.
_MUST_HOLD = ("records_garden", "records_sticking", "records_look", "records_withdrawal")


def program(name: str) -> str:
    """Return where PostgreSQL's program ``name`` is; refuse if it is not installed."""
    found = shutil.which(name)
    if found is None:
        raise Refused(
            f"PostgreSQL's {name} is not installed on this machine.",
            ["Install PostgreSQL's client programs (on Debian: apt-get install postgresql-client)."],
        )
    return found


def dump(file: Path, *, snapshot_name: str, using: str = "default") -> None:
    """Write a database, as of an exported snapshot, into ``file``, but nothing that lets anybody in now."""
    args, env, name = _reach(using)
    file.touch(mode=0o600, exist_ok=False)  # nobody else reads it, not even while it is written
    command = [program("pg_dump"), *args, "--format=custom", f"--snapshot={snapshot_name}"]
    command += [f"--exclude-table-data=*.{table}" for table in LETS_IN]
    _run([*command, "--no-owner", "--no-privileges", f"--file={file}", name], env)


def verify(file: Path) -> None:
    """Raise ``NotWhole`` unless ``file`` is a dump of a garden that can be read to its end."""
    try:
        listed = _run([program("pg_restore"), "--list", str(file)], {})
        _run([program("pg_restore"), f"--file={os.devnull}", str(file)], {})
    except ChildFailed as error:
        raise NotWhole(str(file), [str(error)]) from error
    missing = [table for table in _MUST_HOLD if not re.search(rf" TABLE DATA .+ {table} ", listed)]
    if missing:
        raise NotWhole(str(file), [f"it holds no rows of {table}" for table in missing])


def restore_into(file: Path, name: str, *, role: str | None = None, using: str = "default") -> None:
    """Read the dump ``file`` into the empty database ``name`` of the same server.

    What is made belongs to ``role``, or to who is connected.
    """
    args, env, _ = _reach(using)
    command = [program("pg_restore"), *args, f"--dbname={name}", "--exit-on-error", "--single-transaction"]
    if role is not None:
        command.append(f"--role={role}")
    try:
        _run([*command, "--no-owner", "--no-privileges", str(file)], env)
    except ChildFailed as error:
        raise NotWhole(str(file), [str(error)]) from error


class ChildFailed(ValueError):
    """One of PostgreSQL's programs gave up; its own words are the reason."""


def _reach(using: str) -> tuple[list[str], dict[str, str], str]:
    """Return arguments and environment that reach the server, and the database's name.

    The password goes by the environment, where other users of the machine do not see it.
    """
    config: dict[str, Any] = connections[using].settings_dict
    args, env = DatabaseClient.settings_to_cmd_args_env(config, [])
    name = args[-1]
    return [*args[1:-1], "--no-password"], dict(env or {}), str(name)


def _run(command: list[str], env: dict[str, str]) -> str:
    done = subprocess.run(  # noqa: S603  (PostgreSQL's own programs; no shell)
        command,
        env=os.environ | env | {"LC_ALL": "C"},
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    if done.returncode != 0:
        raise ChildFailed(f"{Path(command[0]).name}: {done.stderr.strip() or 'gave up without a word'}")
    return done.stdout
