"""QR symbols: level Q, whole dots, what they hold."""

from __future__ import annotations

import random

import pytest
import segno
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs.qr import DOT_MM, LEAST_DOTS, QrError, on_dots, qr_symbol, qr_text

CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
BASE = "https://garden.example/b/"


def test_a_code_alone_is_the_smallest_symbol() -> None:
    assert qr_symbol("K7Q2M9T3").version == 1
    assert qr_symbol("K7Q2M9T3").side_mm() == pytest.approx(29 * 0.508)


def test_a_module_is_at_least_half_a_millimetre_and_whole_dots() -> None:
    assert LEAST_DOTS * DOT_MM >= 0.5
    assert pytest.approx(6) == LEAST_DOTS * DOT_MM * 300 / 25.4


def test_a_code_and_its_address_are_upper_case_without_the_hyphen() -> None:
    assert qr_text("K7Q2M9T3", BASE) == "HTTPS://GARDEN.EXAMPLE/B/K7Q2M9T3"
    assert qr_text("K7Q2M9T3") == "K7Q2M9T3"


def test_an_id_from_elsewhere_is_kept_as_it_is() -> None:
    assert qr_text("rose 7/2019") == "rose 7/2019"
    assert qr_text("rose 7/2019", BASE) == "HTTPS://GARDEN.EXAMPLE/B/rose%207%2F2019"


@pytest.mark.parametrize("base", ["https://gärten.example/", "two words", "a\nb"])
def test_an_address_that_is_none_is_refused(base: str) -> None:
    with pytest.raises(QrError, match="plain ASCII") as caught:
        qr_text("K7Q2M9T3", base)
    assert caught.value.value == base


def test_a_text_too_long_for_any_symbol_is_refused() -> None:
    with pytest.raises(QrError, match="cannot be a QR code"):
        qr_symbol("x" * 3000)


@pytest.mark.parametrize("base", ["", BASE, "HTTPS://A-LONG-NAME.OF-A-GARDEN.EXAMPLE/SLIPWRIGHT/B/"])
def test_symbols_are_the_encoders_own_at_level_q(base: str) -> None:
    """Built with the mask we choose, the encoder's symbol has our modules, every one."""
    chance = random.Random(7)
    for _ in range(12):
        text = qr_text("".join(chance.choice(CROCKFORD) for _ in range(8)), base)
        ours = qr_symbol(text)
        theirs = [segno.make(text, error="q", boost_error=False, micro=False, mask=mask) for mask in range(8)]
        rows = [tuple("".join(map(str, row)) for row in code.matrix) for code in theirs]
        assert ours.rows in rows
        assert theirs[0].error == "Q"
        assert ours.version == theirs[0].version


def test_a_large_symbol_is_left_to_the_encoder() -> None:
    text = "HTTPS://GARDEN.EXAMPLE/" + "A" * 120
    theirs = segno.make(text, error="q", boost_error=False, micro=False)
    assert qr_symbol(text).rows == tuple("".join(map(str, row)) for row in theirs.matrix)
    assert qr_symbol(text).version >= 7


@given(st.text(CROCKFORD, min_size=8, max_size=8))
@settings(max_examples=40, deadline=None)
def test_rectangles_cover_the_dark_modules_once(code: str) -> None:
    symbol = qr_symbol(code)
    seen = [[0] * symbol.n_modules for _ in symbol.rows]
    for x, y, width, height in symbol.rectangles():
        for j in range(y, y + height):
            for i in range(x, x + width):
                seen[j][i] += 1
    assert ["".join(map(str, row)) for row in seen] == list(symbol.rows)


@given(st.floats(0, 300))
@settings(deadline=None)
def test_dots_are_whole_and_never_before(mm: float) -> None:
    assert on_dots(mm) / DOT_MM == pytest.approx(round(on_dots(mm) / DOT_MM), abs=1e-6)
    assert -1e-6 <= on_dots(mm) - mm < DOT_MM
