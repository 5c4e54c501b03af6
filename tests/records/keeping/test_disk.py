"""The disk a garden lies on."""

from __future__ import annotations

from pathlib import Path

import pytest

from slipwright.records.keeping.disk import Room, as_linux_says, file_system_of, is_on_network, room_at

MOUNTS = """\
/dev/sda1 / ext4 rw 0 0
tmpfs /tmp tmpfs rw 0 0
nas:/garden /srv/garden nfs4 rw 0 0
//nas/share /srv/shared\\040drive cifs rw 0 0
/dev/sdb1 /srv/garden/local ext4 rw 0 0
me@far: /srv/far fuse.sshfs rw 0 0
nonsense
"""


@pytest.mark.parametrize(
    ("path", "kind", "network"),
    [
        ("/home/ines/garden.sqlite3", "ext4", False),
        ("/srv/garden/garden.sqlite3", "nfs4", True),
        ("/srv/gardens/garden.sqlite3", "ext4", False),
        ("/srv/garden/local/garden.sqlite3", "ext4", False),
        ("/srv/shared drive/garden.sqlite3", "cifs", True),
        ("/srv/far/deep/down/garden.sqlite3", "fuse.sshfs", True),
    ],
)
def test_the_nearest_mount_decides(path: str, kind: str, network: bool) -> None:
    assert file_system_of(Path(path), MOUNTS) == kind
    assert is_on_network(Path(path), MOUNTS) == network


def test_a_machine_that_does_not_say_is_not_blamed() -> None:
    assert file_system_of(Path("/x"), "") == ""
    assert not is_on_network(Path("/x"), "")


@pytest.mark.parametrize(
    ("free", "total", "short"),
    [
        (499_999_999, 1_000_000_000, True),
        (500_000_000, 1_000_000_000, False),
        (9_000_000_000, 100_000_000_000, True),
        (11_000_000_000, 100_000_000_000, False),
    ],
)
def test_room_is_short_below_half_a_gigabyte_or_a_tenth(free: int, total: int, short: bool) -> None:
    assert Room(free, total).is_short == short


def test_room_is_asked_of_the_folder_that_will_hold_it(tmp_path: Path) -> None:
    assert room_at(tmp_path / "not" / "made" / "yet").total == room_at(tmp_path).total > 0


def test_what_a_mac_says_is_read_as_what_linux_says() -> None:
    said = (
        "/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)\n"
        "//bea@shed.local/garden on /Volumes/the garden (smbfs, nodev, nosuid, mounted by bea)\n"
        "a line that says nothing\n"
    )
    mounts = as_linux_says(said)
    assert file_system_of(Path("/Volumes/the garden/garden.sqlite3"), mounts) == "smbfs"
    assert is_on_network(Path("/Volumes/the garden/garden.sqlite3"), mounts)
    assert not is_on_network(Path("/Users/bea/garden.sqlite3"), mounts)
