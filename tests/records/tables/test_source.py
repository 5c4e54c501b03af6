"""Folders and zips: what is read, and what is refused before it is inflated or decoded."""

from __future__ import annotations

import copy
import io
import random
import stat
import struct
import zipfile
from pathlib import Path

import pytest

from slipwright.records.tables import source
from slipwright.records.tables.report import Remark
from slipwright.records.tables.source import BadSource, lines_in, opened
from tests.records.tables.folders import SMALL, written, zipped

FILES: dict[str, str | bytes] = {f"{name}.csv": text for name, text in SMALL.items()}


def _read_all(path: Path) -> None:
    with opened(path) as found:
        for name in found.names:
            with found.open(name) as stream:
                lines_in(stream, name)


def refused(path: Path) -> tuple[Remark, ...]:
    with pytest.raises(BadSource) as caught:
        _read_all(path)
    return caught.value.remarks


def test_a_folder_gives_its_tables_in_the_order_they_are_read(tmp_path: Path) -> None:
    with opened(written(tmp_path, SMALL)) as found:
        assert found.names == ("garden", "members", "places", "plants", "batches")
        with found.open("members") as stream:
            assert stream.read().startswith(b"member,role")


def test_a_zip_gives_the_same(tmp_path: Path) -> None:
    with opened(zipped(tmp_path / "garden.zip", FILES)) as found:
        assert found.names == ("garden", "members", "places", "plants", "batches")
        with found.open("members") as stream:
            assert stream.read().startswith(b"member,role")


def test_what_begins_with_a_dot_in_a_folder_is_no_table(tmp_path: Path) -> None:
    written(tmp_path, SMALL)
    (tmp_path / ".DS_Store").write_bytes(b"\0")
    with opened(tmp_path) as found:
        assert len(found.names) == 5


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("look.csv", "is it looks.csv?"),
        ("Looks.CSV", "is it looks.csv?"),
        ("todo.txt", "tables are garden.csv"),
    ],
)
def test_unknown_files_are_refused_by_name(tmp_path: Path, name: str, hint: str) -> None:
    written(tmp_path / "a", SMALL)
    (tmp_path / "a" / name).write_text("x")
    for path in (tmp_path / "a", zipped(tmp_path / "b.zip", FILES | {name: "x"})):
        (bad,) = refused(path)
        assert (bad.file, bad.line) == (name, 0)
        assert hint in bad.rule


def test_a_folder_for_a_table_is_refused(tmp_path: Path) -> None:
    written(tmp_path, SMALL)
    (tmp_path / "looks.csv").mkdir()
    assert [(bad.file, bad.rule) for bad in refused(tmp_path)] == [("looks.csv", "must be a file")]


