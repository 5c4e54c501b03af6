"""Lists of plans in the garden's table: read together, written at the end, and let go when old."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.records.models import Garden, PlanList
from slipwright.records.services import plan_lists
from slipwright.records.services.plan_lists import KeptLists
from tests.records.conftest import small_garden

ON = date(2025, 10, 20)


def filled(garden: Garden, n: int, on: date = ON, name: str = "k") -> KeptLists:
    lists = KeptLists(garden, on=on)
    for number in range(n):
        lists[f"{name}{number}"] = bytes([number])
    lists.settle()
    return lists


def test_nothing_is_written_until_the_end(garden: Garden) -> None:
    lists = KeptLists(garden, on=ON)
    with CaptureQueriesContext(connection) as asked:
        lists["a"] = b"1"
        assert "a" in lists
        assert lists["a"] == b"1"
    assert not asked.captured_queries
    lists.settle()
    assert dict(KeptLists(garden, on=ON)) == {"a": b"1"}
    assert not KeptLists(small_garden("Long Reach"), on=ON)


def test_which_there_are_is_asked_once_and_those_asked_after_are_read_together(garden: Garden) -> None:
    filled(garden, 30)
    lists = KeptLists(garden, on=ON)
    with CaptureQueriesContext(connection) as asked:
        there = [key for key in (f"k{n}" for n in range(20, 40)) if key in lists]
        assert [lists[key] for key in there] == [bytes([n]) for n in range(20, 30)]
        assert "k99" not in lists
    assert len(asked) == 2
    with pytest.raises(KeyError):
        lists["k99"]


def test_one_that_was_dropped_meanwhile_is_not_there(garden: Garden) -> None:
    filled(garden, 2)
    lists = KeptLists(garden, on=ON)
    assert "k0" in lists
    PlanList.rows.of(garden).filter(key="k0").delete()
    with pytest.raises(KeyError):
        lists["k0"]
    assert "k0" not in lists
    assert lists["k1"] == b"\x01"


def test_two_who_write_the_same_do_not_hinder_each_other(garden: Garden) -> None:
    one, other = KeptLists(garden, on=ON), KeptLists(garden, on=ON)
    for lists in (one, other):
        assert "a" not in lists
        lists["a"] = b"1"
    one.settle()
    other.settle()
    assert len(KeptLists(garden, on=ON)) == 1


def test_those_not_used_for_long_go(garden: Garden) -> None:
    filled(garden, 2, ON - plan_lists.UNUSED_FOR - timedelta(days=1))
    lists = KeptLists(garden, on=ON)
    assert "k1" in lists
    lists.settle()
    assert set(KeptLists(garden, on=ON)) == {"k1"}
    assert PlanList.rows.of(garden).get().used_on == ON


def test_beyond_so_many_the_oldest_go(garden: Garden, monkeypatch: pytest.MonkeyPatch) -> None:
    filled(garden, 3, ON - timedelta(days=2), "old")
    monkeypatch.setattr(plan_lists, "MOST_KEPT", 4)
    monkeypatch.setattr(plan_lists, "AT_ONCE", 2)
    filled(garden, 3)
    assert set(KeptLists(garden, on=ON)) == {"k0", "k1", "k2", "old2"}


def test_one_taken_out_is_not_there_any_more(garden: Garden) -> None:
    lists = filled(garden, 2)
    del lists["k0"]
    assert set(lists) == {"k1"}
    with pytest.raises(KeyError):
        del lists["k0"]
