"""How often a name, a code or an address may be tried."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from slipwright.records.errors import DoorBusy, TooManyTries
from slipwright.records.models import Tries
from slipwright.records.services.throttle import count_wrong, forget_tries, one_at_a_time, require_tries
from tests.databases import Database

HERE, THERE = "192.0.2.7", "192.0.2.8"


def wrong(n: int, now: datetime, *, name: str = "orla", address: str = HERE) -> int:
    """Try wrongly; return how many tries were let through."""
    through = 0
    for _ in range(n):
        try:
            require_tries(name, address, now)
        except TooManyTries:
            continue
        through += 1
        count_wrong(name, address, now)
    return through


def test_ten_wrong_tries_and_then_one_a_minute(database: Database, now: datetime) -> None:
    assert wrong(30, now) == 10
    assert wrong(5, now + timedelta(seconds=59)) == 0
    assert wrong(5, now + timedelta(seconds=61)) == 1
    with pytest.raises(TooManyTries) as told:
        require_tries("orla", HERE, now + timedelta(seconds=61))
    assert 58 <= told.value.wait_s <= 60


def test_the_same_name_from_elsewhere_is_not_held_up(database: Database, now: datetime) -> None:
    wrong(30, now)
    require_tries("orla", THERE, now)
    require_tries("tam", HERE, now)


def test_an_address_has_a_hundred_an_hour_whatever_the_name(database: Database, now: datetime) -> None:
    assert sum(wrong(1, now, name=f"n{n}") for n in range(150)) == 100
    require_tries("orla", THERE, now)
    require_tries("new", HERE, now + timedelta(seconds=37))


def test_a_house_with_many_addresses_is_one(database: Database, now: datetime) -> None:
    assert wrong(10, now, address="2000:0:1:2::1") == 10
    assert wrong(1, now, address="2000:0:1:2:ffff::9") == 0
    assert wrong(1, now, address="2000:0:1:3::1") == 1
    wrong(10, now, address="::ffff:192.0.2.7")
    assert wrong(1, now, address=HERE) == 0


@pytest.mark.parametrize("network", ["fe80::", "fd12:3456:789a:1::", "2001:db8:1:2::"])
def test_phones_beside_each_other_on_a_network_of_ones_own_are_not_one(
    network: str, database: Database, now: datetime
) -> None:
    assert wrong(30, now, address=f"{network}1") == 10
    assert wrong(1, now, address=f"{network}2") == 1


def test_a_name_is_one_however_it_is_typed(database: Database, now: datetime) -> None:
    wrong(10, now, name="Orla")
    assert wrong(1, now, name=" orla ") == 0


def test_a_clock_that_goes_back_gives_no_tries(database: Database, now: datetime) -> None:
    wrong(10, now)
    assert wrong(1, now - timedelta(hours=9)) == 0


def test_full_buckets_are_forgotten(database: Database, now: datetime) -> None:
    wrong(1, now)
    forget_tries(now=now + timedelta(minutes=90))
    assert Tries.objects.exists()
    forget_tries(now=now + timedelta(hours=3))
    assert not Tries.objects.exists()


def test_one_waits_at_the_door_and_the_next_is_told_at_once() -> None:
    from threading import Event, Thread

    inside, leave = Event(), Event()

    def hold() -> None:
        with one_at_a_time():
            inside.set()
            leave.wait(5)

    def wait() -> None:
        with one_at_a_time():
            pass

    first, second = Thread(target=hold), Thread(target=wait)
    first.start()
    assert inside.wait(5)
    second.start()
    while second.is_alive() and not _is_full():
        pass
    with pytest.raises(DoorBusy), one_at_a_time():
        pass
    leave.set()
    first.join(5)
    second.join(5)
    with one_at_a_time():
        pass


def _is_full() -> bool:
    from slipwright.records.services import throttle

    return throttle._NEXT._value == 0
