"""The handbook's page of a plant, with the garden's own distance from bloom where it has set one."""

from __future__ import annotations

from typing import Protocol

from slipwright.advice.timing import with_own_gaps
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page


class HasGaps(Protocol):
    """A taxon of a garden, or a stock plant of one."""

    @property
    def taxon(self) -> str:
        """Its botanical name."""

    @property
    def gap_before_bloom_days(self) -> int | None:
        """Days to keep clear before first flower, None as the handbook says."""

    @property
    def gap_after_bloom_days(self) -> int | None:
        """Days to keep clear after last flower, None as the handbook says."""

    @property
    def bloom_gap_reason(self) -> str:
        """Why."""


def page_of_stock(handbook: Handbook, stock: HasGaps) -> Page | None:
    """Return the plant's page, with the garden's own distance from bloom where it has set one."""
    page = handbook.page_of(stock.taxon)
    own = (stock.gap_before_bloom_days, stock.gap_after_bloom_days)
    if page is None or own == (None, None):
        return page
    return with_own_gaps(page, gap_before_days=own[0], gap_after_days=own[1], reason=stock.bloom_gap_reason)
