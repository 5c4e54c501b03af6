"""The drawings of a season: a want as a bar, room against load, plants ready against what is wanted."""

from __future__ import annotations

import re
from datetime import date, timedelta
from itertools import pairwise

import pytest

from slipwright.outputs.charts.ready_curve import ready_curve
from slipwright.outputs.charts.room_load import FULL, RoomWords, is_full, room_load
from slipwright.outputs.charts.want_bar import WIDTH, want_bar

MONDAY = date(2026, 9, 7)


def rects(drawn: str) -> list[tuple[float, float]]:
    """Return where each rectangle begins and ends."""
    found = re.findall(r'<rect[^>]* x="([\d.]+)"[^>]* width="([\d.]+)"', drawn)
    return [(float(x), float(x) + float(width)) for x, width in found]


def flag_at(drawn: str) -> float:
    found = re.search(r'<line class="d-ink d-thick" x1="([\d.]+)"', drawn)
    assert found is not None
    return float(found[1])


def test_the_dark_part_ends_where_the_pale_one_begins() -> None:
    (_, dark_end), (pale_start, pale_end) = rects(want_bar(20, 14, 22, 27, title=""))
    assert dark_end == pytest.approx(pale_start, abs=0.2)
    assert pale_end > pale_start


@pytest.mark.parametrize(("p10", "is_before"), [(14, True), (21, False)])
def test_the_flag_stands_where_so_many_are_wanted(p10: float, is_before: bool) -> None:
    drawn = want_bar(20, p10, 24, 27, title="")
    assert (rects(drawn)[0][1] < flag_at(drawn)) is is_before


def test_however_many_come_nothing_leaves_the_drawing() -> None:
    drawn = want_bar(20, 900, 1000, 1100, title="")
    assert all(end <= WIDTH for _, end in rects(drawn))
    assert flag_at(drawn) > 0


def test_nothing_to_come_is_a_line_with_a_flag() -> None:
    drawn = want_bar(20, 0, 0, 0, title="")
    assert rects(drawn) == []
    assert "d-solid" in drawn


def room(used: list[float], held: float | None = 2.0) -> str:
    weeks = [(MONDAY + timedelta(weeks=i), one, held) for i, one in enumerate(used)]
    words = RoomWords("Tents", "today", "full", "hold 2 m²")
    on = MONDAY + timedelta(days=9)
    return room_load(weeks, on, name="tent", words=words, day_words=lambda day: f"{day.day}.{day.month}")


def test_only_full_weeks_are_hatched_and_said_to_be_full() -> None:
    assert "url(#full-tent)" not in room([1.0, 0.5, 1.8])
    drawn = room([1.0, 1.99, 2.0])
    hatched = re.search(r'<path class="d-full[^"]*" d="([^"]+)"', drawn)
    assert hatched is not None
    assert hatched[1].count("M") == 2
    assert ">full<" in drawn


def test_the_edge_of_full_is_the_one_stated() -> None:
    assert is_full(FULL * 2.0, 2.0)
    assert not is_full(FULL * 2.0 - 0.01, 2.0)
    assert not is_full(0.0, 0.0)


def test_without_a_limit_no_ceiling_is_drawn() -> None:
    assert "d-ink d-thick" in room([1.0, 2.0])
    assert "d-ink d-thick" not in room([1.0, 2.0], None)


def test_today_is_drawn_only_where_the_weeks_reach_it() -> None:
    assert ">today<" in room([1.0, 1.0, 1.0])
    assert ">today<" not in room([1.0])


def test_dates_on_the_rule_stand_apart() -> None:
    drawn = room([1.0] * 60)
    at = sorted(float(x) for x in re.findall(r'<text(?: class="\w+")? x="([\d.]+)" y="174"', drawn))
    assert len(at) >= 3
    assert all(later - earlier > 40 for earlier, later in pairwise(at))


def test_a_place_without_weeks_is_an_empty_drawing() -> None:
    assert "<path" not in room([])


def test_the_curve_names_what_is_wanted_and_marks_its_day() -> None:
    points = [(MONDAY + timedelta(weeks=4 * i), i, 2 * i, 3 * i) for i in range(8)]
    due = points[-1][0]
    drawn = ready_curve(points, 17, due, title="Ready", day_words=str)
    assert ">17<" in drawn
    flag = re.findall(r'<line class="d-ink d-thick" x1="([\d.]+)"', drawn)
    band = re.search(r'd-enamelwash[^"]*" d="([^"]+)"', drawn)
    assert band is not None
    assert float(flag[0]) == max(float(x) for x in re.findall(r"[ML]([\d.]+) ", band[1]))


def test_one_point_is_no_curve() -> None:
    assert "<path" not in ready_curve([(MONDAY, 0, 0, 0)], 5, MONDAY, title="", day_words=str)
