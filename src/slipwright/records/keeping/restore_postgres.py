"""Putting a dump in the place of the garden on PostgreSQL.

It is read into a new database on the same server, checked there, and the two change names in one
transaction.  PostgreSQL itself refuses that while anybody is connected to either.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from django.db import connections

from slipwright.records.errors import InUse, NewerSchema, NotWhole, Refused
from slipwright.records.keeping import postgres, schema
from slipwright.records.keeping.opening import opened
from slipwright.records.keeping.selfcheck import Told, checked_records


def restore_postgres(file: Path, *, now: datetime, told: Told | None) -> tuple[str, str, int]:
    """Swap in the dump ``file``; return the database's name, what was kept as, and the entries."""
    postgres.verify(file)
    name = str(connections["default"].settings_dict["NAME"])
    stamp = f"{now:%Y%m%d_%H%M%S}"
    made, kept_as = _cut(name, f"_restoring_{stamp}"), _cut(name, f"_before_restore_{stamp}")
    with _server(name) as server:
        _make(server, made)
        try:
            postgres.restore_into(file, made)
            n_entries = _checked(made, file, told)
            connections["default"].close()
            _swap(server, name, kept_as, made)
        except BaseException:
            server.execute(f"DROP DATABASE IF EXISTS {_quoted(made)}")
            raise
    return name, kept_as, n_entries


@contextmanager
def _server(name: str) -> Iterator[Any]:
    """Give a connection to the server that is not to the garden's own database."""
    import psycopg

    params = connections["default"].get_connection_params()
    keys = ("user", "password", "host", "port", "sslmode", "sslrootcert", "sslcert", "sslkey", "passfile")
    reach = {key: params[key] for key in keys if params.get(key)}
    other = "template1" if name == "postgres" else "postgres"
    with psycopg.connect(dbname=other, autocommit=True, **reach) as server:
        yield server


def _make(server: Any, made: str) -> None:
    import psycopg

    try:
        server.execute(f"CREATE DATABASE {_quoted(made)} TEMPLATE template0")
    except psycopg.errors.InsufficientPrivilege as error:
        raise Refused(
            "This PostgreSQL user may not create a database, which a restore needs.",
            ["Let the server's administrator run ALTER ROLE … CREATEDB, or do the restore."],
        ) from error


def _checked(made: str, file: Path, told: Told | None) -> int:
    with opened(dict(connections["default"].settings_dict) | {"NAME": made}) as alias:
        found, applied = schema.state(alias), schema.applied_changes(alias)
        if found == "newer":
            raise NewerSchema(sorted(applied - schema.known_changes()))
        if found == "older":
            schema.bring_up(alias)
        findings, n_entries, _ = checked_records(using=alias, told=told)
    if findings:
        raise NotWhole(str(file), [str(finding) for finding in findings])
    return n_entries


def _swap(server: Any, name: str, kept_as: str, made: str) -> None:
    import psycopg

    try:
        with server.transaction():
            server.execute(f"ALTER DATABASE {_quoted(name)} RENAME TO {_quoted(kept_as)}")
            server.execute(f"ALTER DATABASE {_quoted(made)} RENAME TO {_quoted(name)}")
    except psycopg.errors.ObjectInUse as error:
        raise InUse(
            f"somebody is connected to the database {name}; stop slipwright serve and what else uses it first"
        ) from error


def _cut(name: str, ending: str) -> str:
    """Return ``name`` with an ending, in the 63 bytes PostgreSQL gives a name."""
    room = 63 - len(ending)
    return name.encode()[:room].decode(errors="ignore") + ending


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'
