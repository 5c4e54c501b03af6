"""Which model of the two clocks this is: what another one learned is not used."""

from __future__ import annotations

import hashlib
from functools import cache

from slipwright.handbook import handbook_mark
from slipwright.rooting.cells import CELLS
from slipwright.rooting.cuttings import LEVEL_SD, TERMS
from slipwright.rooting.spreads import SPREADS, TOGETHER_SCALE, WOOD_SD

#: raise it where the model, the engine or what is kept of a fit is another
FORM = 3


@cache
def model_version() -> str:
    """Return a mark of the model and of all that is believed before any record, the handbook's included."""
    believed = (
        FORM,
        TERMS,
        sorted(LEVEL_SD.items()),
        sorted(SPREADS.items()),
        WOOD_SD,
        TOGETHER_SCALE,
        CELLS,
        handbook_mark(),
    )
    return f"{FORM}-{hashlib.sha256(repr(believed).encode()).hexdigest()[:12]}"
