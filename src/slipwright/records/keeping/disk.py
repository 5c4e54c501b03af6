"""The disk a garden lies on: whether it is a safe place, and how much room is left."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

#: SQLite's locks do not hold over a network (SQLite, "How To Corrupt An SQLite Database File", 2.1).
NETWORK_FILE_SYSTEMS = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "ncpfs", "9p", "ceph", "glusterfs", "lustre"}
    | {"smb2", "fuse.smbnetfs", "fuse.cephfs", "fuse.curlftpfs", "beegfs", "webdav", "afpfs", "macfuse"}
    | {"fuse.sshfs", "fuse.glusterfs", "fuse.rclone", "fuse.s3fs", "fuse.davfs", "davfs"}
)
_MOUNTS = Path("/proc/self/mounts")

#: Warn below this room, or below this share of the disk.
LEAST_BYTES = 500_000_000
LEAST_SHARE = 0.10


def file_system_of(path: Path, mounts: str | None = None) -> str:
    """Return the kind of file system ``path`` lies on; empty where the machine does not say.

    ``mounts`` is the table of mounts, one a line, as Linux gives it.
    """
    if mounts is None:
        if sys.platform == "win32":
            return _on_windows(path)
        mounts = _mounts()
    where = str(path.resolve())
    best, kind = "", ""
    for line in mounts.splitlines():
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        point = parts[1].replace("\\040", " ").replace("\\011", "\t").replace("\\134", "\\")
        inside = where == point or where.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= len(best):
            best, kind = point, parts[2]
    return kind


def _mounts() -> str:
    if _MOUNTS.exists():
        return _MOUNTS.read_text(encoding="utf-8", errors="replace")
    if sys.platform != "darwin":
        return ""
    try:
        said = subprocess.run(["/sbin/mount"], capture_output=True, text=True, timeout=5, check=False).stdout
    except (OSError, subprocess.SubprocessError):
        return ""
    return as_linux_says(said)


def as_linux_says(said: str) -> str:
    r"""Return what macOS's ``mount`` says, a mount a line, in the form Linux has.

    >>> as_linux_says("//bea@shed/garden on /Volumes/the garden (smbfs, nodev)")
    '- /Volumes/the\\040garden smbfs'
    """
    found = (re.fullmatch(r".+? on (/.*) \((\w+)[,)].*", line) for line in said.splitlines())
    return "\n".join(f"- {_escaped(one[1])} {one[2]}" for one in found if one)


def _escaped(point: str) -> str:
    return point.replace("\\", "\\134").replace(" ", "\\040").replace("\t", "\\011")


def _on_windows(path: Path) -> str:
    if sys.platform != "win32":
        return ""
    import ctypes

    anchor = path.resolve().anchor
    if anchor.startswith("\\\\"):
        return "smbfs"
    remote = 4  # DRIVE_REMOTE
    return "smbfs" if ctypes.windll.kernel32.GetDriveTypeW(anchor) == remote else ""


def is_on_network(path: Path, mounts: str | None = None) -> bool:
    """Return whether ``path`` is known to lie on a network file system."""
    return file_system_of(path, mounts) in NETWORK_FILE_SYSTEMS


def refuse_network(file: Path) -> None:
    """Raise unless a SQLite garden may be kept in ``file``."""
    if is_on_network(file):
        raise ValueError(
            f"{file.parent} lies on a network drive ({file_system_of(file)}), where SQLite can lose what is "
            "written; keep the garden on a disk of this machine, or in PostgreSQL"
        )


@dataclass(frozen=True, slots=True)
class Room:
    """Room on a disk, in bytes."""

    free: int
    total: int

    @property
    def percent_free(self) -> int:
        """The share that is free [per cent]."""
        return round(100 * self.free / self.total) if self.total else 0

    @property
    def is_short(self) -> bool:
        """Whether it is time to make room."""
        return self.free < LEAST_BYTES or self.free < LEAST_SHARE * self.total


def room_at(path: Path) -> Room:
    """Return the room on the disk that holds ``path``, or will."""
    while not path.exists():
        path = path.parent
    usage = shutil.disk_usage(path)
    return Room(usage.free, usage.total)


def settle_on_disk(path: Path) -> None:
    """Have the disk itself hold a file, or the names in a folder, before going on."""
    if path.is_dir() and os.name == "nt":
        return  # Windows has no such call for a folder
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
