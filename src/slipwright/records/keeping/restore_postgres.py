"""Putting a dump in the place of the garden on PostgreSQL.

It is read into a new database on the same server, checked there, and the two change names in one
transaction.  PostgreSQL itself refuses that while anybody is connected to either.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.db import connections

from slipwright.records.errors import InUse, NewerSchema, NotFound, NotWhole, Refused
from slipwright.records.keeping import postgres, schema
from slipwright.records.keeping.opening import opened
from slipwright.records.keeping.selfcheck import Told, checked_records
from slipwright.records.keeping.signed_in import sign_out
from slipwright.records.keeping.which_garden import gardens_in, refuse_another


def restore_postgres(
    file: Path, *, now: datetime, told: Told | None, replace_other: bool = False
) -> tuple[str, str, int]:
    """Swap in the dump ``file``; return the database's name, what was kept as, and the entries."""
    postgres.verify(file)
    name = str(connections["default"].settings_dict["NAME"])
    stamp = f"{now:%Y%m%d_%H%M%S}_{uuid.uuid4().hex[:8]}"
    made, kept_as = _cut(name, f"_restoring_{stamp}"), _cut(name, f"_before_restore_{stamp}")
    with _server(name) as server:
        there = _there(server, name)
        _make(server, made, there)
        try:
            postgres.restore_into(file, made, role=there.role)
            n_entries = _checked(made, file, there.role, told)
            if not replace_other:
                refuse_another(name, there=gardens_in("default"), new=_gardens_of(made), doors=[])
            connections["default"].close()
            _swap(server, name, kept_as, made)
        except BaseException:
            server.execute(f"DROP DATABASE IF EXISTS {_quoted(made)}")
            raise
    return name, kept_as, n_entries


def drill_postgres(file: Path, *, told: Told | None) -> int:
    """Read the dump ``file`` into a database of its own, check it and drop it; return its entries."""
    postgres.verify(file)
    name = str(connections["default"].settings_dict["NAME"])
    made = _cut(name, f"_drill_{uuid.uuid4().hex[:8]}")
    with _server(name) as server:
        there = _there(server, name)
        _make(server, made, there)
        try:
            postgres.restore_into(file, made, role=there.role)
            return _checked(made, file, there.role, told)
        finally:
            server.execute(f"DROP DATABASE IF EXISTS {_quoted(made)}")


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


@dataclass(frozen=True, slots=True)
class _There:
    """What the garden's database is like, and the new one is to be.

    ``role`` is its owner where that is not who is connected.
    """

    owner: str
    role: str | None
    encoding: str
    collate: str
    ctype: str
    provider: str
    locale: str


def _there(server: Any, name: str) -> _There:
    # As JSON, because what keeps the locale is named differently in PostgreSQL 14, 15 and 17.
    found = server.execute(
        "SELECT pg_get_userbyid(datdba), current_user, pg_encoding_to_char(encoding), datcollate, datctype, "
        "to_jsonb(d) FROM pg_database d WHERE datname = %s",
        [name],
    ).fetchone()
    if found is None:
        raise NotFound(f"there is no database {name} on this PostgreSQL server; make an empty one first")
    owner, user, encoding, collate, ctype, rest = found
    provider = _PROVIDERS.get(rest.get("datlocprovider", ""), "")
    locale = rest.get("datlocale") or rest.get("daticulocale") or ""
    return _There(owner, None if owner == user else owner, encoding, collate, ctype, provider, locale)


#: What brings the order of letters, if it is not the operating system, and how its locale is given.
_PROVIDERS = {"i": "icu", "b": "builtin"}


def _make(server: Any, made: str, there: _There) -> None:
    import psycopg
    from psycopg import sql

    command = sql.SQL(
        "CREATE DATABASE {} TEMPLATE template0 OWNER {} ENCODING {} LC_COLLATE {} LC_CTYPE {}"
    ).format(
        sql.Identifier(made),
        sql.Identifier(there.owner),
        *(sql.Literal(value) for value in (there.encoding, there.collate, there.ctype)),
    )
    if there.provider:
        further = f" LOCALE_PROVIDER {there.provider} {there.provider.upper()}_LOCALE "
        command += sql.SQL(further) + sql.Literal(there.locale)
    try:
        server.execute(command)
    except psycopg.errors.InsufficientPrivilege as error:
        raise Refused(
            f"This PostgreSQL user may not create a database of {there.owner}, which a restore needs.",
            ["Let the server's administrator run ALTER ROLE … CREATEDB, or do the restore."],
        ) from error


def _checked(made: str, file: Path, role: str | None, told: Told | None) -> int:
    config = dict(connections["default"].settings_dict) | {"NAME": made}
    if role is not None:  # what an older dump still lacks is to be the owner's too
        config["OPTIONS"] = dict(config["OPTIONS"]) | {"assume_role": role}
    with opened(config) as alias:
        found, applied = schema.state(alias), schema.applied_changes(alias)
        if found == "newer":
            raise NewerSchema(sorted(applied - schema.known_changes()))
        sign_out(alias)
        if found == "older":
            schema.bring_up(alias)
        findings, n_entries, _ = checked_records(using=alias, told=told)
    if findings:
        raise NotWhole(str(file), [str(finding) for finding in findings])
    return n_entries


def _gardens_of(made: str) -> dict[str, str]:
    with opened(dict(connections["default"].settings_dict) | {"NAME": made}) as alias:
        return gardens_in(alias)


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
