"""All papers on one page, and those for the wall and for learners as they are shown and printed."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.models import Garden, Member, Plant
from tests.records.making import stick
from tests.web.test_papers import size_of


@pytest.fixture
def lost(garden: Garden, grower: Member, now: datetime) -> str:
    """Give the code of a batch of which some rooted and some were lost."""
    batch = stick(garden, grower, now, stuck_on=date(2025, 5, 1), want="roses-27").batch
    who = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=batch, on=date(2025, 6, 1), n_rooted=8, n_lost=3, cause="dried")  # type: ignore[arg-type]
    return batch


def page(client: Client, path: str, /, **asked: str | int) -> str:
    answer = client.get(path, asked)
    assert answer.status_code == 200
    return answer.content.decode()


def pdf(client: Client, path: str, /, **asked: str | int) -> bytes:
    answer = client.get(path, asked)
    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"].startswith("inline")
    return answer.content


def test_every_paper_is_named_with_what_it_is_for(client: Client) -> None:
    text = page(client, "/papers")
    for paper in (
        "Year sheet",
        "How-to",
        "season report",
        "Labels",
        "Stick sheet",
        "Collecting",
        "One pot",
        "Give-away card",
        "Calendar",
    ):
        assert paper in text
    for target in re.findall(r'class="go" href="([^"]+)"', text):
        assert client.get(target).status_code == 200, target


def test_it_offers_the_garden_s_plants_the_year_to_come_and_its_seasons(client: Client, lost: str) -> None:
    text = page(client, "/papers")
    assert 'value="Rosa &#x27;Pale Ferry&#x27;|hardwood"' in text
    assert "<option selected>2026</option>" in text
    assert 'href="/papers/season-report?season=2025"' in text


def test_the_garden_page_leads_to_the_papers(client: Client) -> None:
    assert 'href="/papers"' in page(client, "/garden")


def test_a_garden_without_plants_and_batches_says_what_to_do(client: Client, garden: Garden) -> None:
    Plant.rows.filter(garden=garden).delete()
    text = page(client, "/papers")
    assert "No stock plant is written down yet" in text
    assert "Nothing was stuck yet" in text


def test_the_year_sheet_is_printed_across_on_the_paper_asked_for(client: Client) -> None:
    assert size_of(pdf(client, "/papers/year-sheet.pdf", year=2026)) == (842, 595)
    assert size_of(pdf(client, "/papers/year-sheet.pdf", year=2026, paper="letter")) == (792, 612)


def test_a_year_sheet_of_what_is_not_there_is_refused_as_a_page(client: Client) -> None:
    answer = client.get("/papers/year-sheet.pdf", {"year": "2026", "plants": "Tulipa"})
    assert answer.status_code == 422
    assert "Tulipa" in answer.content.decode()


@pytest.mark.parametrize("year", ["", "0", "99999999", "soon"])
def test_no_year_breaks_the_sheet(client: Client, year: str) -> None:
    pdf(client, "/papers/year-sheet.pdf", year=year)


def test_a_how_to_is_open_to_anybody(stranger: Client, client: Client, garden: Garden) -> None:
    assert size_of(pdf(stranger, "/papers/how-to.pdf", of="Rosa|hardwood")) == (595, 842)
    assert size_of(pdf(stranger, "/papers/how-to.pdf", of="|softwood", units="us", half="south")) == (
        612,
        792,
    )
    Garden.objects.filter(pk=garden.pk).update(units="us")
    assert size_of(pdf(client, "/papers/how-to.pdf", of="Rosa 'Pale Ferry'|hardwood")) == (612, 792)


def test_a_beginner_s_page_leads_to_the_how_to_of_its_plant_and_half_of_the_earth(stranger: Client) -> None:
    text = page(stranger, "/one-pot", plant="rose", on="2026-05-20", at="-34", want=3)
    (link,) = re.findall(r'href="(/papers/how-to\.pdf[^"]*)"', text)
    assert link.endswith("half=south")
    assert stranger.get(link.replace("&amp;", "&")).status_code == 200


@pytest.mark.parametrize("asked", ["", "|", "Tulipa|softwood", "sage|hardwood", "Rosa|oak", "|" * 500])
def test_a_how_to_there_is_not_is_refused_as_a_page(client: Client, asked: str) -> None:
    answer = client.get("/papers/how-to.pdf", {"of": asked})
    assert answer.status_code == 422
    assert "No how-to" in answer.content.decode()


def test_the_report_stands_on_a_page_each_chart_with_its_table(client: Client, lost: str) -> None:
    text = page(client, "/papers/season-report", season="2025")
    assert "Of 20 cuttings stuck, 8 rooted and 3 were lost; 9 still wait." in text
    assert "Most were lost to one thing, dried: 3 of 3." in text
    assert text.count('<svg class="drawing season-') == 3
    assert text.count("As a table") == 3
    assert text.count("<h1>") == 1
    assert " style=" not in text


def test_the_newest_season_is_told_unless_one_is_named(client: Client, lost: str) -> None:
    assert "<h1>Season 2025</h1>" in page(client, "/papers/season-report")
    assert "Nothing was stuck in the season 2020." in page(client, "/papers/season-report", season="2020")
    assert client.get("/papers/season-report", {"season": "last"}).status_code == 422
    for year in ("0000", "9999", "²²²²"):
        assert client.get("/papers/season-report.pdf", {"season": year}).status_code == 422, year


def test_the_report_is_printed(client: Client, lost: str) -> None:
    assert size_of(pdf(client, "/papers/season-report.pdf", season="2025")) == (595, 842)


def test_papers_of_the_garden_are_for_those_who_may_read_it(
    as_member: Callable[[Member], Client], reader: Member, stranger: Client
) -> None:
    reading = as_member(reader)
    for at in ("/papers", "/papers/year-sheet.pdf", "/papers/season-report", "/papers/season-report.pdf"):
        assert reading.get(at).status_code == 200, at
        assert stranger.get(at).status_code in (302, 403), at


def test_the_pages_are_small(client: Client, lost: str) -> None:
    assert len(page(client, "/papers")) < 120_000
    assert len(page(client, "/papers/season-report")) < 120_000
