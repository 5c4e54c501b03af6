"""The chosen mask is the one of least penalty, by a count made module by module."""

from __future__ import annotations

import random

import pytest

from slipwright.outputs._press.qr_mask import MASKS, Both, _holds_data, grid, number, penalty, read_both


def slow_penalty(rows: list[list[int]]) -> int:
    """ISO/IEC 18004:2015, table 11, in the plainest way; outside the symbol is light."""
    n = len(rows)
    total = 0
    for line in [*rows, *(list(column) for column in zip(*rows, strict=True))]:
        run = 1
        for a, b in zip(line, [*line[1:], -1], strict=True):
            if a == b:
                run += 1
            else:
                total += run - 2 if run >= 5 else 0
                run = 1
        wide = [0] * 4 + line + [0] * 4
        for i in range(4, 4 + n - 6):
            if wide[i : i + 7] == [1, 0, 1, 1, 1, 0, 1]:
                total += 40 if not any(wide[i - 4 : i]) or not any(wide[i + 7 : i + 11]) else 0
    for i in range(n - 1):
        for j in range(n - 1):
            total += 3 * (len({rows[i][j], rows[i][j + 1], rows[i + 1][j], rows[i + 1][j + 1]}) == 1)
    dark = sum(map(sum, rows))
    return total + 10 * int(abs(100 * dark / n**2 - 50) / 5)


@pytest.mark.parametrize("size", [21, 25, 29])
def test_the_quick_penalty_is_the_slow_one(size: int) -> None:
    chance = random.Random(size)
    for share in (0.5, 0.5, 0.8, 0.2):
        for _ in range(6):
            rows = [[int(chance.random() < share) for _ in range(size)] for _ in range(size)]
            rows[3][2:9] = [1, 0, 1, 1, 1, 0, 1]
            rows[3][9:13] = [0, 0, 0, 0]
            assert penalty(read_both(rows), grid(size)) == slow_penalty(rows)


@pytest.mark.parametrize(("version", "bits"), [(1, 208), (2, 359), (3, 567), (4, 807), (5, 1079), (6, 1383)])
def test_the_data_area_has_the_standards_number_of_modules(version: int, bits: int) -> None:
    # ISO/IEC 18004:2015, table 1: data modules, remainder bits included.
    assert grid(17 + 4 * version).data.by_row.bit_count() == bits


def test_masks_lie_on_the_data_area_only() -> None:
    of = grid(25)
    assert len(of.masks) == len(MASKS) == 8
    for mask in of.masks:
        assert mask & of.data == mask
    assert not any(_holds_data(i, 6, 25) for i in range(25))


def test_rows_and_columns_are_two_readings_of_one_symbol() -> None:
    assert read_both([[1, 0], [1, 1]]) == Both(number([[1, 0], [1, 1]]), number([[1, 1], [0, 1]]))
