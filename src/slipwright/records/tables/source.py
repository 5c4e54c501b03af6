"""Where tables are read from: a folder or a flat zip, each file looked at before it is trusted."""

from __future__ import annotations

import codecs
import stat
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import BinaryIO, Protocol

from slipwright.records.columns import TABLES
from slipwright.records.rules import is_picture_name
from slipwright.records.tables.report import Remark, remark

MOST_MEMBERS = 40
MOST_BYTES = 2 * 1024**3
MOST_RATIO = 200
CHUNK = 1 << 20

#: The folder of the pictures that photos.csv names.
PICTURES = "photos"
FILES = {f"{table.name}.csv": table.name for table in TABLES}
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_SAVE = "save it as CSV UTF-8, with commas"


class BadSource(ValueError):
    """The folder or zip cannot be read as tables; ``remarks`` says why, file by file."""

    def __init__(self, remarks: Sequence[Remark]) -> None:
        super().__init__("; ".join(str(remark) for remark in remarks))
        self.remarks = tuple(remarks)


class Source(Protocol):
    """Tables to read."""

    @property
    def names(self) -> tuple[str, ...]:
        """The tables that are there, in the order they are read."""

    @property
    def pictures(self) -> tuple[str, ...]:
        """The names of the pictures that are there."""

    def open(self, table: str) -> BinaryIO:
        """Return the bytes of the file of ``table``."""

    def open_picture(self, name: str) -> BinaryIO:
        """Return the bytes of a picture."""


@dataclass(frozen=True)
class Folder:
    """Tables as files of a folder."""

    path: Path
    names: tuple[str, ...]
    pictures: tuple[str, ...] = ()

    def open(self, table: str) -> BinaryIO:
        """Return the bytes of the file of ``table``."""
        return (self.path / f"{table}.csv").open("rb")

    def open_picture(self, name: str) -> BinaryIO:
        """Return the bytes of a picture."""
        return (self.path / PICTURES / name).open("rb")


@dataclass(frozen=True)
class Archive:
    """Tables as members of a zip."""

    archive: zipfile.ZipFile
    names: tuple[str, ...]
    pictures: tuple[str, ...] = ()

    def open(self, table: str) -> BinaryIO:
        """Return the bytes of the file of ``table``, inflated as they are read."""
        return self._member(f"{table}.csv")

    def open_picture(self, name: str) -> BinaryIO:
        """Return the bytes of a picture."""
        return self._member(f"{PICTURES}/{name}")

    def _member(self, name: str) -> BinaryIO:
        with _only_damage():
            return self.archive.open(name)  # type: ignore[return-value]


@contextmanager
def opened(path: Path) -> Iterator[Source]:
    """Give the tables at ``path``, a folder or a zip; raise ``BadSource`` if it is neither."""
    if path.is_dir():
        yield _folder(path)
    elif path.is_file() and zipfile.is_zipfile(path):
        try:
            with _zip(path) as archive:
                yield Archive(archive, *_members(archive, path))
        except (zipfile.BadZipFile, zlib.error, EOFError) as error:
            raise BadSource([remark(path.name, 0, "", "", f"is damaged: {error}")]) from error
    elif path.exists():
        raise BadSource([remark(path.name, 0, "", "", "must be a folder of CSV files, or a .zip of them")])
    else:
        raise BadSource([remark(str(path), 0, "", "", "there is no such folder or file")])


@contextmanager
def _only_damage() -> Iterator[None]:
    """Let a zip that is not as zips are be a damaged one, whatever it is that cannot be read."""
    try:
        yield
    except (ValueError, RuntimeError, struct.error) as error:  # names that are no text, unknown packings
        raise zipfile.BadZipFile(str(error)) from error


def _zip(path: Path) -> zipfile.ZipFile:
    with _only_damage():
        return zipfile.ZipFile(path)


def _folder(path: Path) -> Folder:
    # Names that begin with a dot are the desk's own and no tables.
    found = sorted(entry.name for entry in path.iterdir() if not entry.name.startswith("."))
    tables = [name for name in found if not (name == PICTURES and (path / name).is_dir())]
    remarks = [unknown for name in tables if (unknown := _unknown(name))]
    remarks += [
        remark(name, 0, "", "", "must be a file")
        for name in tables
        if name in FILES and not (path / name).is_file()
    ]
    if not tables:
        remarks.append(remark(path.name, 0, "", "", f"the folder is empty; {_WHAT}"))
    pictures = sorted(
        entry
        for entry in ((path / PICTURES).iterdir() if len(tables) < len(found) else ())
        if not entry.name.startswith(".")
    )
    remarks += [_no_picture(entry.name) for entry in pictures if not _is_picture(entry)]
    if remarks:
        raise BadSource(remarks)
    return Folder(path, _in_order(tables), tuple(entry.name for entry in pictures))


def _is_picture(entry: Path) -> bool:
    return is_picture_name(entry.name) and entry.is_file() and not entry.is_symlink()


def _no_picture(name: str) -> Remark:
    rule = "is no picture: they are called by the SHA-256 of their bytes, with .jpg behind it"
    return remark(f"{PICTURES}/{name}", 0, "", "", rule)


