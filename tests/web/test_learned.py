"""What was learned: told with its moment, beside what was believed, and plant by plant."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.refit import learn
from slipwright.records.models import Garden, GardenFit, Member, Taxon
from slipwright.rooting import fitting
from tests.records.making import stick

ROSE = {"taxon": "Rosa 'Pale Ferry'", "wood": "semi-hardwood"}


def page(client: Client, address: str, **asked: str) -> str:
    """Return a page that is there."""
    answer = client.get(address, asked)
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch) -> str:
    """A batch that was looked at, and learned from."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    code = stick(garden, grower, now, n_stuck=30).batch
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=code, on=date(2025, 10, 15), n_rooted=2, n_lost=9)
    assert learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now)
    return code


def test_before_any_count_it_says_what_forecasts_rest_on(client: Client) -> None:
    told = page(client, "/learned")
    assert "Nothing yet" in told
    assert "rests on the handbook alone" in told
    assert "Learned up to" not in page(client, "/")


def test_it_says_from_how_much_and_up_to_when(client: Client, batch: str) -> None:
    told = page(client, "/learned")
    assert "From 1 look at 1 batch." in told
    assert "Learned up to 20 Oct, 11:30." in told
    assert "is learned after a little quiet" not in told
    assert told.count("teach nothing and are left out") == 1
    assert "still mostly what was believed before any record" in told
    assert "still the handbook's" in told


def test_today_and_the_batch_say_up_to_when(
    client: Client, batch: str, garden: Garden, grower: Member, now: datetime
) -> None:
    for address in ("/", f"/batches/{batch}"):
        assert "Learned up to 20 Oct, 11:30." in page(client, address)
    services.record_note(garden=garden, by=grower, now=now, about=batch, at=now, text="by the door")
    for address in ("/", f"/batches/{batch}", "/learned"):
        assert "What was written since is learned after a little quiet." in page(client, address)


def test_what_another_model_learned_is_said_to_be_learned_anew(client: Client, batch: str) -> None:
    GardenFit.rows.update(version="0-old", found={"contrasts": [{"name": "no longer there"}]})
    for address in ("/", f"/batches/{batch}", "/learned"):
        told = page(client, address)
        assert "What was learned before is being learned anew." in told
        assert "Learned up to" not in told
    assert "All looks are learned from anew" in page(client, "/learned")
    answer = client.get("/learned/plant", ROSE)
    assert (answer.status_code, answer["Location"]) == (302, "/learned")


def test_saying_up_to_when_costs_no_query(
    client: Client, batch: str, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    page(client, "/")

    def n_queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            page(client, "/")
        return len(asked)

    told = n_queries()
    monkeypatch.setattr("slipwright.web.views.today.fit_now", lambda *_, **__: None)
    assert told == n_queries()


def test_a_plant_is_shown_beside_the_handbook(client: Client, batch: str) -> None:
    assert "/learned/plant?taxon=Rosa+%27Pale+Ferry%27&amp;wood=semi-hardwood" in page(client, "/learned")
    told = page(client, "/learned/plant", **ROSE)
    assert "Rosa" in told
    assert "the handbook, 8 times in 10" in told
    assert "with your records, 8 times in 10" in told
    assert "times as fast as the handbook says" in told
    assert "Rests on 1 look at 1 batch of this plant" in told


def test_of_a_plant_nothing_was_learned_of_all_is_shown_instead(client: Client, batch: str) -> None:
    answer = client.get("/learned/plant", {"taxon": "Salvia rosmarinus", "wood": "softwood"})
    assert (answer.status_code, answer["Location"]) == (302, "/learned")


def test_the_table_tells_what_the_bars_show(client: Client, batch: str) -> None:
    told = page(client, "/learned")
    assert "leafy cuttings without cover" in told
    assert told.count("<tr>") > 40


def test_counts_that_do_not_add_up_are_named(
    client: Client, batch: str, garden: Garden, grower: Member, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=batch, on=date(2025, 10, 18), n_rooted=40)
    learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now + timedelta(hours=1))
    assert f"The numbers written down for {batch} do not agree" in page(client, "/learned")


def test_the_garden_page_leads_there(client: Client) -> None:
    assert 'href="/learned"' in page(client, "/garden")


