"""Choosing and printing labels."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.models import Garden, Member, Sticking
from tests.records.making import stick


@pytest.fixture
def batches(garden: Garden, grower: Member, now: datetime) -> list[Sticking]:
    """Stick one batch lately and one in summer."""
    return [
        stick(garden, grower, now, stuck_on=date(2025, 10, 18), n_stuck=20, n_per_container=10),
        stick(garden, grower, now, stuck_on=date(2025, 7, 1)),
    ]


def _protected(garden: Garden, by: Member, now: datetime) -> Sticking:
    return services.record_sticking(
        garden=garden,
        by=by,
        now=now,
        lots=[
            {
                "taxon": "Lavandula 'Night Tide'",
                "stuck_on": date(2025, 10, 19),
                "n_stuck": 5,
                "wood": "softwood",
            }
        ],
        already_done=True,
        ground="private-use",
    )[0]


def _ticked(page: str) -> set[str]:
    return set(re.findall(r'name="b" value="(\w+)" checked', page))


def test_what_was_stuck_lately_is_ticked(client: Client, batches: list[Sticking]) -> None:
    new, old = batches
    page = client.get("/labels").content.decode()
    assert _ticked(page) == {new.batch}
    assert f'value="{old.batch}"' in page
    assert _ticked(client.get("/labels", {"since": "2025-06-01"}).content.decode()) == {new.batch, old.batch}
    assert _ticked(client.get("/labels", {"b": old.batch}).content.decode()) == {old.batch}
    assert client.get("/labels", {"since": "soon"}).status_code == 422


def test_an_empty_garden_says_so(client: Client) -> None:
    page = client.get("/labels")
    assert page.status_code == 200
    assert "Nothing stands in a pot yet" in page.content.decode()


@pytest.mark.parametrize(
    "stock",
    [
        {"stock": "a4"},
        {"stock": "letter"},
        {"stock": "stake"},
        {"stock": "own", "width_mm": "100", "height_mm": "25"},
    ],
)
def test_labels_come_as_a_file_to_print(
    client: Client, batches: list[Sticking], stock: dict[str, str]
) -> None:
    answer = client.get("/labels.pdf", {"b": [batch.batch for batch in batches], **stock})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="labels-2025-10-20.pdf"'
    assert answer.content.startswith(b"%PDF")


def test_the_stock_chosen_last_is_offered_again(client: Client, batches: list[Sticking]) -> None:
    client.get("/labels.pdf", {"b": batches[0].batch, "stock": "own", "width_mm": "100", "height_mm": "25"})
    page = client.get("/labels").content.decode()
    assert 'value="own" checked' in page
    assert 'name="width_mm" inputmode="decimal" autocomplete="off" value="100"' in page


def test_two_a_container_take_more_paper_than_one_a_batch(client: Client, batches: list[Sticking]) -> None:
    roll = {"b": batches[0].batch, "stock": "100x25mm"}

    def n_pages(copies: str) -> int:
        return len(
            re.findall(rb"/Type /Page\b", client.get("/labels.pdf", {**roll, "copies": copies}).content)
        )

    assert (n_pages("one"), n_pages("two")) == (1, 4)


@pytest.mark.parametrize(
    "wrong",
    [
        {"b": ""},
        {"stock": "5x5mm"},
        {"stock": "slate"},
        {"stock": "own"},
        {"stock": "a4", "skip": "24"},
        {"stock": "a4", "skip": "-1"},
        {"copies": "many"},
    ],
)
def test_what_cannot_be_printed_is_told_on_the_page(
    client: Client, batches: list[Sticking], wrong: dict[str, str]
) -> None:
    answer = client.get("/labels.pdf", {"b": batches[0].batch, **wrong})
    assert answer.status_code == 422
    assert "No labels yet" in answer.content.decode()


def test_a_protected_plant_gets_no_label(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = _protected(garden, grower, now)
    page = client.get("/labels").content.decode()
    assert "no label: protected, no licence seen" in page
    assert _ticked(page) == set()
    answer = client.get("/labels.pdf", {"b": batch.batch})
    assert answer.status_code == 422
    assert "no label. Protected" in answer.content.decode()


def test_a_batch_that_is_not_there_is_named_and_the_others_are_shown(
    client: Client, batches: list[Sticking]
) -> None:
    new, old = batches
    for address, status in (("/labels", 200), ("/labels.pdf", 422)):
        answer = client.get(address, {"b": ["ZZZZZZZZ", old.batch[:4].lower()]})
        assert answer.status_code == status
        page = answer.content.decode()
        assert "there is no batch ZZZZZZZZ" in page
        assert _ticked(page) == {old.batch}
        assert f'value="{new.batch}"' in page
    nobody = client.get("/labels", {"b": ["ZZZZZZZZ", "no such"]}).content.decode()
    assert "there are no batches ZZZZZZZZ, no such" in nobody
    assert _ticked(nobody) == set()


def test_many_codes_are_found_as_quickly_as_one(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    codes = [stick(garden, grower, now).batch for _ in range(6)]

    def n_queries(named: list[str]) -> int:
        with CaptureQueriesContext(connection) as asked:
            client.get("/labels", {"b": named})
        return len(asked)

    assert n_queries(codes) == n_queries(codes[:1])
    assert n_queries([code[:4] for code in codes]) == n_queries([codes[0][:4]])


def test_a_reader_may_print(
    reader: Member, as_member: Callable[[Member], Client], batches: list[Sticking]
) -> None:
    assert as_member(reader).get("/labels.pdf", {"b": batches[0].batch}).status_code == 200


@pytest.fixture
def in_trays(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Stick 48, one to a cell, in trays of 24 cells."""
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    row: dict[str, Any] = {"container": "tray-24", "volume_ml": 1200, "cells": 24}
    services.add_reference(**who, table="containers", row=row)
    return stick(**who, stuck_on=date(2025, 10, 18), n_stuck=48, n_per_container=1, container="tray-24")


def test_a_tray_of_cells_gets_two_labels_not_two_a_cell(client: Client, in_trays: Sticking) -> None:
    page = " ".join(client.get("/labels").content.decode().split())
    assert "4 labels" in page
    assert "2 containers" in page
    assert "1 label<" in " ".join(client.get("/labels", {"copies": "one"}).content.decode().split())
    printed = client.get("/labels.pdf", {"b": in_trays.batch, "stock": "100x25mm"}).content
    assert len(re.findall(rb"/Type /Page\b", printed)) == 4


def test_the_page_of_a_batch_counts_trays_and_cells(client: Client, in_trays: Sticking) -> None:
    page = " ".join(client.get(f"/batches/{in_trays.batch}").content.decode().split())
    assert "2 trays of 24 cells, 48 filled" in page
