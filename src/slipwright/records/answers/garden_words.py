"""How a garden writes sums of money, and which measures it reads first."""

from __future__ import annotations

from slipwright.craft.figures import FIRM, plain
from slipwright.craft.said import Said, joined
from slipwright.outputs.measures import First
from slipwright.records.models import Garden

#: below this, money is told to its smallest coin
_WHOLE = 100


def money_in_words(amount: float, currency: str = "") -> str:
    """Return a sum with its currency: to its smallest coin where it is little, and no round sum."""
    if abs(amount) >= _WHOLE or round(amount, 2) == round(amount):
        said = plain(amount, 0)
    else:
        whole, part = f"{amount:.2f}".split(".")
        said = Said("{whole}.{part}", whole=whole, part=part)
    return joined([said, currency], FIRM)


def first_of(garden: Garden) -> First:
    """Return the measures that stand first in a garden."""
    return "us" if garden.units == "us" else "metric"
