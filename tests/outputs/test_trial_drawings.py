"""The bench and the findings of a trial as drawings."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from slipwright.outputs.charts.trial_estimate import ArmFound, trial_difference, trial_shares
from slipwright.outputs.drawings.bench_plan import WIDTH, PotOfTrial, bench_plan


def _bench(arms: int, blocks: int, **pot: str) -> ET.Element:
    rows = [[PotOfTrial("ABCD"[arm], arm, **pot) for arm in range(arms)] for _ in range(blocks)]
    return ET.fromstring(bench_plan(rows, "the bench", [f"block {at + 1}" for at in range(blocks)]))


def _texts(drawing: ET.Element) -> list[str]:
    return [part.text or "" for part in drawing.iter("text")]


def test_every_block_and_every_pot_stands_on_the_bench() -> None:
    drawing = _bench(3, 5)
    assert _texts(drawing).count("C") == 5
    assert "block 5" in _texts(drawing)
    assert float(drawing.attrib["viewBox"].split()[2]) == WIDTH


def test_a_counted_pot_has_its_tick_and_one_that_is_due_a_thick_rim() -> None:
    plain, done, due = (ET.tostring(_bench(2, 1, mark=mark)).decode() for mark in ("", "done", "due"))
    assert "d-tick" in done
    assert "d-tick" not in plain
    assert due.count("d-thick") > plain.count("d-thick")


def test_a_name_is_no_part_of_the_drawing() -> None:
    drawn = trial_shares([ArmFound("<script>", 0.1, 0.2, 0.3)], "t", "in 100")
    assert "<script>" not in drawn
    assert "<script>" in _texts(ET.fromstring(drawn))


def test_the_difference_lies_right_of_the_middle_and_what_would_not_matter_is_shaded() -> None:
    told = {"title": "t", "side_words": ("a", "b"), "rule_words": "more in 100"}
    drawing = ET.fromstring(trial_difference(0.02, 0.1, 0.2, matters=0.1, **told))  # type: ignore[arg-type]
    dot = next(drawing.iter("circle"))
    assert float(dot.attrib["cx"]) > 172
    strip = next(part for part in drawing.iter("rect") if "d-plate" in part.attrib["class"])
    assert float(strip.attrib["x"]) < 172 < float(strip.attrib["x"]) + float(strip.attrib["width"])
    without = trial_difference(0.02, 0.1, 0.2, matters=None, **told)  # type: ignore[arg-type]
    assert "d-plate" not in without


def test_a_difference_of_nearly_all_stays_on_the_rule() -> None:
    told = {"title": "t", "side_words": ("a", "b"), "rule_words": "more in 100"}
    drawing = ET.fromstring(trial_difference(0.7, 0.95, 1.0, matters=0.9, **told))  # type: ignore[arg-type]
    assert all(0 <= float(part.attrib["x2"]) <= 344 for part in drawing.iter("line"))
