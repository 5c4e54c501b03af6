"""Numbers as they are written: nobody takes thousands for decimals, in any tongue."""

import pytest

from slipwright.craft.figures import FIRM, plain
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
