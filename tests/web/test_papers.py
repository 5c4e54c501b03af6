"""The stick sheet to take to the bench."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime

import pytest
from django.test import Client

from slipwright.records.models import Garden, Member, Sticking, Taxon, Want
from slipwright.records.services import Lot, record_sticking


def size_of(pdf: bytes) -> tuple[int, int]:
    """Return the size of a page in points."""
    found = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", pdf)
    assert found
    return round(float(found[1])), round(float(found[2]))


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> str:
    lot = Lot(
        taxon="Rosa 'Pale Ferry'",
        plant="rose-gate",
        stuck_on=date(2025, 9, 1),
        n_stuck=9,
        wood="semi-hardwood",
        want="roses-27",
    )
    record_sticking(garden=garden, by=grower, now=now, lots=[lot])
    return Sticking.rows.of(garden).get().batch


def test_a_want_and_a_batch_have_a_sheet_to_print_shown_in_place(client: Client, batch: str) -> None:
    for named in ("roses-27", batch):
        answer = client.get("/sheet.pdf", {"for": named})
        assert answer.status_code == 200
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"].startswith("inline")
        assert answer.content.startswith(b"%PDF")


def test_the_paper_is_that_of_the_garden(client: Client, garden: Garden) -> None:
    metric = client.get("/sheet.pdf", {"for": "roses-27"}).content
    Garden.objects.filter(pk=garden.pk).update(units="us")
    us = client.get("/sheet.pdf", {"for": "roses-27"}).content
    assert size_of(metric) == (595, 842)
    assert size_of(us) == (612, 792)


def test_a_want_that_needs_nothing_more_is_told_so_as_a_page(
    client: Client, garden: Garden, batch: str
) -> None:
    Want.rows.filter(garden=garden).update(n_wanted=1, ready_as="rooted")
    answer = client.get("/sheet.pdf", {"for": "roses-27"})
    assert answer.status_code == 422
    assert "nothing more to stick" in answer.content.decode()


@pytest.mark.parametrize("named", ["", "no such want"])
def test_what_is_not_there_is_told_so_as_a_page(client: Client, named: str) -> None:
    answer = client.get("/sheet.pdf", {"for": named})
    assert answer.status_code == 404
    assert "<h1>" in answer.content.decode()


def test_a_plant_without_a_handbook_page_has_no_sheet(client: Client, garden: Garden) -> None:
    Taxon.rows.filter(garden=garden, taxon__startswith="Rosa").update(taxon="Quercus robur")
    assert client.get("/sheet.pdf", {"for": "roses-27"}).status_code == 404


def test_wants_and_batches_lead_to_their_sheet(client: Client, garden: Garden, batch: str) -> None:
    assert 'href="/sheet.pdf?for=roses-27"' in client.get("/wants").content.decode()
    assert f'href="/sheet.pdf?for={batch}"' in client.get(f"/batches/{batch}").content.decode()
    Want.rows.filter(garden=garden).update(ready_by=date(2025, 10, 1))
    assert "/sheet.pdf" not in client.get("/wants").content.decode()


def test_a_reader_may_print_it_and_a_stranger_may_not(
    garden: Garden, reader: Member, as_member: Callable[[Member], Client]
) -> None:
    assert as_member(reader).get("/sheet.pdf?for=roses-27").status_code == 200
    answer = Client(HTTP_HOST="127.0.0.1").get("/sheet.pdf?for=roses-27")
    assert answer["Location"] == "/sign-in?next=/sheet.pdf%3Ffor%3Droses-27"
