"""The papers of the programme in use."""

from __future__ import annotations

import csv
import io
import subprocess
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.test import Client

from slipwright.records.models import Garden, Member, Taxon
from slipwright.records.services import Lot, record_sticking, withdraw
from tests.records.making import stick
from tests.web.season_made import in_use, line, rosemary
from tests.web.test_papers import size_of

Words = Callable[[bytes], str]
SHEETS = ("/season/collecting.pdf", "/season/crew.pdf")


@pytest.fixture
def words_of(need_program: Callable[[str], str]) -> Words:
    """Give a function that reads the words of a PDF."""

    def read(pdf: bytes) -> str:
        program = need_program("pdftotext")
        done = subprocess.run([program, "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
        return " ".join(done.stdout.decode().split())

    return read


def test_the_collecting_sheet_says_shoots_bundles_and_day(
    client: Client, garden: Garden, words_of: Words
) -> None:
    in_use(garden)
    answer = client.get("/season/collecting.pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"].startswith("inline")
    text = words_of(answer.content)
    for told in (
        "Week of 20 Oct 2025",
        "Week of 10 Nov 2025",
        "rose-gate",
        "frame-1",
        "43",
        "1 of 25 + 1",
        "Wed 22 Oct",
        "Prickles",
        "as many as",
        "sage-wall",
    ):
        assert told in text


def test_the_crew_sheet_says_numbers_and_hours_against_those_there_are(
    client: Client, garden: Garden, words_of: Words
) -> None:
    in_use(garden)
    text = words_of(client.get("/season/crew.pdf").content)
    for told in (
        "Semi-hardwood pieces of shoot, under mist, method rose-autumn",
        "8 × pot-1l",
        "14 ml",
        "6 h 30 of the crew's 5 h",
        "Pour out 14 ml",
        "label says goes first",
        "4.4 L of perlite",
        "blade",
        "Dust",
    ):
        assert told in text, told


def test_each_is_in_the_tongue_units_and_paper_asked_for(
    client: Client, garden: Garden, words_of: Words
) -> None:
    in_use(garden)
    for sheet in SHEETS:
        plain = client.get(sheet).content
        other = client.get(sheet, {"tongue": "es", "units": "us"})
        assert size_of(plain) == (595, 842)
        assert size_of(other.content) == (612, 792)
        assert other["Content-Language"] == "es"
        assert "22 Oct" in words_of(plain)
        assert "22 oct" in words_of(other.content)
    assert "4 to 5 in (10 to 12.5 cm)" in words_of(client.get(SHEETS[0], {"units": "us"}).content)
    assert size_of(client.get(SHEETS[0], {"units": "us", "paper": "a4"}).content) == (595, 842)


def test_a_protected_plant_without_licence_is_never_printed_as_to_be_cut(
    client: Client, garden: Garden, words_of: Words
) -> None:
    lavender = line(
        0,
        taxon="Lavandula 'Night Tide'",
        shoots=[{"plant": "tide-1", "place": "", "n_shoots": 77, "n_bundles": 3, "n_over": 2}],
        n_to_stick=98,
    )
    in_use(garden, lavender, rosemary(1))
    for sheet, heading in zip(SHEETS, ("Not to be cut", "Not to be multiplied"), strict=True):
        text = words_of(client.get(sheet).content)
        assert heading in text
        assert "tide-1" in text
        assert "77" not in text
        assert "98" not in text
    rows = list(csv.DictReader(io.StringIO(client.get("/season/programme.csv").content.decode())))
    assert [row["may_be_multiplied"] for row in rows] == ["no", "yes"]
    assert rows[0]["n_to_stick"] == rows[0]["shoots"] == ""
    Taxon.rows.filter(garden=garden, taxon__startswith="Lav").update(licence="L-7")
    text = words_of(client.get(SHEETS[0]).content)
    assert "77" in text
    assert "Not to be cut" not in text


def test_a_week_alone_is_printed_by_any_day_of_it(client: Client, garden: Garden, words_of: Words) -> None:
    in_use(garden)
    for sheet in SHEETS:
        text = words_of(client.get(sheet, {"week": "2025-11-13"}).content)
        assert "Week of 10 Nov 2025" in text
        assert "22 Oct" not in text
        assert client.get(sheet, {"week": "2026-03-02"}).status_code == 422
        assert client.get(sheet, {"week": "soon"}).status_code == 404


def test_what_is_stuck_already_is_not_printed_again(
    client: Client, garden: Garden, grower: Member, words_of: Words, now: object
) -> None:
    in_use(garden)
    lot = Lot(
        taxon="Rosa 'Pale Ferry'",
        plant="rose-gate",
        stuck_on=date(2025, 10, 20),
        n_stuck=118,
        wood="semi-hardwood",
        want="roses-27",
    )
    record_sticking(garden=garden, by=grower, now=now, lots=[lot])  # type: ignore[arg-type]
    text = words_of(client.get(SHEETS[0]).content)
    assert "rose-gate" not in text
    assert "sage-wall" in text


def test_hours_of_a_week_are_those_of_the_lines_that_are_left(
    client: Client, garden: Garden, grower: Member, words_of: Words, now: object
) -> None:
    # 2.5 h of sticking and 4 h of looks and potting; a second line is late from the week before
    in_use(garden, line(0), line(1, week="2025-10-13", stick_on="2025-10-15", hours=1.5))
    text = words_of(client.get(SHEETS[1]).content)
    assert "4 h of sticking" in text
    assert "8 h of the crew's 5 h" in text
    lot = Lot(
        taxon="Rosa 'Pale Ferry'",
        plant="rose-gate",
        stuck_on=date(2025, 10, 20),
        n_stuck=118,
        wood="semi-hardwood",
        want="roses-27",
    )
    record_sticking(garden=garden, by=grower, now=now, lots=[lot])  # type: ignore[arg-type]
    assert "5 h 30 of the crew's 5 h" in words_of(client.get(SHEETS[1]).content)


def test_what_is_late_stands_in_the_week_of_today(client: Client, garden: Garden, words_of: Words) -> None:
    in_use(garden, line(0, week="2025-10-06", stick_on="2025-10-08"))
    text = words_of(client.get(SHEETS[0]).content)
    assert "Week of 20 Oct 2025" in text
    assert "Mon 20 Oct" in text
    assert "Wed 8 Oct" not in text


def test_without_a_programme_in_use_there_is_no_paper(client: Client, garden: Garden) -> None:
    in_use(garden)
    Garden.objects.filter(pk=garden.pk).update(plan=None)
    for paper in (*SHEETS, "/season/programme.csv"):
        answer = client.get(paper)
        assert answer.status_code == 422
        assert "No programme is in use yet" in answer.content.decode()


def test_the_table_has_every_number_of_each_line(client: Client, garden: Garden) -> None:
    in_use(garden, line(0, want="=1+1"), rosemary(1))
    answer = client.get("/season/programme.csv")
    assert answer["Content-Type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode())))
    first = rows[0]
    assert (first["line"], first["want"], first["shoots"]) == ("1", "'=1+1", "rose-gate:43")
    assert (first["n_bundles"], first["dip_ml"], first["parts"]) == (
        "2",
        "14.0",
        "perlite:4.4;vermiculite:4.4",
    )
    assert (first["length_mm"], first["length_mm_to"], first["rooted_p50"]) == ("100.0", "125.0", "0.62")
    assert (rows[1]["shoots"], rows[1]["n_shoots"], rows[1]["auxin_mg_per_l"]) == ("sage-wall:", "", "")


def test_the_calendar_holds_the_weeks_of_the_programme(client: Client, garden: Garden) -> None:
    before = client.get("/garden/calendar.ics").content.decode()
    in_use(garden)
    after = client.get("/garden/calendar.ics").content.decode().replace("\r\n ", "")
    assert "programme-" not in before
    assert f"UID:programme-2025-10-20@{garden.garden}.slipwright" in after
    assert "DTSTART;VALUE=DATE:20251110" in after
    assert "Cut and stick: 120 cuttings\\, 1 batch\\, about 2.5 h" in after
    assert "rose-gate (43 shoots)" in after
    assert "LAST-MODIFIED:20251019T090000Z" in after


def test_what_is_stuck_for_a_week_or_taken_back_changes_its_entry(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    def changed() -> str:
        told = client.get("/garden/calendar.ics").content.decode()
        entry = told[told.index("UID:programme-2025-10-20") :]
        return entry[entry.index("LAST-MODIFIED:") :].split("\r\n")[0]

    in_use(garden)
    stuck = stick(
        garden=garden,
        by=grower,
        now=now,
        want="roses-27",
        plant="rose-gate",
        wood="semi-hardwood",
        n_stuck=20,
    )
    assert changed() == f"LAST-MODIFIED:{now:%Y%m%dT%H%M%SZ}"
    later = now + timedelta(hours=2)
    withdraw(garden=garden, by=grower, now=later, withdraws=stuck.entry_id, reason="not these", at=later)
    assert changed() == f"LAST-MODIFIED:{later:%Y%m%dT%H%M%SZ}"


def test_a_reader_may_print_them_and_a_stranger_may_not(
    garden: Garden, reader: Member, as_member: Callable[[Member], Client], stranger: Client
) -> None:
    in_use(garden)
    inside = as_member(reader)
    for paper in (*SHEETS, "/season/programme.csv"):
        assert inside.get(paper).status_code == 200
        assert stranger.get(paper)["Location"].startswith("/sign-in?next=")
