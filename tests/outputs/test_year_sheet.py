"""The year on the wall: a word in every bar, no bar upon another, nothing over the edge."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press import year_page
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.year_row import DaysAcross, bars_that_meet, humps_of, lanes_of
from slipwright.outputs.year_sheet import MOST_ROWS, YearBar, YearRow, YearSheet, pages_of, year_sheet_pdf
from tests.outputs.making import LONG_NAME
from tests.outputs.written import Written

SOFT = YearBar("softwood", date(2027, 6, 10), date(2027, 8, 5))
SEMI = YearBar("semi-hardwood", date(2027, 8, 1), date(2027, 11, 15))
HARD = YearBar("hardwood", date(2027, 11, 10), date(2028, 2, 25))
BLOOM = tuple((date(2027, 5, 1) + timedelta(days=day), min(day, 60 - day) / 30) for day in range(0, 61, 4))


def row(**changes: object) -> YearRow:
    usual = YearRow(
        (("Rosa", True),),
        "'Lantern Keeper'",
        own_records=True,
        bars=(SOFT, SEMI, HARD),
        bloom=BLOOM,
        too_near=((date(2027, 4, 1), date(2027, 4, 30)),),
    )
    return replace(usual, **changes)  # type: ignore[arg-type]


def sheet(*rows: YearRow, **changes: object) -> YearSheet:
    return replace(
        YearSheet(2027, rows, "Saltmarsh Lane Community Garden", date(2026, 9, 10)),
        **changes,  # type: ignore[arg-type]
    )


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> Written:
    return Written(monkeypatch)


def test_every_bar_has_its_word_and_the_hump_its_own(written: Written) -> None:
    year_sheet_pdf(sheet(row()))
    for word in ("soft", "semi", "hard"):
        assert list(written).count(word) == 1
    assert list(written).count("bloom") == 2  # under the hump, and in the key


def test_a_bar_too_short_for_its_word_still_has_it(written: Written) -> None:
    short = YearBar("softwood", date(2027, 12, 28), date(2027, 12, 31))
    year_sheet_pdf(sheet(row(bars=(short,), bloom=())))
    assert "soft" in list(written)


def test_a_bar_of_another_year_is_not_drawn(written: Written) -> None:
    year_sheet_pdf(sheet(row(bars=(replace(SOFT, opens_on=date(2028, 6, 1), closes_on=date(2028, 7, 1)),))))
    assert "soft" not in list(written)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_paper_lies_across(paper: str) -> None:
    pdf = year_sheet_pdf(sheet(row()), paper=paper).pdf  # type: ignore[arg-type]
    found = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", pdf)
    assert found
    assert float(found[1]) > float(found[2])


@pytest.mark.parametrize(("n", "pages"), [(1, 1), (9, 1), (12, 1), (13, 2), (200, 17)])
def test_twelve_plants_stand_on_a_page_and_more_are_spread_evenly(n: int, pages: int) -> None:
    parts = pages_of([row()] * n)
    assert len(parts) == pages
    assert sum(map(len, parts)) == n
    assert max(map(len, parts)) <= MOST_ROWS
    assert max(map(len, parts)) - min(map(len, parts)) <= 1


def test_pages_are_numbered_where_there_are_several(written: Written) -> None:
    assert year_sheet_pdf(sheet(*[row()] * 13)).n_pages == 2
    assert "page 2 of 2" in written


def test_woods_that_share_few_days_meet_in_the_middle_of_them() -> None:
    soft, semi, hard = bars_that_meet((SOFT, SEMI, HARD))
    assert soft.closes_on == date(2027, 8, 3)
    assert semi.opens_on == date(2027, 8, 4)
    assert hard.opens_on - semi.closes_on == timedelta(days=1)
    assert lanes_of((soft, semi, hard)) == (0, 0, 0)


@pytest.mark.parametrize("n_rows", [1, 12])
def test_every_word_of_a_row_is_large_enough_for_a_wall(n_rows: int, monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: list[tuple[str, float]] = []

    def note(paper: Paper, runs: list[tuple[str, str]], x: float, y: float, pt: float, *_: object) -> None:
        sizes.append(("".join(text for text, _ in runs), pt))

    monkeypatch.setattr(Paper, "text_centred", note)
    long = replace(SOFT, closes_on=date(2027, 10, 20))
    low = tuple((day, share / 8) for day, share in BLOOM)
    rows = [row(bars=(long, SEMI, HARD), bloom=bloom) for bloom in (BLOOM, low)] * n_rows
    year_sheet_pdf(sheet(*rows[:n_rows]), paper="letter")
    assert {word for word, _ in sizes} >= {"soft", "semi", "hard"}
    assert min(pt for _, pt in sizes) >= 8.0


def test_bars_of_several_lanes_keep_clear_of_the_hump(monkeypatch: pytest.MonkeyPatch) -> None:
    feet: list[float] = []
    tops: list[float] = []
    monkeypatch.setattr(year_page, "draw_bar", lambda _p, _w, _x, top, _wide, high: feet.append(top + high))
    monkeypatch.setattr(
        year_page, "draw_hump", lambda _p, points, _foot: tops.append(min(y for _, y in points))
    )
    long = replace(SOFT, opens_on=date(2027, 4, 20), closes_on=date(2027, 10, 20))
    year_sheet_pdf(sheet(row(bars=(long, SEMI))))
    assert max(feet[:2]) <= tops[0]


def test_woods_that_share_many_days_lie_one_above_the_other() -> None:
    long = replace(SOFT, closes_on=date(2027, 9, 20))
    assert bars_that_meet((long, SEMI)) == [long, SEMI]
    assert lanes_of((long, SEMI)) == (0, 1)


def test_a_bloom_over_the_year_s_end_is_two_humps() -> None:
    days = [date(2027, 1, 1) + timedelta(days=5 * i) for i in range(73)]
    humps = humps_of([(day, 0.8 if day.month in (1, 12) else 0.0) for day in days])
    assert len(humps) == 2


def test_days_are_held_to_the_year() -> None:
    days = DaysAcross(date(2027, 1, 1), date(2027, 12, 31), 60.0, 365.0)
    assert days.at(date(2026, 5, 1)) == 60.0
    assert days.after(date(2027, 1, 1)) == 61.0
    assert days.at(date(2029, 1, 1)) == 425.0


@pytest.mark.parametrize(("own", "other"), [(True, "draw_open_book"), (False, "draw_notebook")])
def test_a_notebook_or_a_book_stands_by_each_name(
    own: bool, other: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[str] = []
    for name in ("draw_notebook", "draw_open_book"):
        monkeypatch.setattr(year_page, name, lambda *_, name=name: drawn.append(name))
    year_sheet_pdf(sheet(row(own_records=own)))
    assert drawn.count(other) == 1  # in the key alone
    assert len(drawn) == 3


def test_a_plant_that_may_not_be_stuck_says_so_in_place_of_bars(written: Written) -> None:
    year_sheet_pdf(sheet(row(bars=(), note="not to be stuck: protected until 2040")))
    assert "protected until 2040" in written
    assert "soft" not in list(written)


def test_long_names_and_another_tongue_keep_to_the_paper(written: Written) -> None:
    def long(text: str) -> str:
        return text if "{" in text else f"{text} {text}"

    rows = [row(name_runs=LONG_NAME, second="'Grandmother Teasdale's Washing Day', Stock plant 12")] * 12
    printed = year_sheet_pdf(sheet(*rows, notes=("A note. " * 40,)), paper="letter", translate=long)
    assert printed.n_pages == 1
    assert printed.warnings == ()


def test_paper_and_plants_are_asked_for() -> None:
    with pytest.raises(BadArgument, match="paper"):
        year_sheet_pdf(sheet(row()), paper="a0")  # type: ignore[arg-type]
    with pytest.raises(BadArgument, match="rows"):
        year_sheet_pdf(sheet())
