"""The shoot: textures that stay apart in grey, waiting never drawn as lost, a bracket where one is due."""

from __future__ import annotations

import re

from slipwright.outputs.charts.along_shoot import AlongWords, ShootPart, along_shoot

WORDS = AlongWords("Take the <middle>", "sweet spot", ("0", "5 in 10", "10"))


def part(
    name: str = "Middle", *, counts: tuple[int, int, int, int] = (30, 10, 8, 2), ripe: int = 2
) -> ShootPart:
    return ShootPart(name, "of 50", *counts, (0.5, 0.6, 0.7), ripe)


def test_each_fate_has_a_texture_of_its_own_as_wide_as_it_is_frequent() -> None:
    svg = along_shoot([part()], WORDS)
    for fill in ("along-waiting", "along-lost", "along-away"):
        assert f'id="{fill}"' in svg
    widths = dict(re.findall(r'width="([\d.]+)" height="28" fill="url\(#along-(\w+)\)"', svg))
    assert {name: round(float(wide) / 212 * 50) for wide, name in widths.items()} == {
        "waiting": 10,
        "lost": 8,
        "away": 2,
    }


def test_counts_stand_in_their_bars_where_there_is_room() -> None:
    svg = along_shoot([part(counts=(40, 9, 1, 0))], WORDS)
    written = re.findall(r">(\d+)</text>", svg)
    assert "40" in written
    assert "9" in written
    assert "1" not in written


def test_the_bracket_spans_the_parts_that_do_best_and_no_other() -> None:
    parts = [part("Tip", ripe=0), part("Upper", ripe=1), part("Middle"), part("Base", ripe=4)]
    assert "sweet spot" not in along_shoot(parts, WORDS)
    svg = along_shoot(parts, WORDS, (1, 2))
    assert svg.count("sweet spot") == 1
    top, foot = map(float, re.findall(r"M318 (\d+)H328V(\d+)H318", svg)[0])
    bars = [float(y) for y in re.findall(r'class="d-enamelfill" x="100" y="([\d.]+)"', svg)]
    assert (top, foot) == (bars[1], bars[2] + 28)


def test_words_are_escaped() -> None:
    assert "&lt;middle&gt;" in along_shoot([part("<b>")], WORDS)
    assert "<b>" not in along_shoot([part("<b>")], WORDS)
