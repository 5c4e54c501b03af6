"""The printed handbook leaves nothing out and stays equal to the files it is printed from."""

from __future__ import annotations

from pathlib import Path

import pytest

from slipwright.handbook import COMMON_PRACTICE, Page, load_handbook
from slipwright.handbook.__main__ import main
from slipwright.handbook.printing import handbook_markdown
from tests.handbook.smallest import read

HANDBOOK = load_handbook()
PRINTED = handbook_markdown(HANDBOOK)
DOCUMENT = Path(__file__).parents[2] / "docs" / "handbook.md"


def test_docs_hold_the_handbook_as_it_is() -> None:
    assert DOCUMENT.read_text("utf-8") == PRINTED, "run: python -m slipwright.handbook"


def test_command_writes_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    main([str(tmp_path / "page.md")])
    assert (tmp_path / "page.md").read_text("utf-8") == PRINTED
    (tmp_path / "docs").mkdir()
    monkeypatch.chdir(tmp_path)
    main([])
    assert (tmp_path / "docs" / "handbook.md").read_text("utf-8") == PRINTED


def test_every_source_is_listed_once() -> None:
    listed = PRINTED.partition("## Sources")[2]
    texts = {source.text for source in HANDBOOK.sources}
    assert sum(line[0].isdigit() for line in listed.splitlines() if line) == len(texts)
    for text in texts:
        assert listed.count(f". {text}{'' if text.endswith('?') else '.'}\n") == 1


@pytest.mark.parametrize("page", HANDBOOK.pages, ids=lambda page: page.key)
def test_every_statement_of_a_page_is_printed(page: Page) -> None:
    lists = (
        page.stock_plant, page.collecting, page.storing, page.hygiene, page.winter, page.rights,
        page.hazard_notes, page.notes, page.bloom.notes, (page.bloom.reason,),
    )  # fmt: skip
    for one in (one for found in lists for one in found):
        assert f"{one.text} " in PRINTED


def test_contradictions_stand_one_under_the_other() -> None:
    lines = PRINTED.splitlines()
    first = next(i for i, line in enumerate(lines) if line.startswith("| rooted | about 62 % (38 to 82)"))
    assert lines[first + 1].startswith("| rooted, beside it | about 74 % (66 to 82) | damask rose")


def test_marks_are_shown() -> None:
    assert PRINTED.count(f"*{COMMON_PRACTICE}*") > 500


def test_pages_are_reached_from_the_top() -> None:
    headings = {line.removeprefix("### ") for line in PRINTED.splitlines() if line.startswith("### ")}
    for page in HANDBOOK.pages:
        assert page.title in headings
        assert f"- [{page.title}](#" in PRINTED


def test_both_hemispheres_are_dated_six_months_apart() -> None:
    printed = handbook_markdown(read())
    assert "bare; north 1 Nov to 28 Feb, south 1 May to 28 Aug [[" in printed
    assert "Leafless from 10 Nov (south: 10 May)" in printed


def test_a_single_figure_is_not_given_a_range() -> None:
    printed = handbook_markdown(read())
    assert "| rooted | about 45 % (20 to 70) | pots | [[" in printed
    assert "| rooted, beside it | 86 % | mist; one figure | [[" in printed
