"""The smallest handbook that passes, for tests that break it one rule at a time."""

from __future__ import annotations

from typing import Any

import pytest

from slipwright.handbook import Handbook, HandbookError, read_handbook

GENERAL = """
[[source]]
key = "pots"
text = "A page on pots, 1999"

[every]
medium = { parts = { perlite = 1, vermiculite = 1 }, unit = "parts by volume", mark = "from memory" }
pot_volume_l = { value = 2.69, unit = "L", source = "pots" }
n_per_pot = { low = 6, high = 9, unit = "cuttings", mark = "from memory" }
stock_plant = [ { text = "Water it.", mark = "from memory" } ]
collecting = [ { text = "In the cool.", mark = "from memory" } ]
storing = [ { text = "Damp.", mark = "from memory" } ]
hygiene = [ { text = "Wash pots.", mark = "from memory" } ]
winter = [ { text = "Keep off frost.", mark = "from memory" } ]
rights = [ { text = "Ask first.", mark = "from memory" } ]
"""

GENUS = """
genus = "Testaria"

[[source]]
key = "trial"
text = "A trial, 2001"

[page.testaria]
title = "Testarias"
summary = "A plant of the tests."
taxa = ["Testaria", "Testaria prima"]
leaf_habit = { value = "deciduous", mark = "from memory" }
shoot_word = "shoot"
prickles = { value = true, mark = "from memory" }
hazards = ["thorns"]
hazard_notes = [ { text = "Gloves.", mark = "from memory" } ]
top_stub_mm = { low = 3, high = 8, unit = "mm", mark = "from memory" }
survive_percent = { p10 = 60, p50 = 80, p90 = 92, unit = "%", treatment = "rooted", mark = "from memory" }

[page.testaria.common_names]
"testbush" = "Testaria"

[page.testaria.older_names]
"Probaria prima" = "Testaria prima"

[page.testaria.bloom]
flowers = "once"
season = { opens = "25 May", closes = "5 Jul", stage = "summer", mark = "from memory" }
gap_before_days = { value = -10, unit = "days", mark = "from memory" }
gap_after_days = { value = 0, unit = "days", mark = "from memory" }
spent_cost = { value = 0.8, unit = "-", mark = "from memory" }
reason = { text = "It tires.", mark = "from memory" }

[page.testaria.hardwood]
cutting = { value = "piece", mark = "from memory" }
seasons = [ { opens = "1 Nov", closes = "28 Feb", stage = "bare", source = "trial" } ]
length_mm = { low = 100, high = 200, unit = "mm", mark = "from memory" }
n_nodes = { low = 2, high = 4, unit = "nodes", mark = "from memory" }
leaves = { value = "none", text = "Bare.", mark = "from memory" }
leafless_from = { value = "10 Nov", text = "From then.", mark = "from memory" }
rooted_percent = [
  { p10 = 20, p50 = 45, p90 = 70, unit = "%", treatment = "pots", source = ["trial", "pots"] },
  { p10 = 86, p50 = 86, p90 = 86, unit = "%", treatment = "mist", source = "trial", note = "one figure" },
]
weeks_to_root = [ { p10 = 8, p50 = 12, p90 = 18, unit = "weeks", treatment = "cold", mark = "from memory" } ]
lost_percent = [ { p10 = 20, p50 = 40, p90 = 70, unit = "%", treatment = "pots", mark = "from memory" } ]
doses = [
  { form = "talc", auxin = "iba", low = 8000, high = 8000, unit = "mg/kg", mark = "from memory" },
  { form = "none", auxin = "none", low = 0, high = 0, unit = "", mark = "from memory" },
]
medium_c = { low = -2, high = 20, unit = "°C", mark = "from memory" }
light_mol_m2_day = { low = 2, high = 10, unit = "mol/m2/day", mark = "from memory" }
cover = [ { text = "None.", mark = "from memory" } ]
cover_kind = { value = "none", mark = "from memory" }
cover_from = [ { day = "1 Dec", value = "frame", text = "Under glass.", mark = "from memory" } ]
buried = { low = 0.5, high = 0.6, unit = "share", mark = "from memory" }
patience_days = { value = 182, unit = "days", mark = "from memory" }
pot_up = { value = "at-once", text = "When rooted.", mark = "from memory" }
weaning_days = { p10 = 3, p50 = 7, p90 = 14, unit = "days", treatment = "shade", mark = "from memory" }
months_to_finished = { p10 = 9, p50 = 14, p90 = 20, unit = "months", treatment = "pots", source = "trial" }
"""

FILE = "testaria.toml"
HARDWOOD = "page.testaria.hardwood"
BLOOM = "page.testaria.bloom"


def read(genus: str = GENUS, general: str = GENERAL) -> Handbook:
    """Read the smallest handbook, or one that differs from it."""
    return read_handbook(general, {FILE: genus})


def swapped(text: str, old: str, new: str) -> str:
    """Put something else in the place of what stands once in a text."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the smallest handbook"
    return text.replace(old, new)


def slip(name: str, old: str, new: str, where: str, rule: str) -> Any:
    """Describe a slip: what it puts in the place of what, where the error points and its rule."""
    return pytest.param(old, new, where, rule, id=name)


def assert_slip_is_found(old: str, new: str, where: str, rule: str) -> None:
    """Check that the reader refuses the slip, says where it stands and which rule it breaks."""
    with pytest.raises(HandbookError) as caught:
        read(swapped(GENUS, old, new))
    assert (caught.value.file, caught.value.where) == (FILE, where)
    assert rule in caught.value.rule
    assert str(caught.value).startswith(f"{FILE}: ")
