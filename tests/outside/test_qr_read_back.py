"""QR codes of printed labels read back by a decoder, from the PDF drawn at the dots of a printer.

Sources: ISO/IEC 18004:2015, *QR Code bar code symbology specification*; the decoder is zxing-cpp,
the drawing poppler's pdftoppm.  150 and 300 dots an inch are whole dots a module, 203 is not.
"""

from __future__ import annotations

import random
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from slipwright.outputs.labels import Label, labels_pdf
from slipwright.outputs.qr import qr_symbol
from slipwright.outputs.sheet import stick_sheet_pdf
from slipwright.outputs.stock import parse_stock
from tests.outputs.making import label, labels, sheet

BASE = "https://garden.example/b/"
CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
DPI = (150, 300)
Draw = Callable[[bytes, int], list[Image.Image]]


def _page(path: Path) -> Image.Image:
    with Image.open(path) as page:
        return page.copy()


@pytest.fixture
def draw(need_program: Callable[[str], str], tmp_path: Path) -> Draw:
    need_program("pdftoppm")

    def drawn(pdf: bytes, dpi: int) -> list[Image.Image]:
        (tmp_path / "labels.pdf").write_bytes(pdf)
        subprocess.run(
            ["pdftoppm", "-r", str(dpi), "-gray", tmp_path / "labels.pdf", tmp_path / f"at{dpi}"], check=True
        )
        return [_page(path) for path in sorted(tmp_path.glob(f"at{dpi}-*.pgm"))]

    return drawn


def _sixteen() -> list[Label]:
    chance = random.Random(20)
    return [label(code="".join(chance.choice(CROCKFORD) for _ in range(8))) for _ in range(16)]


def _read(pages: list[Image.Image]) -> list[str]:
    found = [code for page in pages for code in zxingcpp.read_barcodes(page)]
    assert all(code.format == zxingcpp.BarcodeFormat.QRCode for code in found)
    assert all(code.ec_level == "Q" for code in found)
    return sorted(code.text for code in found)


@pytest.mark.parametrize("base", ["", BASE])
@pytest.mark.parametrize("stock", ["a4", "letter", "stake", "100x25mm", "25x80mm", "30x42mm"])
@pytest.mark.parametrize("dpi", [*DPI, 203])
def test_every_label_is_read_back(stock: str, base: str, dpi: int, draw: Draw) -> None:
    made = _sixteen()
    printed = labels_pdf(made, parse_stock(stock), title="Labels", garden="Garden", base=base)
    assert _read(draw(printed.pdf, dpi)) == sorted(base.upper() + one.code for one in made)


@pytest.mark.parametrize("stock", ["a4", "stake", "100x25mm", "25x80mm"])
@pytest.mark.parametrize("dpi", DPI)
def test_every_module_is_whole_dots_of_black_or_white(stock: str, dpi: int, draw: Draw) -> None:
    printed = labels_pdf(labels()[:3], parse_stock(stock), title="Labels", garden="Garden", base=BASE)
    for page in draw(printed.pdf, dpi):
        found = zxingcpp.read_barcodes(page)
        assert found
        for code in found:
            rows = qr_symbol(code.text).rows
            if parse_stock(stock).turned:  # text runs upwards: the symbol's right is the page's top
                rows = tuple("".join(column) for column in list(zip(*rows, strict=True))[::-1])
            dots = round(abs(code.position.bottom_right.x - code.position.top_left.x) / len(rows))
            assert dots >= 3 * dpi / 150
            wide = "".join("".join(bit * dots for bit in row) * dots for row in rows)
            wanted = bytes(0 if bit == "1" else 255 for bit in wide)
            corners = (code.position.top_left, code.position.bottom_right)
            left, up = min(corner.x for corner in corners), min(corner.y for corner in corners)
            side = dots * len(rows)
            near = [(left + i, up + j) for i in range(-2, 3) for j in range(-2, 3)]
            assert any(page.crop((x, y, x + side, y + side)).tobytes() == wanted for x, y in near)


def test_an_id_from_elsewhere_is_read_back_as_it_is(draw: Draw) -> None:
    printed = labels_pdf([label(code="rose 7/2019")], parse_stock("stake"), title="Labels", garden="Garden")
    assert _read(draw(printed.pdf, 150)) == ["rose 7/2019"]


@pytest.mark.parametrize("dpi", DPI)
def test_the_code_on_a_stick_sheet_is_read_back(dpi: int, draw: Draw) -> None:
    printed = stick_sheet_pdf(sheet(), base=BASE)
    assert _read(draw(printed.pdf, dpi)) == [BASE.upper() + sheet().code]
