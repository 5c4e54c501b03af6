"""What poppler reads from the printed pages: every word on the page, none upon another, all fonts inside.

Source: the programs pdftotext and pdffonts of poppler, which read a PDF as a printer's software does.
"""

from __future__ import annotations

import html
import re
import subprocess
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest

from slipwright.outputs.labels import labels_pdf
from slipwright.outputs.sheet import StickSheet, stick_sheet_pdf
from slipwright.outputs.stock import parse_stock
from tests.outputs.making import LONG_NAME, hardwood_cane, labels, lavender_tip, sheet

Word = tuple[float, float, float, float, str]
Need = Callable[[str], str]
PAGE = re.compile(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', re.DOTALL)
WORD = re.compile(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>')
PARTS = (
    "flat top",
    "5 mm (¼ in) above the bud",
    "slant base",
    "all the same way up",
    "tip: leave out",
    "base: leave out",
)
STOCKS = ["a4", "letter", "stake", "100x25mm", "42x18mm", "27x31mm", "150x100mm"]
SHEETS = {
    "rose": sheet(),
    "lavender": sheet(cane=lavender_tip(), code=""),
    "hardwood": sheet(cane=hardwood_cane(), first="us"),
    "long": sheet(name_runs=LONG_NAME, steps=sheet().steps * 4),
    "no cane": sheet(cane=None),
}


def _output(program: str, pdf: bytes, tmp_path: Path, *options: str) -> str:
    (tmp_path / "page.pdf").write_bytes(pdf)
    out = ["-"] if program == "pdftotext" else []
    done = subprocess.run([program, *options, tmp_path / "page.pdf", *out], check=True, capture_output=True)
    return done.stdout.decode("utf-8")


def _words(body: str) -> list[Word]:
    found = WORD.findall(body)
    return [(float(x0), float(y0), float(x1), float(y1), html.unescape(w)) for x0, y0, x1, y1, w in found]


def _faults(pdf: bytes, tmp_path: Path) -> list[str]:
    faults: list[str] = []
    for width, height, body in PAGE.findall(_output("pdftotext", pdf, tmp_path, "-bbox")):
        words = _words(body)
        assert words
        for x0, y0, x1, y1, word in words:
            if x0 < 1 or y0 < 0 or x1 > float(width) - 1 or y1 > float(height):
                faults.append(f"{word} leaves the page")
        for a, b in combinations(words, 2):
            across = min(a[2], b[2]) - max(a[0], b[0])
            down = min(a[3], b[3]) - max(a[1], b[1])
            # Boxes run from the font's highest to its lowest letter, so neighbouring lines touch.
            if across > 0.5 and down > 0.35 * min(a[3] - a[1], b[3] - b[1]):
                faults.append(f"{a[4]} upon {b[4]}")
    return faults


@pytest.mark.parametrize("base", ["", "https://garden.example/b/"])
@pytest.mark.parametrize("stock", STOCKS)
def test_words_on_labels_keep_clear_of_each_other(
    stock: str, base: str, need_program: object, tmp_path: Path
) -> None:
    need_program("pdftotext")
    if base and stock in ("42x18mm", "27x31mm"):
        base = ""
    printed = labels_pdf(labels(), parse_stock(stock), title="Labels", garden="Saltmarsh Lane", base=base)
    assert _faults(printed.pdf, tmp_path) == []


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", list(SHEETS))
def test_words_on_sheets_keep_clear_of_each_other(
    name: str, paper: str, need_program: object, tmp_path: Path
) -> None:
    need_program("pdftotext")
    assert _faults(stick_sheet_pdf(SHEETS[name], paper=paper).pdf, tmp_path) == []  # type: ignore[arg-type]


def test_the_drawn_cane_names_its_parts(need_program: Need, tmp_path: Path) -> None:
    need_program("pdftotext")
    text = " ".join(_output("pdftotext", stick_sheet_pdf(sheet()).pdf, tmp_path, "-layout").split())
    for words in (
        "flat top",
        "5 mm (¼ in) above the bud",
        "slant base",
        "all the same way up",
        "tip: leave out",
        "base: leave out",
    ):
        assert words in text


def test_a_label_bears_its_name_and_code_above_and_below_the_medium(
    need_program: object, tmp_path: Path
) -> None:
    need_program("pdftotext")
    printed = labels_pdf(labels()[:1], parse_stock("stake"), title="Labels", garden="Saltmarsh Lane")
    text = " ".join(_output("pdftotext", printed.pdf, tmp_path, "-raw").split())
    assert text.count("‘Lantern Keeper’") == 2
    assert text.count("R3XB-7JME") == 2
    assert text.count("stuck 10 Sep 2026") == 2


@pytest.mark.parametrize("made", [sheet(), sheet(common_name="τριανταφυλλιά")])
def test_all_fonts_are_embedded(made: StickSheet, need_program: Need, tmp_path: Path) -> None:
    need_program("pdffonts")
    for pdf in (
        stick_sheet_pdf(made).pdf,
        labels_pdf(labels(), parse_stock("a4"), title="L", garden="G").pdf,
    ):
        fonts = _output("pdffonts", pdf, tmp_path).splitlines()[2:]
        assert len(fonts) >= 4
        assert all(line.split()[-5:-2] == ["yes", "yes", "yes"] for line in fonts)
