"""How a garden writes sums of money, and which measures it reads first."""

from __future__ import annotations

from slipwright.craft.figures import FIRM, money, plain
from slipwright.craft.said import joined
from slipwright.outputs.measures import First
from slipwright.records.models import Garden

#: below this, money is told to its smallest coin
_WHOLE = 100


def money_in_words(amount: float, currency: str = "") -> str:
    """Return a sum with its currency: to its smallest coin where it is little, and no round sum."""
    is_whole = abs(amount) >= _WHOLE or round(amount, 2) == round(amount)
    said = plain(amount, 0) if is_whole else money(amount)
    return joined([said, currency], FIRM)


def first_of(garden: Garden) -> First:
    """Return the measures that stand first in a garden."""
    return "us" if garden.units == "us" else "metric"
