"""What lets somebody in without a password: it goes into no copy, so that a restore signs everybody out."""

from __future__ import annotations

from django.db import connections

#: who is signed in just now, and the codes that let in once
LETS_IN = ("django_session", "records_onetimecode")


def sign_out(using: str) -> None:
    """Sign everybody out of a database that is no garden yet, whatever version it is of."""
    with connections[using].cursor() as cursor:
        there = connections[using].introspection.table_names(cursor)
        for table in sorted(set(LETS_IN) & set(there)):
            cursor.execute(f"DELETE FROM {table}")  # noqa: S608  (a name of ours)
