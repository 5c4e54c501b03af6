"""The handbook's ranges beside the published figures they must agree with.

The rows are in ``data/trade-values.csv``, each with its source; the source is named again beside
each check. A range *agrees* with a published one where the two overlap. The first row of a value is
the one the sums use; where it does not agree, the published figure must stand beside it.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from slipwright.handbook import Page, Spread, Wood, load_handbook

FILE = Path(__file__).parent / "data" / "trade-values.csv"
with FILE.open(encoding="utf-8", newline="") as lines:
    PUBLISHED = {row["id"]: row for row in csv.DictReader(lines)}
PAGES = {page.key: page for page in load_handbook().pages}

INCH_MM = 25.4  # exact, international yard and pound agreement 1959
US_GALLON_L = 3.785411784  # exact, 231 cubic inches, NIST Handbook 44, appendix C


def figures(row: str) -> list[float]:
    return [float(figure) for figure in re.findall(r"\d+(?:\.\d+)?", PUBLISHED[row]["value"])]


def agrees(spread: Spread, low: float, high: float) -> bool:
    return spread.p10 <= high and low <= spread.p90


def rows_of(page: str, wood: Wood, value: str) -> Sequence[Spread]:
    found: Sequence[Spread] = getattr(PAGES[page].woods[wood], value)
    return found


# The row the sums use agrees with the published figure.
@pytest.mark.parametrize(
    ("row", "page", "wood"),
    [
        ("R001", "rose", "softwood"),  # Kazanlyk rose, Fiziologiya na Rasteniyata 11(3):38-45
        ("R001", "rose-once", "softwood"),  # the same: the damask rose itself
        ("R016", "sage", "semi-hardwood"),  # Kacar, Azkan, Coplu 2009
        ("R018", "sage", "softwood"),  # Martini and others 2020
        ("R020", "lavender", "softwood"),  # Kremenchuk 2017
        ("R023", "rosemary", "softwood"),  # Bidarnamani and others 2017
        ("R026", "pomegranate", "hardwood"),  # Mehta, Singh, Harsana 2018
        ("R028", "pomegranate", "hardwood"),  # Mehta, Singh, Harsana 2018
    ],
)
def test_share_rooted_agrees_with_the_published_share(row: str, page: str, wood: Wood) -> None:
    published = figures(row)
    assert agrees(rows_of(page, wood, "rooted_percent")[0], min(published), max(published))


# Extremes of a trial, or another end-point: beside the first row, never in its place.
@pytest.mark.parametrize(
    ("row", "page", "wood"),
    [
        ("R002", "rose-once", "hardwood"),  # Ercisli and Guleryuz 1999, best type
        ("R003", "rose-once", "hardwood"),  # Ercisli and Guleryuz 1999, worst type
        ("R002", "rose", "hardwood"),  # the same figures on the page of garden roses
        ("R003", "rose", "hardwood"),
        ("R031", "pomegranate", "hardwood"),  # Kahramanoglu and Umar 2018: sprouted, not rooted
        ("R071", "willow", "hardwood"),  # black willow, Forest Service: alive in the second year
    ],
)
def test_extreme_share_stands_beside_the_first_row(row: str, page: str, wood: Wood) -> None:
    (published,) = figures(row)
    first, *beside = rows_of(page, wood, "rooted_percent")
    assert not agrees(first, published, published)
    assert any(published in (other.p10, other.p90) and other.note for other in beside)


def test_hardwood_of_rose_rootstock_agrees_with_the_share_that_was_marketable() -> None:
    # Davies 1985: fewer than 60 in 100 marketable.
    (most,) = figures("R007")
    page = PAGES["rose-once"]
    rooted = page.woods["hardwood"].rooted_percent[0]
    assert page.survive_percent is not None
    marketable = rooted.p50 * page.survive_percent.p50 / 100
    assert agrees(rooted, 0, most)
    assert marketable < most


@pytest.mark.parametrize(
    ("row", "page", "wood"),
    [
        ("R009", "rose", "softwood"),  # two papers on a garden shrub rose
        ("R025", "rosemary", "softwood"),  # Propagating rosemary by cuttings
        ("R039", "hydrangea", "softwood"),  # Rapid propagation of florists' hydrangea
        ("R072", "weigela", "softwood"),  # University of Illinois Extension
    ],
)
def test_weeks_to_root_agree_with_the_published_weeks(row: str, page: str, wood: Wood) -> None:
    published = figures(row)[1:] if row == "R025" else figures(row)
    assert agrees(rows_of(page, wood, "weeks_to_root")[0], min(published), max(published))


def test_the_slow_kind_of_hydrangea_is_not_given_up() -> None:
    # Rapid propagation of florists' hydrangea: one of three kinds had no adequate roots at 5 weeks.
    leaf = PAGES["hydrangea"].woods["softwood"]
    slowest = max(figures("R039"))
    assert leaf.weeks_to_root[0].p90 > slowest
    assert leaf.patience_days.value > 7 * slowest


def test_days_to_the_first_root_of_rose_stand_beside_the_weeks_to_rooted() -> None:
    # Alano 1979: 11.75 to 19.75 days.
    low, high = (days / 7 for days in figures("R008"))
    first, *beside = rows_of("rose", "softwood", "weeks_to_root")
    assert first.p10 > high
    assert any(
        row.p10 == pytest.approx(low, abs=0.05) and row.p90 == pytest.approx(high, abs=0.05) for row in beside
    )


def test_lavender_is_waited_for_as_long_as_the_trial_waited() -> None:
    # Bona and others 2010: counted at 60 days.
    (days,) = figures("R022")
    leaf = PAGES["lavender-tender"].woods["softwood"]
    assert leaf.weeks_to_root[0].p50 < days / 7 < leaf.patience_days.value / 7
    assert any(row.p50 == pytest.approx(days / 7, abs=0.05) for row in leaf.weeks_to_root)


def test_rose_hardwood_opens_in_the_best_month() -> None:
    # Ercisli and Guleryuz 1999: November the best of three months, 2000 ppm the best strength.
    assert "November" in PUBLISHED["R004"]["value"]
    for key in ("rose", "rose-once"):
        leaf = PAGES[key].woods["hardwood"]
        assert leaf.seasons[0].opens[0] == 11
        assert any(
            dose.form == "quick-dip" and dose.low <= figures("R004")[0] <= dose.high for dose in leaf.doses
        )


def test_rose_length_and_buds_agree_with_the_best_of_nine() -> None:
    # Effect of cutting size, number of buds and potatoes: 15 cm with 2 buds.
    length_cm, buds = figures("R011")
    for key in ("rose", "rose-once"):
        leaf = PAGES[key].woods["semi-hardwood"]
        assert any(one.low <= 10 * length_cm <= one.high for one in (leaf.length_mm, *leaf.other_lengths_mm))
        assert leaf.n_nodes.low <= buds <= leaf.n_nodes.high


def test_rose_softwood_dip_holds_the_better_strength() -> None:
    # Lincoln University thesis: 750 better than 1500 ppm on one node.
    better, worse = figures("R012")
    doses = [dose for dose in PAGES["rose"].woods["softwood"].doses if dose.form == "quick-dip"]
    assert any(dose.low <= better < worse <= dose.high for dose in doses)


def test_pomegranate_dips_hold_the_strengths_and_seconds_tried() -> None:
    # Owais 2010: 10 s, 3000 to 12000 ppm.
    seconds, low, high = figures("R034")
    doses = [dose for dose in PAGES["pomegranate"].woods["hardwood"].doses if dose.seconds]
    assert any(
        (dose.low, dose.high, dose.seconds and dose.seconds.low) == (low, high, seconds) for dose in doses
    )


def test_rosemary_talc_holds_the_best_strength() -> None:
    # Propagating rosemary by cuttings: 0.8 per cent in talc.
    percent = figures("R025")[0]
    talcs = [dose for dose in PAGES["rosemary"].woods["softwood"].doses if dose.form == "talc"]
    assert any(dose.low <= percent * 10_000 <= dose.high for dose in talcs)


def test_rosemary_soft_stems_are_the_thin_ones() -> None:
    # Bidarnamani and others 2017: 1-2 mm better than 3-4 or 5-7 mm.
    thickness = PAGES["rosemary"].woods["softwood"].diameter_mm
    assert thickness is not None
    assert (thickness.low, thickness.high) == (1, 2)
    shares = [
        PAGES["rosemary"].woods[wood].rooted_percent[0].p50
        for wood in ("softwood", "semi-hardwood", "hardwood")
    ]
    assert shares == sorted(shares, reverse=True)


def test_blackcurrant_seasons_and_short_buds_agree_with_the_single_bud_trial() -> None:
    # Propagation of black currants from single-bud cuttings: January to March, about an inch, buds 15 to 22.
    page = PAGES["currant"]
    hardwood = page.woods["hardwood"]
    assert hardwood.seasons[0].closes >= (3, 1)
    assert any(one.high == pytest.approx(INCH_MM, abs=1) for one in hardwood.other_lengths_mm)
    low, high = (int(bud) for bud in figures("R046"))
    assert any(f"buds {low} to {high}" in note.text for note in hardwood.notes)
    assert page.woods["softwood"].seasons[0].opens[0] == 4
    assert page.woods["softwood"].seasons[0].closes[0] == 6
    assert page.woods["softwood"].leaves != "none"


def test_fig_hardwood_agrees_with_both_trials_that_quarrel_over_hormone() -> None:
    # Chalfun and others 2003: 37 of 40 without, 40 of 40 after a weak soak. Sousa and others 2013: less with
    # a strong dose, softwood and hardwood alike.
    bare, soaked = figures("R035")
    leaf = PAGES["fig"].woods["hardwood"]
    first, *beside = leaf.rooted_percent
    assert agrees(first, bare, bare)
    assert {bare, soaked} <= {row.p50 for row in beside if row.note}
    assert PUBLISHED["R036"]["value"] == "reduced rooting"
    for wood in ("softwood", "hardwood"):
        assert PAGES["fig"].woods[wood].doses[0].form == "none"
    soaks = [dose for dose in leaf.doses if dose.form == "soak"]
    assert any(dose.high == 100 and dose.seconds and dose.seconds.low == 24 * 3600 for dose in soaks)
    assert not any(dose.high >= 1000 for dose in leaf.doses)


def test_fig_hardwood_opens_early_because_late_wood_roots_less() -> None:
    # Chalfun and others 2003: April and May in the south are October and November in the north.
    assert PAGES["fig"].woods["hardwood"].seasons[0].opens <= (11, 30)


def test_box_is_waited_for_long_past_the_day_on_which_nothing_had_rooted() -> None:
    # Indolebutyric acid on boxwood propagation: about none at 64 days, 97.5 per cent at 116.
    days = float(re.findall(r"\d+", PUBLISHED["R037"]["quantity"])[0])
    share, later = figures("R069")
    leaf = PAGES["box"].woods["semi-hardwood"]
    first = leaf.weeks_to_root[0]
    assert first.p10 < days / 7 < first.p50 < later / 7 < first.p90
    assert leaf.patience_days.value > later
    assert any(row.p50 == share and row.note for row in leaf.rooted_percent[1:])
    assert leaf.doses[0].form == "none"


def test_willow_holds_the_sizes_of_the_trials_beside_each_other() -> None:
    # White willow, pages 215-224: all lived from 30 cm on, 0.6 to 1.3 cm thick. Ecology and Evolution 2025:
    # in the open field 50 to 100 cm, thicker than 2 cm.
    leaf = PAGES["willow"].woods["hardwood"]
    low, high = figures("R041")
    assert any((row.p10, row.p90) == (low, high) and row.note for row in leaf.rooted_percent[1:])
    assert agrees(leaf.rooted_percent[0], low, high)
    assert leaf.length_mm.high == 300
    assert leaf.diameter_mm is not None
    assert (leaf.diameter_mm.low, leaf.diameter_mm.high) == (6, 13)
    _, shortest, longest = figures("R068")
    assert any((one.low, one.high) == (10 * shortest, 10 * longest) for one in leaf.other_lengths_mm)


def test_forsythia_is_open_all_summer() -> None:
    # Relationships between shoot growth and rooting: well throughout the summer.
    assert "forsythia: all summer" in PUBLISHED["R045"]["value"]
    woods = PAGES["forsythia"].woods
    soft, firm = woods["softwood"].seasons[0], woods["semi-hardwood"].seasons[0]
    assert soft.opens < (6, 1)
    assert firm.opens == (8, 1)
    assert soft.closes == (7, 31)
    assert firm.closes > (8, 31)


def test_forsythia_opens_its_flowers_by_the_published_warmth() -> None:
    # Ohio State University 2018, base 50 F.
    border, hardiest = figures("H010")
    (note,) = PAGES["forsythia"].bloom.notes
    assert f"at {border:g} degree-days" in note.text
    assert f"{border * 5 / 9:.0f} above 10" in note.text
    assert hardiest < border


def test_evergreen_figs_stand_beside_the_best_of_the_trial() -> None:
    # Ahmed and others 2020: 99 per cent, 22 days.
    share, days = figures("R070")
    leaf = PAGES["fig-evergreen"].woods["softwood"]
    assert any(row.p50 == share and row.note for row in leaf.rooted_percent[1:])
    assert agrees(leaf.weeks_to_root[0], days / 7, days / 7)


def test_fuchsia_is_looked_at_when_the_trial_looked() -> None:
    # Tamura and others 2022: evaluated at 20 days, 800 mg/L the best of four strengths and none.
    days, best = figures("R073")
    leaf = PAGES["fuchsia"].woods["softwood"]
    assert leaf.weeks_to_root[0].p10 < days / 7 < leaf.weeks_to_root[0].p90
    assert any(dose.low <= best <= dose.high for dose in leaf.doses if dose.form == "quick-dip")


def test_scented_geranium_agrees_with_perlite_and_shows_the_other_media() -> None:
    # Kumar and Ahmed 2013: coir, perlite, garden soil.
    coir, perlite, soil = figures("R074")
    first, *beside = rows_of("pelargonium-scented", "softwood", "rooted_percent")
    assert agrees(first, perlite, perlite)
    assert {coir, perlite, soil} <= {row.p50 for row in beside}


def test_deciduous_azalea_keeps_the_weeks_length_and_season_of_green_wood() -> None:
    # Cummins 1982: late May to the middle of June, 4 to 6 inches, 6 to 8 weeks, far fewer later.
    *weeks, _, longest = figures("R075")
    leaf = PAGES["azalea-deciduous"].woods["softwood"]
    assert agrees(leaf.weeks_to_root[0], *weeks)
    assert leaf.length_mm.high == pytest.approx(longest * INCH_MM, abs=3)
    assert (5, 15) < leaf.seasons[0].opens < leaf.seasons[0].closes < (6, 25)
    later = PAGES["azalea-deciduous"].woods["semi-hardwood"]
    assert later.rooted_percent[0].p50 < leaf.rooted_percent[0].p50
    assert {leaf.pot_up, later.pot_up} == {"undisturbed-until-spring"}


@pytest.mark.parametrize(
    ("page", "fruit"), [("currant", 0), ("gooseberry", 1), ("fig", 2), ("pomegranate", 3)]
)
def test_chill_hours_are_told_as_the_list_has_them(page: str, fruit: int) -> None:
    # Seller's list of chill hours of fruit trees, generic.
    low, high = figures("H012")[2 * fruit : 2 * fruit + 2]
    assert any(f"{low:g} to {high:g} chill hours" in said.text for said in PAGES[page].winter)


def hardwood_pages() -> list[Page]:
    return [page for page in PAGES.values() if "hardwood" in page.woods and page.leaf_habit == "deciduous"]


@pytest.mark.parametrize("page", hardwood_pages(), ids=lambda page: page.key)
def test_hardwood_form_agrees_with_extension_advice(page: Page) -> None:
    # Iowa State University Extension: 4-12 in, at least 2 nodes, upper cut 1/2-1 in above the bud.
    shortest, longest, *_ = figures("R061")
    leaf = page.woods["hardwood"]
    lengths = (leaf.length_mm, *leaf.other_lengths_mm)
    assert any(one.low <= longest * INCH_MM and shortest * INCH_MM <= one.high for one in lengths)
    assert leaf.n_nodes.low >= 2
    if page.genus != "Rosa" and page.key != "hydrangea-climbing":
        assert page.top_stub_mm.low == pytest.approx(INCH_MM / 2, abs=1)
        assert page.top_stub_mm.high == pytest.approx(INCH_MM, abs=1)


def test_talc_is_given_in_the_strengths_of_the_label() -> None:
    # Product label, generic: 0.1, 0.3 and 0.8 per cent for soft, semi-woody and dormant wood.
    soft, semi, hard = (10_000 * percent for percent in figures("I005"))
    rose = PAGES["rose"].woods
    for wood, strength in (("softwood", soft), ("semi-hardwood", semi), ("hardwood", hard)):
        talc = next(dose for dose in rose[wood].doses if dose.form == "talc")  # type: ignore[index]
        assert (talc.low, talc.high, talc.unit) == (strength, strength, "mg/kg")


def test_pot_is_a_trade_gallon() -> None:
    # Seller's page on nursery pots, generic: 0.71 US gallon.
    (gallons,) = figures("C001")
    for page in PAGES.values():
        assert page.pot_volume_l is not None
        assert page.pot_volume_l.value == pytest.approx(gallons * US_GALLON_L, abs=0.005)


def test_every_copied_row_is_checked() -> None:
    source = "".join(file.read_text("utf-8") for file in Path(__file__).parent.glob("test_*.py"))
    assert [row for row in PUBLISHED if row not in source] == []
