"""Which measures a garden reads first."""

from __future__ import annotations

from slipwright.outputs.measures import First
from slipwright.records.models import Garden


def first_of(garden: Garden) -> First:
    """Return the measures that stand first in a garden."""
    return "us" if garden.units == "us" else "metric"
