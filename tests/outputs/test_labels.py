"""Labels on their stock."""

from __future__ import annotations

import re

import pytest

from slipwright.outputs.labels import label_place, labels_pdf
from slipwright.outputs.qr import DOT_MM, qr_symbol
from slipwright.outputs.stock import Stock, StockError, parse_stock
from tests.outputs.making import CODES, LONG_NAME, label, labels

STOCKS = ["a4", "letter", "stake", "100x25mm", "42x18mm", "27x31mm", "25x80mm", "150x100mm"]
SAID = {"title": "Labels, Thursday 10 September 2026", "garden": "Saltmarsh Lane Community Garden"}


@pytest.mark.parametrize("stock", STOCKS)
def test_every_label_is_printed_in_its_copies(stock: str) -> None:
    printed = labels_pdf([*labels(), label(copies=25)], parse_stock(stock), **SAID)
    assert printed.n_labels == 33
    assert printed.n_pages == -(-33 // parse_stock(stock).n_on_paper)
    assert len(re.findall(rb"/Type /Page\b", printed.pdf)) == printed.n_pages


def test_labels_used_before_are_skipped() -> None:
    assert labels_pdf([label(copies=2)], parse_stock("a4"), skip=22, **SAID).n_pages == 1
    assert labels_pdf([label(copies=3)], parse_stock("a4"), skip=22, **SAID).n_pages == 2


def test_several_labels_of_a_batch_share_one_drawn_symbol() -> None:
    printed = labels_pdf([label(copies=12), label(code=CODES[1])], parse_stock("stake"), **SAID)
    assert printed.pdf.count(b"/Subtype /Form") == 2


def test_the_same_labels_give_the_same_bytes() -> None:
    first, second = (labels_pdf(labels(), parse_stock("stake"), **SAID).pdf for _ in range(2))
    assert first == second


def test_what_is_cut_is_told_once_with_its_code() -> None:
    printed = labels_pdf([label(name_runs=LONG_NAME, copies=4)], parse_stock("42x18mm"), **SAID)
    assert len(printed.warnings) == len(set(printed.warnings))
    assert any(
        w.startswith("R3XB-7JME: name cut to fit: Hydrangea macrophylla subsp.") for w in printed.warnings
    )


def test_a_letter_without_a_font_is_told() -> None:
    warnings = labels_pdf([label(place="鉢 7")], parse_stock("stake"), **SAID).warnings
    assert any("鉢" in warning for warning in warnings)


@pytest.mark.parametrize("stock", STOCKS)
@pytest.mark.parametrize("text", ["K7Q2M9T3", "HTTPS://G.EXAMPLE/K7Q2M9T3"])
def test_symbol_and_text_stand_on_the_label_and_not_upon_each_other(stock: str, text: str) -> None:
    made = parse_stock(stock)
    if text.startswith("HTTPS") and stock in ("42x18mm", "27x31mm"):
        with pytest.raises(StockError, match="a shorter address, or labels of at least"):
            label_place(made, qr_symbol(text))
        return
    place = label_place(made, qr_symbol(text))
    left, top, side = place.symbol
    text_left, text_top, width, height = place.text
    assert min(left, top, text_left, text_top) > 0
    assert left + side <= made.label_mm[0] - 1
    assert top + side + DOT_MM <= made.label_mm[1] - 1
    assert text_left + width <= made.label_mm[0]
    assert text_top + height <= made.label_mm[1]
    assert text_left >= left + side or text_top >= top + side
    assert width >= 22
    assert height >= 12.5


def test_modules_grow_with_the_label_to_a_millimetre() -> None:
    side = label_place(parse_stock("150x100mm"), qr_symbol("K7Q2M9T3")).symbol[2]
    assert side / 29 == pytest.approx(1.016)


def test_a_text_too_long_for_the_stock_is_refused() -> None:
    with pytest.raises(StockError) as caught:
        labels_pdf([label()], parse_stock("letter"), base="https://garden.example/" + 60 * "a" + "/", **SAID)
    assert caught.value.value == "letter"


@pytest.mark.parametrize(
    ("made", "skip", "rule"),
    [
        ([], 0, "at least one label"),
        ([label(copies=0)], 0, "copies must be"),
        ([label()], 16, "skip must be"),
    ],
)
def test_nonsense_is_refused(made: list[object], skip: int, rule: str) -> None:
    with pytest.raises(ValueError, match=rule):
        labels_pdf(made, parse_stock("stake"), skip=skip, **SAID)  # type: ignore[arg-type]


def test_a_stock_of_ones_own_may_be_given_by_its_dimensions() -> None:
    own = Stock("own", "sheet", (210, 297), (99, 42), 2, 6, (5, 20), (101, 42))
    assert labels_pdf(labels(), own, **SAID).n_pages == 1
