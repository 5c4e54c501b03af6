"""Label stock by name and by dimensions."""

from __future__ import annotations

import pytest

from slipwright.outputs.stock import STOCKS, StockError, least_roll_mm, parse_stock


@pytest.mark.parametrize(("name", "n"), [("a4", 24), ("letter", 30), ("stake", 16), (" Stake ", 16)])
def test_sheets_by_name(name: str, n: int) -> None:
    assert parse_stock(name).n_on_paper == n


@pytest.mark.parametrize("name", list(STOCKS))
def test_labels_lie_on_the_paper_and_not_upon_each_other(name: str) -> None:
    stock = STOCKS[name]
    (paper_w, paper_h), (w, h) = stock.paper_mm, stock.label_mm
    corners = list(stock.corners_mm())
    assert len(corners) == len(set(corners)) == stock.n_on_paper
    assert all(x >= 0 and x + w <= paper_w and y >= 0 and y + h <= paper_h for x, y in corners)
    assert stock.pitch_mm[0] >= w
    assert stock.pitch_mm[1] >= h


def test_stakes_lie_where_a4_and_letter_overlap_when_centred() -> None:
    stock = STOCKS["stake"]
    cut = (297.0 - 279.4) / 2
    assert all(y - cut > 5 and y + 28 - cut < 279.4 - 5 for _, y in stock.corners_mm())


@pytest.mark.parametrize("text", ["100x25mm", "100 x 25 mm", "100×25MM", "100.0x25mm"])
def test_a_roll_by_its_dimensions(text: str) -> None:
    stock = parse_stock(text)
    assert (stock.label_mm, stock.kind, stock.n_on_paper, stock.turned) == ((100, 25), "roll", 1, False)


def test_an_upright_label_is_read_along_its_length() -> None:
    stock = parse_stock("25x80mm")
    assert (stock.paper_mm, stock.label_mm, stock.turned) == ((25, 80), (80, 25), True)


@pytest.mark.parametrize(
    "text", ["", "a5", "100x25", "100mm", "-4x20mm", "1e3x20mm", "nanxnanmm", "100x25in"]
)
def test_what_is_no_stock_is_refused_with_the_ways_to_say_it(text: str) -> None:
    with pytest.raises(
        StockError, match="give a4, letter, stake, or width x height such as 100x25mm"
    ) as caught:
        parse_stock(text)
    assert caught.value.value == text


def test_a_label_too_small_for_its_code_is_refused_with_the_least_that_will_do() -> None:
    (wide, high), (narrow, upright) = least_roll_mm()
    with pytest.raises(StockError, match=f"at least {wide}x{high}mm, or {narrow}x{upright}mm"):
        parse_stock("30x15mm")
    for text in (f"{wide}x{high}mm", f"{narrow}x{upright}mm"):
        assert parse_stock(text).kind == "roll"
    for text in (f"{wide - 1}x{high}mm", f"{wide}x{high - 1}mm", f"{narrow}x{upright - 1}mm"):
        with pytest.raises(StockError):
            parse_stock(text)


def test_a_label_larger_than_any_roll_is_refused() -> None:
    with pytest.raises(StockError, match="at most 300 mm"):
        parse_stock("100x301mm")