def test_an_empty_folder_an_empty_zip_and_nothing_at_all_are_refused(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert "the folder is empty" in refused(tmp_path / "empty")[0].rule
    assert "the zip is empty" in refused(zipped(tmp_path / "empty.zip", {}))[0].rule
    assert "there is no such folder or file" in refused(tmp_path / "none")[0].rule


def test_a_single_table_is_refused_with_what_is_wanted(tmp_path: Path) -> None:
    (tmp_path / "looks.csv").write_text("batch,on\n")
    assert "a folder of CSV files, or a .zip" in refused(tmp_path / "looks.csv")[0].rule


# Zips


@pytest.mark.parametrize(
    "name", ["../looks.csv", "/looks.csv", "tables/looks.csv", "..\\looks.csv", "tables/"]
)
def test_a_zip_with_paths_is_refused(tmp_path: Path, name: str) -> None:
    assert "has no folders" in refused(zipped(tmp_path / "a.zip", FILES | {name: "batch,on\n"}))[0].rule


def test_a_table_twice_in_a_zip_is_refused(tmp_path: Path) -> None:
    file = zipped(tmp_path / "a.zip", FILES)
    with zipfile.ZipFile(file, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr("members.csv", "member,role\n")
    assert [(bad.file, bad.rule) for bad in refused(file)] == [
        ("members.csv", "stands in the zip more than once")
    ]


def test_a_link_in_a_zip_is_refused(tmp_path: Path) -> None:
    file = zipped(tmp_path / "a.zip", FILES)
    link = zipfile.ZipInfo("looks.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(file, "a") as archive:
        archive.writestr(link, "/etc/passwd")
    assert "is a link" in refused(file)[0].rule


def test_an_encrypted_member_is_refused(tmp_path: Path) -> None:
    file = zipped(tmp_path / "a.zip", {"members.csv": "member,role\n"})
    data = bytearray(file.read_bytes())
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        where = data.index(mark) + at
        flags = struct.unpack_from("<H", data, where)[0]
        struct.pack_into("<H", data, where, flags | 1)
    file.write_bytes(data)
    assert "is encrypted" in refused(file)[0].rule


def test_more_than_forty_members_are_refused(tmp_path: Path) -> None:
    names = {f"table{n}.csv": "x" for n in range(41)}
    (bad,) = refused(zipped(tmp_path / "a.zip", names))
    assert (bad.value, bad.rule) == ("41", "a zip may hold at most 40 files, pictures apart")


def test_a_member_that_swells_is_refused_before_it_is_inflated(tmp_path: Path) -> None:
    plain = random.Random(1).randbytes(200_000)
    file = zipped(tmp_path / "a.zip", FILES | {"looks.csv": b"\n" * 10_000_000, "notes.csv": plain})
    assert [(bad.file, bad.rule) for bad in refused(file)] == [
        ("looks.csv", "inflates to more than 200 times its size")
    ]


def test_a_zip_whose_members_share_their_bytes_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "a.zip"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("looks.csv", random.Random(1).randbytes(5000) + b"\n" * 700_000)
        shared = copy.copy(archive.filelist[0])
        shared.filename = "acts.csv"
        archive.filelist.append(shared)
    assert [(bad.file, bad.rule) for bad in refused(file)] == [
        ("a.zip", "inflates to more than 200 times its size")
    ]


def test_a_zip_may_inflate_to_so_many_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(source, "MOST_BYTES", 100)
    (bad,) = refused(zipped(tmp_path / "a.zip", FILES))
    assert bad.rule == "a zip may inflate to at most 100 bytes"


def test_an_unusual_packing_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "a.zip"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("members.csv", "member,role\n")
    assert "only stored or deflated" in refused(file)[0].rule


def test_a_member_that_says_it_is_smaller_than_it_is_is_refused(tmp_path: Path) -> None:
    file = zipped(tmp_path / "a.zip", {"members.csv": "member,role\nwren,owner\n"})
    data = bytearray(file.read_bytes())
    struct.pack_into("<I", data, data.index(b"PK\x01\x02") + 24, 5)
    file.write_bytes(data)
    assert "is damaged" in refused(file)[0].rule


def test_a_damaged_zip_is_refused(tmp_path: Path) -> None:
    file = zipped(tmp_path / "a.zip", {"members.csv": "member,role\n" + "wren,owner\n" * 50})
    data = bytearray(file.read_bytes())
    data[60] ^= 0xFF
    file.write_bytes(data)
    assert "is damaged" in refused(file)[0].rule


def test_a_zip_with_a_file_without_a_name_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "a.zip"
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(zipfile.ZipInfo(""), "member,role\n")
    assert "without a name" in refused(file)[0].rule


# Encodings


@pytest.mark.parametrize(
    ("data", "line", "rule"),
    [
        ("member,role\nJosé,owner\n".encode("latin-1"), 2, "it looks like Latin-1"),
        ("member,role\n".encode("utf-16"), 1, "is UTF-16, not UTF-8"),
        ("member,role\n".encode("utf-16-le"), 1, "looks like UTF-16"),
        (b"member,role\nwr\0en,owner\n", 2, "holds a NUL"),
        (b"member,role\nwren,owner\n\xe2\x82", 3, "not UTF-8"),
        (b"member,role\n\xc0\xaf,owner\n", 2, "not UTF-8"),
        (b"member,role\n\xed\xa0\x80,owner\n", 2, "not UTF-8"),
    ],
)
def test_other_encodings_are_refused_with_how_to_mend_it(data: bytes, line: int, rule: str) -> None:
    with pytest.raises(BadSource) as caught:
        lines_in(io.BytesIO(data), "members.csv")
    (bad,) = caught.value.remarks
    assert (bad.file, bad.line) == ("members.csv", line)
    assert rule in bad.rule


def test_the_line_of_a_wrong_byte_is_found_beyond_the_first_chunk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(source, "CHUNK", 7)
    good = "mémoire\n" * 10
    for n in range(1, 9):
        data = ("x" * n + "\n" + good).encode() + b"\xff\n"
        with pytest.raises(BadSource) as caught:
            lines_in(io.BytesIO(data), "a")
        assert caught.value.remarks[0].line == 12
        assert lines_in(io.BytesIO(data[:-2]), "a") == 11


@pytest.mark.parametrize(
    ("data", "n"), [(b"", 0), (b"a", 1), (b"a\n", 1), (b"a\nb", 2), (b"\xef\xbb\xbfa\r\nb\r\n", 2)]
)
def test_lines_are_counted(data: bytes, n: int) -> None:
    assert lines_in(io.BytesIO(data), "a") == n
