"""Numbers as they are written: nobody takes thousands for decimals, in any tongue."""

import pytest

from slipwright.craft.figures import FIRM, money, plain
from slipwright.craft.said import in_tongue


def in_spanish(text):
    return {"{whole}.{part}": "{whole},{part}"}.get(text, text)


@pytest.mark.parametrize(
    ("number", "decimals", "english", "spanish"),
    [
        (3000, 0, "3 000", "3 000"),
        (1234567.25, 2, "1 234 567.25", "1 234 567,25"),
        (0.3, 3, "0.3", "0,3"),
        (8.04, 1, "8", "8"),
        (-1200, 0, "-1 200", "-1 200"),
    ],
)
def test_thousands_stand_apart_and_decimals_follow_the_tongue(number, decimals, english, spanish):
    said = plain(number, decimals)
    assert said == english.replace(" ", FIRM)
    assert in_tongue(said, in_spanish) == spanish.replace(" ", FIRM)


def test_money_is_said_to_its_smallest_coin_only_where_it_is_little_and_not_round():
    said = [money(amount, "EUR").replace(FIRM, " ") for amount in (1234.4, 99.999, 24.0, 7.5, 0.9)]
    assert said == ["1 234 EUR", "100 EUR", "24 EUR", "7.50 EUR", "0.90 EUR"]
    assert money(7.5) == "7.50"
    assert in_tongue(money(7.5, "EUR"), in_spanish) == f"7,50{FIRM}EUR"
