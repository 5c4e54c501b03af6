"""Tables as no desk should write them: every line accounted for, nothing written, soon, in little memory."""

from __future__ import annotations

import csv
import io
import json
import os
import random
import subprocess
import sys
import tempfile
import unicodedata
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slipwright.records.columns import TABLES, table_named
from slipwright.records.tables.loading import load
from slipwright.records.tables.progress import quiet
from slipwright.records.tables.reading import TableReader
from slipwright.records.tables.report import FIRST, LoadReport
from slipwright.records.tables.source import BadSource, Folder, opened
from tests.campaign.conftest import IS_FULL, Parts
from tests.databases import Database, Templates
from tests.records.tables.folders import NOW, SMALL, dumped, loaded, n_rows, the_garden, written, zipped
from tests.records.tables.random_gardens import HOSTILE

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
N_ROWS, N_ROWS_QUICK = 1_000_000, 20_000
MOST_S, MOST_MB = 30, 200
HEADER = "batch,on,n_rooted,n_lost,cause,signs,after,by,note,id"
#: each stands on one line, but for the last, which a quotation mark left open draws over two
BAD_ROWS = (
    "ROSE1,2026-02-30,,,,,,,,",
    "ROSE1,10/11/2026,,,,,,,,",
    "ROSE1,2026-11-10,two,,,,,,,",
    "ROSE1,2026-11-10,1e999,,,,,,,",
    "ROSE1,2026-11-10,-1,,,,,,,",
    "ROSE1,2026-11-10,99999999999999999999,,,,,,,",
    "ROSE1,2026-11-10,,,weather of a kind,,,,,",
    "ROSE1,2026-11-10,,,,,,,",
    "ROSE1,2026-11-10,,,,,,,,,,",
    ",,,,,,,,,x",
    "ROSE1,2026-11-10,,,,,,,ring\x07,",
    'ROSE1,2026-11-10,,,,,,,"2" pots",',
    "ROSE1;2026-11-10;;;;;;;;",
    "ROSE1\t2026-11-10",
    "=cmd|' /C calc'!A0,2026-11-10,NaN,,,,,,,",
    f"ROSE1,2026-11-10,,,,,,,,{'x' * 101}",
    'ROSE1,"2026-11-10\nROSE1,2026-11-11",,,,,,,,',
)


def bad_table(file: Path, n_lines: int) -> tuple[int, list[int]]:
    """Write so many bad lines; return how many rows they are, and the lines of the first."""
    rng = random.Random(20_261_127)
    lines, starts, n, at = [HEADER], [], 0, 2
    with file.open("w", encoding="utf-8", newline="") as page:
        while at < n_lines + 2:
            row = rng.choice(BAD_ROWS)
            if at == n_lines + 1 and "\n" in row:
                continue
            lines.append(row)
            n += 1
            if n <= FIRST:
                starts.append(at)
            at += 1 + row.count("\n")
            if len(lines) > 10_000:
                page.write("\n".join(lines) + "\n")
                lines = []
        page.write("\n".join(lines) + "\n")
    return n, starts


#: reads the tables as the command does, without the time Python takes to begin
ALONE = """
import json, sys, time
import django; django.setup()
from pathlib import Path
from tests.records.tables.folders import NOW
from slipwright.records.tables.loading import load
begun = time.monotonic()
report = load(Path(sys.argv[1]), now=NOW)
took = time.monotonic() - begun
# ru_maxrss begins with what the process that started this one held
status = Path("/proc/self/status").read_text().splitlines()
peak_mb = next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024
looks = report.tables["looks"]
print(json.dumps({"took_s": took, "peak_mb": peak_mb, "rows": looks.rows, "rejected": looks.rejected,
    "n_rejected": report.n_rejected, "lines": [bad.line for bad in report.rejected],
    "without_words": sum(not bad.rule for bad in report.rejected)}))
"""


