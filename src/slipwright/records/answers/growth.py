"""What a garden's pottings and outcomes teach of growing on."""

from __future__ import annotations

from datetime import date

from slipwright.handbook import Handbook
from slipwright.records import selectors
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden
from slipwright.rooting.growing import Growth, learn_growing

#: as the garden stood, and as its pottings and outcomes stood: most of what is written is neither
_AS_OF: Remembered[Growth] = Remembered()
_OF_ENTRIES: Remembered[Growth] = Remembered()


def growth_of(garden: Garden, handbook: Handbook, *, on: date) -> Growth:
    """Return what is known of growing on by a day.

    No query where nothing was written since, one where nothing of growing on was, else two.
    """
    counters = (as_of(garden.last_number, garden.last_edit, on), id(handbook))
    growth = _AS_OF.get(garden.garden, counters)
    if growth is None:
        mark = (garden.last_edit, on, id(handbook), *selectors.grown_mark(garden))
        growth = _OF_ENTRIES.get(garden.garden, mark)
        if growth is None:
            grown = selectors.grown_of(garden, on=on)
            growth = learn_growing(grown, {one.taxon: handbook.page_of(one.taxon) for one in grown})
            _OF_ENTRIES.keep(garden.garden, mark, growth)
        _AS_OF.keep(garden.garden, counters, growth)
    return growth
