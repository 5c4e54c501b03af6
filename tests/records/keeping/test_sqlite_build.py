"""Which SQLite builds have the WAL-reset fault.

SQLite release history, entry 3.53.0 of 2026-04-09: fixed in 3.51.3 and 3.53.0, back-ported to 3.44.6
and 3.50.7; present from 3.7.0, the first with WAL.
"""

from __future__ import annotations

import sqlite3

import pytest

from slipwright.records.keeping.sqlite_build import has_wal_fault, linked_version


@pytest.mark.parametrize(
    "version", [(3, 7, 0), (3, 40, 1), (3, 44, 5), (3, 45, 0), (3, 50, 6), (3, 51, 2), (3, 46, 1)]
)
def test_it_is_there(version: tuple[int, int, int]) -> None:
    assert has_wal_fault(version)


@pytest.mark.parametrize(
    "version", [(3, 6, 23), (3, 44, 6), (3, 44, 9), (3, 50, 7), (3, 51, 3), (3, 52, 0), (3, 53, 4)]
)
def test_it_is_mended(version: tuple[int, int, int]) -> None:
    assert not has_wal_fault(version)


def test_the_linked_build_is_the_one_that_is_used() -> None:
    assert ".".join(map(str, linked_version())) == sqlite3.sqlite_version