@pytest.fixture
def of_no_page(garden: Garden, grower: Member, now: datetime, batch: str) -> dict[str, str]:
    """A plant without a page of the handbook, learned from."""
    taxon = Taxon.rows.create(garden=garden, taxon="Nothofagus antarctica", rights="none")
    code = stick(garden, grower, now, n_stuck=30, taxon=taxon.taxon).batch
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=code, on=date(2025, 10, 15), n_rooted=1, n_lost=5)
    assert learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now)
    return {"taxon": taxon.taxon, "wood": ROSE["wood"]}


def test_of_a_plant_without_a_page_nothing_is_called_the_handbooks(
    client: Client, of_no_page: dict[str, str]
) -> None:
    all_of_them = page(client, "/learned")
    assert "still what holds for any plant" in all_of_them
    assert "still the handbook's" in all_of_them
    told = page(client, "/learned/plant", **of_no_page)
    assert "still what holds for any plant" in told
    assert "as fast as plants in general" in told
    assert "as of any plant dashed" in told
    assert "still the handbook's" not in told
    assert "the handbook says" not in told
    mine = page(client, "/learned/plant", **ROSE)
    assert "still what holds for any plant" not in mine


def kept_as(**values: float | str) -> dict[str, Any]:
    """A comparison as it is kept."""
    points = {"p10": 6, "p50": 14, "p90": 33, "prior_p10": 5, "prior_p50": 14, "prior_p90": 40}
    return {"name": "base", "clock": "rooting", **points, "prior_share": 0.1, **values}


def with_contrasts(*contrasts: dict[str, Any], **facts: int) -> None:
    """Let these comparisons be all that was found."""
    fit = GardenFit.rows.get()
    GardenFit.rows.filter(pk=fit.pk).update(found={**fit.found, "contrasts": list(contrasts)}, **facts)


def test_where_nothing_moved_there_is_no_key_without_a_chart(client: Client, batch: str) -> None:
    with_contrasts(kept_as(prior_share=0.95), n_looks=3020, n_batches=1922)
    told = page(client, "/learned")
    assert "From 3\u00a0020 looks at 1\u00a0922 batches." in told
    assert "No difference stands out" in told
    assert "learned-key" not in told
    assert "1 comparison is still mostly" in told
    assert "more comparison" not in told


def test_what_moved_most_is_headed_with_its_picture_and_the_rest_is_folded(
    client: Client, batch: str
) -> None:
    moved = kept_as(name="tent", clock="loss", p10=1.2, p50=1.4, p90=1.6, prior_p50=3)
    with_contrasts(kept_as(), moved)
    told = page(client, "/learned")
    head, _, folded = told.partition('<details class="fold">')
    assert "lost about 1.4 times as fast" in head
    assert "before any of them it was 3 times (5 to 40)" in head
    assert head.count("drawing belief") == 2
    assert "woody base" not in head
    assert "woody base" in folded
    assert "1 more comparison" in folded


def test_a_plants_page_parts_its_wood_from_other_wood(
    client: Client, batch: str, garden: Garden, grower: Member, now: datetime
) -> None:
    assert "of other wood" not in page(client, "/learned/plant", **ROSE)
    code = stick(garden, grower, now, n_stuck=30, wood="softwood").batch
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=code, on=date(2025, 10, 15), n_rooted=1, n_lost=5)
    assert learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now)
    told = page(client, "/learned/plant", **ROSE)
    assert "at 2 batches of this plant" in told
    assert "Of the batches 1 of this wood, 1 of other wood." in told


def test_of_many_plants_most_are_folded_but_open_on_a_later_page(client: Client, batch: str) -> None:
    fit = GardenFit.rows.get()
    taxa = [{**one, "taxon": f"Rosa '{n:02}'"} for n in range(28) for one in fit.found["taxa"]]
    GardenFit.rows.filter(pk=fit.pk).update(found={**fit.found, "taxa": taxa})
    shown, _, folded = page(client, "/learned").partition("The plants after these")
    assert shown.count("/learned/plant?") == 6
    assert folded.count("/learned/plant?") == 14
    assert '<details class="fold" open>' not in shown
    assert '<details class="fold" open>' in page(client, "/learned", page="2")