def _members(archive: zipfile.ZipFile, path: Path) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the tables and the pictures of a zip that keeps all limits; nothing is inflated for it."""
    inside = f"{PICTURES}/"
    members = [member for member in archive.infolist() if member.filename != inside]
    names = [member.filename for member in members]
    if not all(names):
        raise BadSource([remark(path.name, 0, "", "", "is damaged: it holds a file without a name")])
    tables = [name for name in names if not name.startswith(inside)]
    if len(tables) > MOST_MEMBERS:
        rule = f"a zip may hold at most {MOST_MEMBERS} files, pictures apart"
        raise BadSource([remark(path.name, 0, "", len(tables), rule)])
    remarks = [told for member in members for told in _member_faults(member)]
    remarks += [
        remark(name, 0, "", "", "stands in the zip more than once")
        for name in sorted(name for name, n in Counter(names).items() if n > 1)
    ]
    inflated = sum(member.file_size for member in members)
    if inflated > MOST_BYTES:
        remarks.append(remark(path.name, 0, "", inflated, f"a zip may inflate to at most {MOST_BYTES} bytes"))
    if inflated > MOST_RATIO * max(1, path.stat().st_size):
        remarks.append(_swells(path.name))
    if not tables:
        remarks.append(remark(path.name, 0, "", "", f"the zip is empty; {_WHAT}"))
    if remarks:
        raise BadSource(remarks)
    return _in_order(tables), tuple(name.removeprefix(inside) for name in names if name.startswith(inside))


def _member_faults(member: zipfile.ZipInfo) -> Iterator[Remark]:
    name = member.filename
    if name.startswith(f"{PICTURES}/"):
        if not is_picture_name(name.removeprefix(f"{PICTURES}/")):
            yield _no_picture(name.removeprefix(f"{PICTURES}/"))
    elif "/" in name or "\\" in name or member.is_dir():
        yield remark(
            name, 0, "", "", f"a zip of tables has no folders but {PICTURES}: put the files at its top"
        )
    elif unknown := _unknown(name):
        yield unknown
    if member.flag_bits & 0x1:
        yield remark(name, 0, "", "", "is encrypted: make the zip without a password")
    if stat.S_ISLNK(member.external_attr >> 16):
        yield remark(name, 0, "", "", "is a link: put the file itself in the zip")
    if member.compress_type not in _PACKED:
        yield remark(name, 0, "", "", "is packed in an unusual way: only stored or deflated will do")
    if member.header_offset < 0:
        yield remark(name, 0, "", "", "is damaged: it begins before the zip does")
    if member.file_size > MOST_RATIO * max(1, member.compress_size):
        yield _swells(name)


def _swells(name: str) -> Remark:
    return remark(name, 0, "", "", f"inflates to more than {MOST_RATIO} times its size")


def _unknown(name: str) -> Remark | None:
    if name in FILES:
        return None
    near = get_close_matches(name.lower(), FILES, 1)
    hint = f"; is it {near[0]}?" if near else f"; {_WHAT}"
    return remark(name, 0, "", "", f"is not a table{hint}")


_WHAT = f"tables are {', '.join(FILES)}"


def _in_order(names: Sequence[str]) -> tuple[str, ...]:
    return tuple(table for file, table in FILES.items() if file in names)


def lines_in(stream: BinaryIO, file: str) -> int:
    """Return the number of physical lines of a table file.

    Raises ``BadSource`` unless it is UTF-8 throughout and holds no NUL, naming the line and, where
    it can be told, what the file is instead.
    """
    decoder = codecs.getincrementaldecoder("utf-8")()
    n = 0
    last = b""
    while chunk := stream.read(CHUNK):
        if not last and chunk.startswith(_UTF16):
            raise BadSource([remark(file, 1, "", "", f"is UTF-16, not UTF-8: {_SAVE}")])
        if (nul := chunk.find(b"\0")) >= 0:
            raise BadSource([_nul(file, n + 1 + chunk[:nul].count(b"\n"), chunk)])
        try:
            decoder.decode(chunk)
        except UnicodeDecodeError as error:
            # What the decoder kept from the chunk before belongs to the line that goes on here.
            before = max(0, error.start - (len(error.object) - len(chunk)))
            raise BadSource([_not_utf8(file, n + 1 + chunk[:before].count(b"\n"), error)]) from None
        n += chunk.count(b"\n")
        last = chunk
    try:
        decoder.decode(b"", final=True)
    except UnicodeDecodeError as error:
        raise BadSource([_not_utf8(file, n + 1, error)]) from None
    return n + (bool(last) and not last.endswith(b"\n"))


def _nul(file: str, line: int, chunk: bytes) -> Remark:
    if chunk.count(b"\0") > len(chunk) // 4:
        return remark(file, line, "", "", f"looks like UTF-16, not UTF-8: {_SAVE}")
    return remark(file, line, "", "\0", "holds a NUL, which no text does: is the file damaged?")


def _not_utf8(file: str, line: int, error: UnicodeDecodeError) -> Remark:
    wrong = error.object[error.start : error.start + 1]
    rule = f"is not UTF-8 (it looks like Latin-1 or Windows-1252): {_SAVE}"
    return remark(file, line, "", wrong.decode("latin-1"), rule)