@SQLITE_ONLY
def test_a_million_bad_lines_are_all_accounted_for(
    database: Database, tmp_path: Path, parts: Callable[[str], Parts]
) -> None:
    kept = parts("table-of-bad-lines")
    for part in kept.of(1, 1):
        n_lines = N_ROWS if IS_FULL else N_ROWS_QUICK
        folder = written(tmp_path / "tables", SMALL)
        n, starts = bad_table(folder / "looks.csv", n_lines)
        done = subprocess.run(
            [sys.executable, "-c", ALONE, str(folder)],
            env=os.environ | {"SLIPWRIGHT_DATABASE_URL": database.url},
            cwd=Path(__file__).parents[2],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        told = json.loads(done.stdout)
        assert (told["rows"], told["rejected"], told["n_rejected"]) == (n, n, n)
        # a row with two faults is told twice
        assert list(dict.fromkeys(told["lines"])) == starts[: len(set(told["lines"]))]
        assert len(told["lines"]) == FIRST
        assert told["without_words"] == 0
        assert set(n_rows().values()) == {0}
        if IS_FULL:
            assert told["took_s"] <= MOST_S, told["took_s"]
            assert told["peak_mb"] <= MOST_MB, told["peak_mb"]
        figures = {name: round(told[name], 1) for name in ("took_s", "peak_mb")}
        kept.done(part, lines=n_lines, rows=n, **figures)


@SQLITE_ONLY
def test_planted_a_reader_that_drops_bad_lines_is_caught(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = written(tmp_path / "tables", SMALL)
    n, _ = bad_table(folder / "looks.csv", 2000)
    whole = TableReader._cells

    def dropping(reader: TableReader) -> Iterator[tuple[int, bool, list[str]]]:
        return (found for found in whole(reader) if found[0] % 7)

    monkeypatch.setattr(TableReader, "_cells", dropping)
    assert load(folder, now=NOW).tables["looks"].rows < n


# --- any lines at all ---------------------------------------------------------------------------------

_BITS = st.sampled_from(
    [
        '"',
        '""',
        ",",
        "\n",
        "\r\n",
        "\r",
        ";",
        "\t",
        "ROSE1",
        "2026-11-10",
        "2",
        "1.5",
        "soft",
        "'",
        "=",
        " ",
        "é",
    ]
)
_SCRAPS = st.lists(_BITS, max_size=60).map("".join)
_BYTES = st.one_of(_SCRAPS.map(str.encode), st.binary(max_size=200))
N_EXAMPLES = 5000 if IS_FULL else 150


def examples(n: int = N_EXAMPLES) -> Any:
    return settings(max_examples=n, deadline=None, database=None, suppress_health_check=list(HealthCheck))


@pytest.fixture(scope="module")
def empty(templates: Templates) -> Iterator[None]:
    """Give a database nothing is ever written to."""
    with templates.copy("sqlite"):
        yield


@given(_SCRAPS)
@examples()
def test_every_line_belongs_to_one_row(scraps: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "looks.csv").write_bytes(f"{HEADER}\n{scraps}".encode())
        report = LoadReport()
        reader = TableReader(Folder(Path(folder), ("looks",)), table_named("looks"), report, quiet)
        assert reader.begin()
        found = [(line, sound) for line, _, sound in reader.rows()]
    lines = [line for line, _ in found]
    faults = {bad.line for bad in report.rejected}
    assert lines == sorted(set(lines)), "no line begins two rows"
    assert faults.isdisjoint(line for line, sound in found if sound), "none is both good and bad"
    assert {line for line, sound in found if not sound} <= faults, "what is bad is told"
    # each line with anything on it stands in a row that is good, or in one that is told
    physical = io.StringIO(f"{HEADER}\n{scraps}", newline="").readlines()
    starts = sorted({*lines, *faults, len(physical) + 1})
    blank = {at for at, text in enumerate(physical, 1) if not text.strip(',\r\n"')}
    before_the_first = set(range(2, starts[0]))
    assert before_the_first <= blank
    count = report.count("looks")
    assert count.rows == len(set(lines) | faults)
    assert count.rejected == len(faults)


@given(_BYTES)
@examples()
def test_no_bytes_break_a_load_or_are_half_taken_in(empty: None, sent: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        tables = SMALL | {"looks": f"{HEADER}\n".encode() + sent + b"\nROSE1,2026-02-30,,,,,,,,\n"}
        report = load(written(Path(folder), tables), now=NOW)
    assert report.n_rejected > 0
    assert report.accepted == 0
    assert all(bad.rule and bad.file for bad in report.rejected)


@given(st.binary(max_size=300), st.integers(0, 400), st.integers(0, 2**32))
@examples(max(200, N_EXAMPLES // 5))
def test_no_worn_zip_breaks_a_load(empty: None, patch: bytes, at: int, seed: int) -> None:
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        file = zipped(Path(folder) / "garden.zip", {f"{name}.csv": text for name, text in SMALL.items()})
        whole = bytearray(file.read_bytes())
        at = min(at, len(whole)) if rng.random() < 0.5 else max(0, len(whole) - at)
        whole[at : at + len(patch)] = patch
        file.write_bytes(whole)
        try:
            with opened(file) as found:
                for name in found.names:
                    with found.open(name) as stream:
                        stream.read()
        except BadSource as error:
            told = [bad.rule for bad in error.remarks]
        else:
            told = ["sound"]
        assert all(told)


@pytest.mark.parametrize(
    "name",
    [
        "looks.csv ",
        "\u202elooks.csv",
        "CON.csv",
        "looks.csv:stream",
        "C:\\looks.csv",
        "photos/../looks.csv",
        "photos/../../etc/passwd",
        "//server/looks.csv",
        "l" * 255,
        "photos/" + "a" * 64 + ".jpg/x",
        "'; DROP TABLE records_look; --.csv",
        "<script>alert(1)</script>.csv",
    ],
)
def test_a_hostile_name_in_a_zip_is_never_a_path(tmp_path: Path, name: str) -> None:
    file = tmp_path / "a.zip"
    with zipfile.ZipFile(file, "w") as archive:
        for table, text in SMALL.items():
            archive.writestr(f"{table}.csv", text)
        archive.writestr(name, "batch,on\n")
    with pytest.raises(BadSource), opened(file):
        pass
    assert [path.name for path in tmp_path.rglob("*")] == ["a.zip"]


# --- encodings ----------------------------------------------------------------------------------------

_SAID = 'place,kind\n"Bench é",bench\n'
TAKEN = ("utf-8", "utf-8-sig", "ascii")
REFUSED = {
    "latin-1": "Latin-1", "cp1252": "Latin-1", "iso8859-15": "Latin-1", "cp1250": "Latin-1",
    "mac-roman": "UTF-8", "cp437": "UTF-8", "cp850": "UTF-8", "cp1257": "UTF-8", "koi8-r": "UTF-8",
    "utf-16": "UTF-16", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16", "utf-32": "UTF-16",
    "utf-32-le": "UTF-16",
    "utf-32-be": "UTF-16", "shift-jis": "UTF-8", "gb18030": "UTF-8",
}  # fmt: skip


@pytest.mark.parametrize("encoding", [*TAKEN, *REFUSED])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_an_encoding_is_taken_or_refused_by_name(
    empty: None, tmp_path: Path, encoding: str, ends: str
) -> None:
    text = _SAID.replace("\n", ends)
    try:
        sent = text.encode(encoding)
    except UnicodeEncodeError:
        sent = text.replace("é", "e" if encoding == "ascii" else "я").encode(encoding, "replace")
    report = load(written(tmp_path / "t", SMALL | {"places": sent}), now=NOW)
    told = [bad.rule for bad in report.rejected if bad.file == "places.csv"]
    if encoding in TAKEN:
        assert told == []
    else:
        assert REFUSED[encoding] in told[0], told


@pytest.mark.parametrize(("sign", "called"), [(";", "semicolons"), ("\t", "tabs")])
def test_other_separators_are_refused_by_name(empty: None, tmp_path: Path, sign: str, called: str) -> None:
    for name, text in SMALL.items():
        report = load(written(tmp_path / name, SMALL | {name: text.replace(",", sign)}), now=NOW)
        told = [bad for bad in report.rejected if bad.file == f"{name}.csv"]
        assert called in told[0].rule
        assert told[0].line == 1


# --- out again ----------------------------------------------------------------------------------------

FORMULAS = (
    "=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1+1", "=cmd|' /C calc'!A0", '=HYPERLINK("http://x.invalid","y")',
    "'=1+1", "''", "=" * 50, "-", "+", "@", "－1", "＝1+1", "%0A=1", ";=1+1", ",=1+1", '"=1+1', *HOSTILE,
)  # fmt: skip
#: what a spreadsheet takes for the start of a formula
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
NUMBERS = ("integer", "decimal")


@SQLITE_ONLY
def test_no_cell_of_a_hostile_garden_is_a_formula_and_all_comes_back(
    database: Database, templates: Templates, tmp_path: Path
) -> None:
    alike = dict.fromkeys(unicodedata.normalize("NFC", text) for text in FORMULAS)
    names = [text for text in alike if text == text.strip() and "\t" not in text]
    tables: dict[str, str | bytes] = dict(SMALL)
    tables["places"] = _csv(
        "place", "kind", rows=[("Bench 1", "bench"), *((text, "bench") for text in names)]
    )
    tables["members"] = _csv(
        "member", "role", "shown_as", rows=[("wren", "owner", ""), *(("m" + t, "reader", t) for t in names)]
    )
    rows = [("ROSE1", "2026-11-10", text, f"{n}{text}".replace("\t", "")) for n, text in enumerate(FORMULAS)]
    tables["looks"] = _csv("batch", "on", "note", "id", rows=rows)
    loaded(tmp_path / "in", tables)
    out = dumped(the_garden())
    n_hostile = 0
    for table in TABLES:
        kinds = {column.name: column.kind for column in table.columns}
        for row in csv.DictReader(io.StringIO(out[f"{table.name}.csv"].decode(), newline="")):
            for name, cell in row.items():
                if cell.startswith(STARTS):
                    assert kinds[name] in NUMBERS, (table.name, name, cell)
                    float(cell)
                n_hostile += cell.startswith("'")
    assert n_hostile > 20
    with templates.copy("sqlite"):
        loaded(tmp_path / "again", {name.removesuffix(".csv"): data for name, data in out.items()})
        assert dumped(the_garden()) == out


def _csv(*header: str, rows: list[tuple[str, ...]]) -> str:
    page = io.StringIO(newline="")
    writer = csv.writer(page)
    writer.writerow(header)
    # a cell whose first sign is ' loses one when it is read
    writer.writerows(
        [["'" + cell if cell.startswith((*STARTS, "'")) else cell for cell in row] for row in rows]
    )
    return page.getvalue()
