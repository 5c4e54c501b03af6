"""The season report on paper: what it says stands there, and all of it on the paper."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.paper import PAPERS_MM, Paper
from slipwright.outputs._press.report_parts import TablePart
from slipwright.outputs.charts.season import WIDTH, came_to_bar, losses_bars, wants_bars
from slipwright.outputs.season_report import MOST_PLANTS, _Pages, season_report_pdf
from slipwright.outputs.season_told import (
    MOST_WANTS,
    CostLine,
    LossLine,
    PlantLine,
    SeasonReport,
    WantLine,
    came_to_chart,
    losses_chart,
    wants_chart,
)
from tests.outputs.written import Written

DAY = date(2026, 11, 1)
REPORT = SeasonReport(
    "2026",
    date(2026, 1, 1),
    date(2026, 12, 31),
    "Saltmarsh Lane Community Garden",
    "Of 100 cuttings stuck, 60 rooted and 30 were lost; 10 still wait.",
    n_stuck=100,
    n_rooted=60,
    n_lost=30,
    n_waiting=10,
    wants=(WantLine("Gate roses", "Rosa", 30, 24, "finished", DAY, "short", "6 short"),),
    wants_said="The one want that was due is not met.",
    losses=(LossLine("dried", "dried", 20), LossLine("frost", "frost", 10)),
    losses_said="Most were lost to one thing, dried: 20 of 30.",
    plants=(PlantLine("Rosa 'Salt Letter'", "softwood", 2, 100, 60, 30, 10),),
    costs=(CostLine("Gate roses", 24, 26.4, 1.1, 18.5, "17.40 cheaper"),),
    costs_said="Pots came to 26.40 USD.",
    findings=("Cuttings from near the tip are lost twice as fast as those from the middle.",),
    findings_said="From 9 looks at 3 batches.",
    remarks=("Counts do not add up in K7Q2.",),
    made_on=DAY,
)


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> Written:
    return Written(monkeypatch)


def test_all_it_has_to_say_stands_on_it(written: Written) -> None:
    printed = season_report_pdf(REPORT)
    assert printed.n_pages == 1
    for words in (
        "Of 100 cuttings stuck",
        "6 short",
        "24 / 30",
        "dried: 20 of 30",
        "Rosa ‘Salt Letter’",
        "17.40 cheaper",
        "from near the tip",
        "K7Q2",
        "as of 1 Nov 2026",
    ):
        assert words in written, words


def test_in_another_tongue_decimals_stand_after_its_own_sign(written: Written) -> None:
    comma = {"{whole}.{part}": "{whole},{part}"}
    season_report_pdf(REPORT, translate=lambda text: comma.get(text, text))
    assert "1,10" in list(written)
    assert "18,50" in list(written)
    assert "18.50" not in list(written)


def test_what_was_taken_away_has_its_column_where_any_was(written: Written) -> None:
    season_report_pdf(REPORT)
    assert "Taken away" not in " ".join(written)
    gone = replace(REPORT, plants=(replace(REPORT.plants[0], n_removed=7),))
    season_report_pdf(gone)
    assert "Taken away" in " ".join(" ".join(written).split())
    assert "7" in list(written)


def test_no_heading_of_a_table_is_broken_within_a_word(monkeypatch: pytest.MonkeyPatch) -> None:
    wide = {
        "Stuck": "Plantados",
        "rooted": "enraizado",
        "Rooted of 10 decided": "Enraizados de cada 10 decididos",
    }
    heads: list[str] = []
    draw = TablePart.draw

    def note(part: TablePart, paper: Paper, x: float, top: float) -> None:
        heads.extend("".join(t for t, _ in line) for head in part._heads() for line in head.lines)
        draw(part, paper, x, top)

    monkeypatch.setattr(TablePart, "draw", note)
    for n_removed in (0, 3):
        heads.clear()
        plants = (replace(REPORT.plants[0], n_removed=n_removed),)
        season_report_pdf(replace(REPORT, plants=plants), translate=lambda text: wide.get(text, text))
        told = " ".join(heads)
        for word in ("Plantados", "Enraizado", "Enraizados", "decididos"):
            assert word in told, word


def test_a_large_garden_keeps_to_the_paper_and_says_what_is_left_out(written: Written) -> None:
    large = replace(
        REPORT,
        wants=REPORT.wants * 40,
        plants=REPORT.plants * 150,
        findings=REPORT.findings * 6,
        costs=REPORT.costs * 12,
    )
    printed = season_report_pdf(large, paper="letter")
    assert 4 <= printed.n_pages <= 8
    assert f"and {40 - MOST_WANTS} more" in written
    assert f"And {150 - MOST_PLANTS} more: the tables of the garden" in written
    assert "Plant by plant, continued" in written


def test_plants_that_begin_alike_are_told_apart(written: Written) -> None:
    names = (
        "Lavandula angustifolia 'Low Lamp of the Harbour'",
        "Lavandula angustifolia 'Low Tide at Evening'",
    )
    plants = tuple(replace(REPORT.plants[0], taxon=name, n_removed=1) for name in names)
    season_report_pdf(replace(REPORT, plants=plants))
    told = " ".join(written)
    assert "…" not in told
    assert "Harbour" in told
    assert "Evening" in told


def test_every_plant_has_its_row_and_none_lies_below_the_paper() -> None:
    plants = tuple(replace(REPORT.plants[0], taxon=f"Rosa 'Number {n} of Many Roses'") for n in range(57))
    plan = _Pages(replace(REPORT, plants=plants), PAPERS_MM["letter"], str)
    feet, names = [], []
    for page in plan.pages:
        for placed in page:
            feet.append(placed.top + placed.part.height_mm)
            for part in getattr(placed.part, "parts", ()):
                if isinstance(part, TablePart) and part.n_words == 2:
                    names += [row[0] for row in part.rows]
    assert names == [one.taxon for one in plants]
    assert max(feet) <= plan.foot + 0.01


def test_a_season_without_anything_says_that_alone(written: Written) -> None:
    empty = SeasonReport("2026", DAY, DAY, "Garden", "Nothing was stuck in the season 2026.")
    assert season_report_pdf(empty).n_pages == 1
    assert "Why cuttings were lost" not in written
    assert came_to_chart(empty) == losses_chart(empty) == wants_chart(empty) == ""


def test_the_paper_is_asked_for() -> None:
    with pytest.raises(BadArgument, match="paper"):
        season_report_pdf(REPORT, paper="a0")  # type: ignore[arg-type]


def test_each_chart_says_its_finding() -> None:
    assert f'aria-label="{REPORT.answer}"' in came_to_chart(REPORT)
    assert f'aria-label="{REPORT.losses_said}"' in losses_chart(REPORT)
    assert f'aria-label="{REPORT.wants_said}"' in wants_chart(REPORT)


def test_bars_are_as_long_as_their_numbers() -> None:
    wide = [
        float(w) for w in re.findall(r'<rect[^>]* width="([\d.]+)"', losses_bars((("a", 20), ("b", 5)), "t"))
    ]
    assert wide[0] == pytest.approx(4 * wide[1])
    full, there = (
        float(w) for w in re.findall(r'<rect[^>]* width="([\d.]+)"', wants_bars((("a", 15, 30, ""),), "t"))
    )
    assert there == pytest.approx(full / 2)


@pytest.mark.parametrize("numbers", [(1165, 2, 528, 6), (1, 0, 0, 0), (3, 400, 3, 3)])
def test_labels_of_the_bar_stand_apart_and_within_it(numbers: tuple[int, ...]) -> None:
    parts = tuple(
        zip(
            ("rooted", "waiting", "lost", "removed"),
            ("rooted", "waiting", "lost", "removed"),
            numbers,
            strict=True,
        )
    )
    drawn = came_to_bar(parts, "title")
    words = re.findall(r'<text x="([\d.]+)" y="68">(\w+)<', drawn)
    assert [word for _, word in words] == [name for _, name, n in parts if n]
    for (x, word), after in zip(words, [*words[1:], (str(WIDTH), "")], strict=True):
        assert float(x) + 6.3 * len(word) <= float(after[0]) + 1, word


def test_the_lost_part_is_hatched_within_its_own_bounds() -> None:
    drawn = came_to_bar((("rooted", "rooted", 50), ("lost", "lost", 50)), "half")
    ends = [
        float(x)
        for pair in re.findall(r'd-madder d-line" x1="([\d.]+)"[^>]*x2="([\d.]+)"', drawn)
        for x in pair
    ]
    assert ends
    assert min(ends) >= WIDTH / 2 - 0.1
    assert max(ends) <= WIDTH - 0.9


def test_of_ten_is_told_of_what_is_decided_alone() -> None:
    assert PlantLine("Rosa", "softwood", 1, 20, 6, 2, 12).of_ten == 7.5
    assert PlantLine("Rosa", "softwood", 1, 20, 0, 0, 20).of_ten is None
