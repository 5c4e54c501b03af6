"""A value without unit or origin, out of order or out of bounds is refused where it stands."""

from __future__ import annotations

import pytest

from slipwright.handbook import HandbookError
from tests.handbook.smallest import BLOOM, GENUS, HARDWOOD, assert_slip_is_found, read, slip, swapped

SLIPS = [
    slip(
        "unknown key of a value",
        'closes = "5 Jul", stage',
        'closes = "5 Jul", colour = "red", stage',
        f"{BLOOM}.season.colour",
        "is not a key",
    ),
    slip(
        "missing end of a range",
        "length_mm = { low = 100, high = 200",
        "length_mm = { low = 100",
        f"{HARDWOOD}.length_mm.high",
        "is missing",
    ),
    slip(
        "missing treatment",
        'treatment = "mist", ',
        "",
        f"{HARDWOOD}.rooted_percent[2].treatment",
        "is missing",
    ),
    slip(
        "missing unit",
        'unit = "mm", mark = "from memory" }\nn_nodes',
        'mark = "from memory" }\nn_nodes',
        f"{HARDWOOD}.length_mm.unit",
        "is missing",
    ),
    slip(
        "wrong unit",
        'high = 10, unit = "mol/m2/day"',
        'high = 10, unit = "lux"',
        f"{HARDWOOD}.light_mol_m2_day.unit",
        "must be one of mol/m2/day",
    ),
    slip(
        "text for a number",
        "value = 182",
        'value = "182"',
        f"{HARDWOOD}.patience_days.value",
        "must be a number",
    ),
    slip(
        "truth for a number",
        "value = 182",
        "value = true",
        f"{HARDWOOD}.patience_days.value",
        "must be a number",
    ),
    slip(
        "not a number",
        "value = 182",
        "value = nan",
        f"{HARDWOOD}.patience_days.value",
        "must be a finite number",
    ),
    slip(
        "without end",
        "value = 182",
        "value = inf",
        f"{HARDWOOD}.patience_days.value",
        "must be a finite number",
    ),
    slip(
        "text for a list",
        'cover = [ { text = "None.", mark = "from memory" } ]',
        'cover = "None."',
        f"{HARDWOOD}.cover",
        "must be a list",
    ),
    slip(
        "unknown kind of cover",
        'cover_kind = { value = "none"',
        'cover_kind = { value = "hat"',
        f"{HARDWOOD}.cover_kind.value",
        "must be one of closed-bag, loose-tent, frame, none",
    ),
    slip(
        "kind of cover without origin",
        'cover_kind = { value = "none", mark = "from memory" }',
        'cover_kind = { value = "none" }',
        f"{HARDWOOD}.cover_kind",
        "must name either a source or a mark",
    ),
    slip(
        "cover that changes without a word",
        'value = "frame", text = "Under glass."',
        'value = "frame"',
        f"{HARDWOOD}.cover_from[1].text",
        "is missing",
    ),
    slip(
        "all of it buried",
        "buried = { low = 0.5, high = 0.6",
        "buried = { low = 0.5, high = 1",
        f"{HARDWOOD}.buried",
        "must be a share above 0 and below 1",
    ),
    slip(
        "no node above",
        'buried = { low = 0.5, high = 0.6, unit = "share"',
        'buried = { low = 1, high = 4, unit = "nodes"',
        f"{HARDWOOD}.buried",
        "must be whole nodes, at least one, and leave one above",
    ),
    slip(
        "half a node buried",
        'buried = { low = 0.5, high = 0.6, unit = "share"',
        'buried = { low = 0.5, high = 1, unit = "nodes"',
        f"{HARDWOOD}.buried",
        "must be whole nodes",
    ),
    slip(
        "buried in another unit",
        'high = 0.6, unit = "share"',
        'high = 0.6, unit = "mm"',
        f"{HARDWOOD}.buried.unit",
        "must be one of share, nodes",
    ),
    slip(
        "statement for a wood that is none",
        'hazard_notes = [ { text = "Gloves.",',
        'hazard_notes = [ { text = "Gloves.", woods = ["driftwood"],',
        "page.testaria.hazard_notes[1].woods",
        "must be among softwood, semi-hardwood, hardwood",
    ),
    slip(
        "empty list",
        'cover = [ { text = "None.", mark = "from memory" } ]',
        "cover = []",
        f"{HARDWOOD}.cover",
        "must be a list with at least one",
    ),
    slip(
        "text for a table",
        'cover = [ { text = "None.", mark = "from memory" } ]',
        'cover = ["None."]',
        f"{HARDWOOD}.cover[1]",
        "must be a table",
    ),
    slip(
        "more than all",
        "p10 = 20, p50 = 45, p90 = 70",
        "p10 = 20, p50 = 45, p90 = 101",
        f"{HARDWOOD}.rooted_percent[1].p90",
        "must be between 0 and 100",
    ),
    slip(
        "less than none",
        "p10 = 20, p50 = 45, p90 = 70",
        "p10 = -1, p50 = 45, p90 = 70",
        f"{HARDWOOD}.rooted_percent[1].p10",
        "must be between 0 and 100",
    ),
    slip(
        "p10 above p50",
        "p10 = 20, p50 = 45, p90 = 70",
        "p10 = 46, p50 = 45, p90 = 70",
        f"{HARDWOOD}.rooted_percent[1]",
        "p10, p50 and p90 in rising order",
    ),
    slip(
        "p50 above p90",
        "p10 = 8, p50 = 12, p90 = 18",
        "p10 = 8, p50 = 19, p90 = 18",
        f"{HARDWOOD}.weeks_to_root[1]",
        "p10, p50 and p90 in rising order",
    ),
    slip(
        "first row without a spread",
        "p10 = 20, p50 = 45, p90 = 70",
        "p10 = 45, p50 = 45, p90 = 45",
        f"{HARDWOOD}.rooted_percent[1]",
        "must have a first row that rises",
    ),
    slip(
        "first row from nought",
        "p10 = 20, p50 = 45, p90 = 70",
        "p10 = 0, p50 = 45, p90 = 70",
        f"{HARDWOOD}.rooted_percent[1]",
        "must have a first row that rises from above 0",
    ),
    slip(
        "first row to all",
        "p10 = 20, p50 = 45, p90 = 70",
        "p10 = 20, p50 = 45, p90 = 100",
        f"{HARDWOOD}.rooted_percent[1]",
        "to below 100",
    ),
    slip(
        "days below nought",
        "p10 = 3, p50 = 7",
        "p10 = -3, p50 = 7",
        f"{HARDWOOD}.weaning_days.p10",
        "must not be below nought",
    ),
    slip(
        "low above high",
        "low = 100, high = 200",
        "low = 300, high = 200",
        f"{HARDWOOD}.length_mm",
        "low no greater than high",
    ),
    slip(
        "length below nought",
        "low = 100, high = 200",
        "low = -1, high = 200",
        f"{HARDWOOD}.length_mm.low",
        "must not be below nought",
    ),
    slip(
        "no node",
        "low = 2, high = 4",
        "low = 0, high = 4",
        f"{HARDWOOD}.n_nodes",
        "must be whole nodes, at least one",
    ),
    slip(
        "half a node",
        "low = 2, high = 4",
        "low = 2, high = 4.5",
        f"{HARDWOOD}.n_nodes",
        "must be whole nodes",
    ),
    slip(
        "rooted and lost above all",
        "p10 = 20, p50 = 40, p90 = 70",
        "p10 = 20, p50 = 56, p90 = 70",
        HARDWOOD,
        "exceed 100 together",
    ),
    slip(
        "patience too short",
        "value = 182",
        "value = 125",
        f"{HARDWOOD}.patience_days.value",
        "must last as long as the slowest row",
    ),
    slip(
        "leafless out of season",
        'leafless_from = { value = "10 Nov"',
        'leafless_from = { value = "10 Oct"',
        f"{HARDWOOD}.leafless_from.value",
        "must lie within one of the seasons",
    ),
    slip(
        "season of no length",
        '{ opens = "1 Nov", closes = "28 Feb"',
        '{ opens = "1 Nov", closes = "1 Nov"',
        f"{HARDWOOD}.seasons",
        "must not open and close on the same day",
    ),
    slip(
        "31 February",
        'opens = "25 May"',
        'opens = "31 Feb"',
        f"{BLOOM}.season.opens",
        "must be a day of that month",
    ),
    slip(
        "month first",
        'opens = "25 May"',
        'opens = "May 25"',
        f"{BLOOM}.season.opens",
        "must be a day and a month",
    ),
    slip(
        "month of another tongue",
        'opens = "25 May"',
        'opens = "25 Mai"',
        f"{BLOOM}.season.opens",
        "must be a day and a month",
    ),
    slip(
        "spent shoot never roots",
        "spent_cost = { value = 0.8",
        "spent_cost = { value = 0",
        f"{BLOOM}.spent_cost.value",
        "must be above 0 and at most 1",
    ),
    slip(
        "spent shoot roots better",
        "spent_cost = { value = 0.8",
        "spent_cost = { value = 1.2",
        f"{BLOOM}.spent_cost.value",
        "must be above 0 and at most 1",
    ),
    slip(
        "talc by the litre",
        'low = 8000, high = 8000, unit = "mg/kg"',
        'low = 8000, high = 8000, unit = "mg/L"',
        f"{HARDWOOD}.doses[1].unit",
        'must be "mg/kg" for the form talc',
    ),
    slip(
        "auxin in no dose",
        'form = "none", auxin = "none"',
        'form = "none", auxin = "iba"',
        f"{HARDWOOD}.doses[2].auxin",
        "auxin none with the form none",
    ),
    slip(
        "dose from nought",
        'low = 8000, high = 8000, unit = "mg/kg"',
        'low = 0, high = 8000, unit = "mg/kg"',
        f"{HARDWOOD}.doses[1]",
        "0 < low <= high",
    ),
    slip(
        "unknown form of hormone",
        'form = "talc"',
        'form = "paint"',
        f"{HARDWOOD}.doses[1].form",
        "must be one of quick-dip",
    ),
    slip(
        "unknown source",
        'source = ["trial", "pots"]',
        'source = ["trial", "hearsay"]',
        f"{HARDWOOD}.rooted_percent[1].source",
        "must be the key of a [[source]]",
    ),
    slip(
        "list of no sources",
        'source = ["trial", "pots"]',
        "source = []",
        f"{HARDWOOD}.rooted_percent[1].source",
        "must be the key of a source",
    ),
    slip(
        "missing origin",
        ', mark = "from memory" }\nn_nodes',
        " }\nn_nodes",
        f"{HARDWOOD}.length_mm",
        "must name either a source or a mark",
    ),
    slip(
        "source and mark",
        ', mark = "from memory" }\nn_nodes',
        ', mark = "from memory", source = "trial" }\nn_nodes',
        f"{HARDWOOD}.length_mm",
        "must name either a source or a mark",
    ),
    slip(
        "unknown mark",
        ', mark = "from memory" }\nn_nodes',
        ', mark = "everybody knows" }\nn_nodes',
        f"{HARDWOOD}.length_mm.mark",
        "must be one of common practice, no source, from memory",
    ),
]


@pytest.mark.parametrize(("old", "new", "where", "rule"), SLIPS)
def test_slip_in_a_value_is_found_and_placed(old: str, new: str, where: str, rule: str) -> None:
    assert_slip_is_found(old, new, where, rule)


def test_error_carries_the_value_found() -> None:
    slipped = swapped(GENUS, "p10 = 20, p50 = 45, p90 = 70", "p10 = 20, p50 = 45, p90 = 101")
    with pytest.raises(
        HandbookError, match=r"p90: must be between 0 and 100 per cent, but found 101"
    ) as caught:
        read(slipped)
    assert caught.value.value == 101


def test_gaps_from_bloom_are_signed() -> None:
    assert read().pages[0].bloom.gap_before_days.value == -10


def test_later_rows_may_be_one_published_figure() -> None:
    row = read().pages[0].woods["hardwood"].rooted_percent[1]
    assert (row.p10, row.p50, row.p90, row.note) == (86, 86, 86, "one figure")


def test_a_value_may_rest_on_several_sources() -> None:
    row = read().pages[0].woods["hardwood"].rooted_percent[0]
    assert [source.key for source in row.origin.sources] == ["trial", "pots"]
    assert str(row.origin) == "A trial, 2001; A page on pots, 1999"
