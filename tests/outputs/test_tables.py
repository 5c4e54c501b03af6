"""Cells no spreadsheet takes for a formula, CSV row by row, flat zips."""

from __future__ import annotations

import csv
import io
import tracemalloc
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.outputs.tables import FORMULA_STARTS, plain_cell, safe_cell, write_csv, write_zip

TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=40)
STARTS = st.one_of(TEXT, st.builds("".join, st.tuples(st.sampled_from(FORMULA_STARTS), TEXT)))


def _read(pieces: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(pieces.decode("utf-8"), newline="")))


@given(STARTS)
@settings(deadline=None)
def test_a_cell_comes_back_as_it_was(text: str) -> None:
    assert plain_cell(safe_cell(text)) == text


@given(STARTS)
@settings(deadline=None)
def test_no_safe_cell_starts_like_a_formula(text: str) -> None:
    assert safe_cell(text) == text or safe_cell(text) == "'" + text
    assert not safe_cell(text).startswith(tuple("=+-@\t\r\n"))


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("'=1+1", "=1+1"),
        ("''Grey Heron'", "'Grey Heron'"),
        ("Rosa", "Rosa"),
        ("'", ""),
        ("", ""),
        ("-3", "-3"),
    ],
)
def test_exactly_one_quote_is_taken_away(cell: str, text: str) -> None:
    assert plain_cell(cell) == text


@given(st.lists(st.tuples(STARTS, st.integers(-9, 9)), max_size=8))
@settings(deadline=None)
def test_a_table_comes_back_as_it_was(rows: list[tuple[str, int]]) -> None:
    table = [{"note": note, "n": n} for note, n in rows]
    heading, *read = _read(b"".join(write_csv(["note", "n"], table, ["note"])))
    assert heading == ["note", "n"]
    assert [(plain_cell(note), int(n)) for note, n in read] == rows


def test_numbers_stay_numbers_and_none_is_an_empty_cell() -> None:
    pieces = b"".join(write_csv(["a", "b", "c"], [{"a": -3, "b": None}], ["b"]))
    assert pieces == b"a,b,c\r\n-3,,\r\n"


def test_a_carriage_return_inside_a_cell_stays_inside() -> None:
    assert _read(b"".join(write_csv(["a"], [{"a": "x\ry\nz"}], ["a"])))[1] == ["x\ry\nz"]


def test_a_long_table_is_not_held_whole() -> None:
    rows = ({"a": "x" * 100, "b": i} for i in range(20_000))
    tracemalloc.start()
    pieces = sum(len(piece) for piece in write_csv(["a", "b"], rows, ["a"]))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert pieces > 2_000_000
    assert peak < 1_000_000


@pytest.mark.parametrize(
    ("columns", "rows", "text", "rule"),
    [
        (["a", "a"], [], [], "columns must be at least one, each named once"),
        ([], [], [], "columns must be at least one"),
        (["a"], [], ["b"], "text_columns must be among the columns"),
        (["a"], [{"b": 1}], [], "rows must hold no other keys"),
    ],
)
def test_nonsense_is_refused(
    columns: list[str], rows: list[dict[str, object]], text: list[str], rule: str
) -> None:
    with pytest.raises(BadArgument, match=rule):
        list(write_csv(columns, rows, text))


def test_a_bad_column_is_refused_before_anything_is_written() -> None:
    with pytest.raises(BadArgument):
        write_csv(["a"], [], ["b"])


def test_the_same_members_give_the_same_zip(tmp_path: Path) -> None:
    for name in ("one.zip", "two.zip"):
        assert write_zip(tmp_path / name, [("a.csv", [b"a\r\n", b"1\r\n"]), ("b.csv", [])]) == 2
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_a_zip_holds_what_was_put_in(tmp_path: Path) -> None:
    write_zip(tmp_path / "t.zip", iter([("taxa.csv", iter([b"taxon\r\n", b"Rosa\r\n"]))]))
    with zipfile.ZipFile(tmp_path / "t.zip") as archive:
        assert archive.testzip() is None
        assert archive.read("taxa.csv") == b"taxon\r\nRosa\r\n"
        assert archive.getinfo("taxa.csv").date_time == (1980, 1, 1, 0, 0, 0)


@pytest.mark.parametrize(
    "name", ["a/b/c.csv", "A/b.csv", "../a.csv", "", "a\\b.csv", "/a.csv", ".csv", "é.csv"]
)
def test_only_flat_names_go_into_a_zip(name: str) -> None:
    with pytest.raises(BadArgument, match="flat names"):
        write_zip(io.BytesIO(), [(name, [b""])])


def test_a_name_goes_in_once_whatever_its_case() -> None:
    with pytest.raises(BadArgument, match="each once"):
        write_zip(io.BytesIO(), [("a.csv", []), ("A.csv", [])])
