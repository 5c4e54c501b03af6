"""What every page must hold, and what the garden's own practice asks of the rose.

Tests named as practice are the garden's rules of thumb: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

import pytest

from slipwright.handbook import (
    MARKS,
    Amount,
    Dose,
    Origin,
    Page,
    Range,
    Season,
    Spread,
    Statement,
    WoodLeaf,
    load_handbook,
)

PAGES = load_handbook().pages
ROSE = next(page for page in PAGES if page.key == "rose")
WOODS = [(page, leaf) for page in PAGES for leaf in page.woods.values()]
BRANDS = re.compile(r"[®™]|\b(inc|ltd|llc|gmbh)\b", re.IGNORECASE)


def everything(thing: object) -> Iterator[object]:
    """Yield a page and all that hangs from it."""
    yield thing
    if isinstance(thing, dict):
        yield from (deeper for value in thing.values() for deeper in everything(value))
    elif isinstance(thing, (tuple, list)):
        yield from (deeper for value in thing for deeper in everything(value))
    elif is_dataclass(thing):
        yield from (deeper for one in fields(thing) for deeper in everything(getattr(thing, one.name)))


def said_of(thing: object) -> str:
    return getattr(thing, "text", "") or repr(thing)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.key)
def test_every_value_has_a_unit_and_a_source_or_a_mark(page: Page) -> None:
    values = [
        one for one in everything(page) if isinstance(one, (Amount, Range, Spread, Dose, Season, Statement))
    ]
    assert len(values) > 50
    for one in values:
        origin = one.origin
        assert bool(origin.sources) != (origin.mark in MARKS), said_of(one)
        if not isinstance(one, (Season, Statement)) and not (isinstance(one, Dose) and one.form == "none"):
            assert one.unit, said_of(one)
    for origin in (one for one in everything(page) if isinstance(one, Origin)):
        assert str(origin)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.key)
def test_every_page_has_all_its_parts(page: Page) -> None:
    for part in ("stock_plant", "collecting", "storing", "hygiene", "winter", "rights", "summary", "title"):
        assert getattr(page, part), part
    assert page.survive_percent is not None
    assert page.n_per_pot is not None
    assert page.common_names
    assert "softwood" in page.woods
    assert page.shoot_word == ("cane" if page.genus == "Rosa" else "shoot")


def test_no_text_names_a_brand_or_an_address() -> None:
    for text in (one for page in PAGES for one in everything(page) if isinstance(one, str)):
        assert not BRANDS.search(text)
        assert "http" not in text
        assert "www" not in text


@pytest.mark.parametrize(
    ("page", "leaf"), WOODS, ids=lambda one: getattr(one, "key", getattr(one, "wood", ""))
)
def test_woods_are_told_in_the_trade_s_order(page: Page, leaf: WoodLeaf) -> None:
    assert leaf.rooted_percent[0].p10 < leaf.rooted_percent[0].p90
    assert all(row.treatment for row in (*leaf.rooted_percent, *leaf.weeks_to_root, *leaf.lost_percent))
    assert leaf.patience_days.value >= 7 * leaf.weeks_to_root[0].p90
    if leaf.wood == "hardwood" and page.leaf_habit == "deciduous":
        assert leaf.leaves == "none"
        assert all(season.opens[0] >= 9 or season.opens[0] == 1 for season in leaf.seasons)
    if leaf.cutting == "tip":
        assert leaf.leaves != "none"


def test_contradicting_sources_stand_side_by_side() -> None:
    assert len({row.origin for row in ROSE.woods["softwood"].rooted_percent}) > 1
    pomegranate = next(page for page in PAGES if page.key == "pomegranate")
    strengths = [dose.high for dose in pomegranate.woods["hardwood"].doses if dose.form == "quick-dip"]
    assert min(strengths) == 500
    assert max(strengths) == 12000


def overlap(low: float, high: float, row: Spread) -> bool:
    return row.p10 <= high and low <= row.p90


def test_practice_rose_softwood_is_not_taken_before_the_spring_bloom() -> None:
    assert ROSE.bloom.flowers == "repeat"
    assert ROSE.woods["softwood"].seasons[0].opens > ROSE.bloom.bloom.opens
    assert ROSE.bloom.gap_before_days.value > 0
    assert ROSE.bloom.gap_after_days.value <= 0


def test_practice_rose_semi_hardwood_is_open_on_20_october() -> None:
    season = ROSE.woods["semi-hardwood"].seasons[0]
    assert season.opens < (10, 20) < season.closes
    row = ROSE.woods["semi-hardwood"].rooted_percent[0]
    spent = ROSE.bloom.spent_cost.value * row.p50 / (100 - row.p50)
    assert overlap(60, 80, row)
    assert 60 <= 100 * spent / (1 + spent) <= 80
    assert overlap(4, 8, ROSE.woods["semi-hardwood"].weeks_to_root[0])


def test_practice_rose_pieces_are_short_with_two_nodes() -> None:
    for leaf in ROSE.woods.values():
        assert leaf.cutting == "piece"
        assert (leaf.length_mm.low, leaf.length_mm.high) == (75, 125)
        assert leaf.n_nodes.low >= 2


def test_practice_rose_leaves_are_optional_from_early_autumn() -> None:
    assert ROSE.woods["semi-hardwood"].leafless_from == (9, 20)


def test_practice_rose_stub_is_tight() -> None:
    assert ROSE.top_stub_mm.high < 12


def test_practice_rose_is_finished_after_a_year() -> None:
    for leaf in ROSE.woods.values():
        assert overlap(12, 15, leaf.months_to_finished)
        assert 12 <= leaf.months_to_finished.p50 <= 15


def test_practice_dormant_wood_takes_ten_to_sixteen_weeks_and_a_very_woody_base_half_a_year() -> None:
    hardwood = ROSE.woods["hardwood"]
    assert overlap(10, 16, hardwood.weeks_to_root[0])
    assert max(row.p90 for row in hardwood.weeks_to_root) == 26
    assert hardwood.patience_days.value == 182


def test_practice_a_metre_of_cane_gives_six_to_eight_pieces() -> None:
    # Tip and base, about a hand's breadth each, are discarded.
    left_mm = 1000 - 100 - 100
    length = ROSE.woods["semi-hardwood"].length_mm
    middle = (length.low + length.high) / 2
    assert 6 <= left_mm / length.high <= left_mm / middle <= 8


def test_practice_six_to_nine_cuttings_share_a_trade_gallon_of_perlite_and_vermiculite() -> None:
    assert ROSE.n_per_pot is not None
    assert (ROSE.n_per_pot.low, ROSE.n_per_pot.high) == (6, 9)
    for page in PAGES:
        mix = {"peat": 1, "perlite": 1} if page.genus == "Rhododendron" else {"perlite": 1, "vermiculite": 1}
        assert page.medium == mix
