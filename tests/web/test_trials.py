"""The pages of trials: each ends in one sentence, once its day has come and not before."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from html import unescape

import pytest
from django.test import Client

from slipwright.handbook import load_handbook
from slipwright.records.answers.forecasts import made as forecasts_made
from slipwright.records.models import Garden, Member, Trial
from slipwright.records.services import record_look, record_potting
from tests.records.answers.trial_making import DUE_ON, PLAN, STUCK_ON, count, fix, stick_all
from tests.records.making import stick

ADDRESS = "/trials/Dip or none"
TODAY = date(2025, 10, 20)


def _page(client: Client, address: str = ADDRESS) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return " ".join(unescape(answer.content.decode()).split())


@pytest.fixture
def judged(garden: Garden, grower: Member, now: datetime) -> None:
    """Count every pot of a trial on its day, but one."""
    fix(garden, grower, now, blocks=5)
    pots = stick_all(garden, grower, now, blocks=5)
    count(garden, grower, now, pots, {"A": [2, 3, 2, 3, 2], "B": [6, 7, 6, 7]})


def test_without_a_trial_the_list_says_what_one_is_good_for(client: Client) -> None:
    page = _page(client, "/trials")
    assert "No trial yet." in page
    assert "/trials/new" in page


def test_the_list_has_the_state_and_the_verdict_in_one_sentence(client: Client, judged: None) -> None:
    page = _page(client, "/trials")
    assert "To be counted: 9 of 10 pots" in page
    assert "Settled: “IBA 1000 mg/L, gel” did better than “no hormone”" in page


def test_the_verdict_says_from_how_many_pots_it_was_drawn(client: Client, judged: None) -> None:
    page = _page(client)
    assert "No hormone: 12 of 40 in 5 pots; IBA 1000 mg/L, gel: 26 of 32 in 4 pots." in page
    assert "Drawn from 9 of 10 pots" in page
    assert "1 pot is still to be counted and may move it." in page
    assert page.count('<svg class="drawing trial-') == 2


def test_before_its_day_no_way_is_told_to_be_ahead(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now, stuck_on=TODAY - timedelta(days=20))
    count(garden, grower, now, pots, {"A": [0] * 4, "B": [8] * 4}, on=TODAY)
    page = _page(client)
    assert "Not judged yet: every pot is counted on 25 Nov 2025" in page
    assert "Stopping early because one is ahead finds winners where there are none" in page
    assert "did better" not in page
    assert "is ahead of" not in page
    assert "trial-difference" not in page


def test_pots_at_their_end_before_the_day_are_told_and_are_no_verdict(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now, stuck_on=TODAY - timedelta(days=20))
    count(garden, grower, now, pots, {"A": [8], "B": [8]}, on=TODAY)
    page = _page(client)
    assert "The pots counted so far, which are no verdict" in page
    assert "Not judged yet" in page


def test_what_was_fixed_beforehand_stands_with_its_day_and_who_wrote_it(
    client: Client, garden: Garden, judged: None
) -> None:
    page = _page(client)
    assert PLAN.stop_rule in page
    assert "20 Oct 2025, grower" in page
    assert "The table says otherwise by now" not in page
    Trial.rows.of(garden).update(stop_rule="stop when ahead")
    assert "The table says otherwise by now: “stop when ahead”. What was fixed stands." in _page(client)


def test_every_pot_is_there_with_its_code_and_the_labels_of_all(client: Client, judged: None) -> None:
    page = _page(client)
    assert page.count('<th scope="row"><a class="code" href="/batches/') == 10
    assert page.count("/labels.pdf?b=") == 1
    start = page.index("/labels.pdf?")
    assert page[start : page.index('"', start)].count("b=") == 10
    assert client.get(page[start : page.index('"', start)].replace("&amp;", "&")).status_code == 200


def test_the_label_of_a_pot_has_letter_and_block_and_not_the_treatment(garden: Garden, judged: None) -> None:
    from slipwright.records.answers.labels import labels_for

    labels, _left_out = labels_for(garden, [], since=STUCK_ON, on=TODAY)
    said = {label.treatment for label in labels}
    assert "8 stuck · A · block 1 · Dip or none" in said
    assert not any("hormone" in one or "IBA" in one for one in said)


def test_the_table_has_a_row_a_pot_and_an_empty_cell_where_none_was_counted(
    client: Client, judged: None
) -> None:
    answer = client.get(f"{ADDRESS}/table.csv")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="trial-dip-or-none.csv"'
    lines = answer.content.decode().splitlines()
    assert lines[0] == "unit,block,position,letter,arm,stuck,rooted,stuck_on,counted_on,note"
    assert len(lines) == 11
    assert sum(",,2025-08-01,," in line for line in lines) == 1
    assert f",{DUE_ON}," in lines[1]
    assert "--reference 'arm=no hormone'" in _page(client)


def test_a_trial_of_the_tables_is_shown_without_a_plan(client: Client, garden: Garden) -> None:
    Trial.rows.create(
        garden=garden,
        trial="by hand",
        question="Which?",
        arms="dip;none",
        units_per_arm=3,
        n_per_unit=6,
        stop_rule="as it comes",
    )
    page = _page(client, "/trials/by hand")
    assert "This trial was written into the tables without a plan." in page
    assert client.get("/trials/by hand/stick").status_code == 302
    assert client.get("/trials/nowhere").status_code == 404


def test_the_page_of_a_pot_names_its_trial_and_the_look_only_the_letter(client: Client, judged: None) -> None:
    page = _page(client)
    start = page.index("/batches/")
    address = page[start : page.index('"', start)]
    assert 'href="/trials/Dip%20or%20none"' in client.get(address).content.decode()
    look = _page(client, f"{address}/look")
    assert "block 1" in look
    assert "IBA" not in look


def test_the_card_of_a_pot_on_today_has_its_letter_and_block(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, blocks=2)
    pots = stick_all(garden, grower, now, blocks=2)
    page = _page(client, "/")
    for pot in pots:
        if f"/batches/{pot.batch}/look" in page:
            assert f"Trial: <strong>{pot.arm}</strong>, block {pot.block}" in page
    assert "Trial: <strong>" in page


def test_before_its_day_all_pots_are_told_together_and_no_way_by_itself(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    stick_all(garden, grower, now, stuck_on=TODAY)
    forecasts_made.refresh(Garden.objects.get(pk=garden.pk), load_handbook(), on=TODAY, now=now)
    page = _page(client)
    found = re.search(r"Of all 64 cuttings (\d+) to (\d+) will likely have rooted by 15 Dec 2025", page)
    assert found is not None
    assert int(found[1]) < int(found[2]) <= 64
    assert "of each by itself nothing is told before the verdict" in page


def test_what_the_table_says_otherwise_is_told_thing_by_thing(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, plan=replace(PLAN, n_units=4, n_per_unit=8))
    assert "The table says otherwise" not in _page(client)
    Trial.rows.of(garden).update(units_per_arm=9, arms="A none;B dip")
    page = _page(client)
    assert "“9 pots of each way, 8 cuttings a pot”" in page
    assert "“A none;B dip”" in page
    assert "4 pots of each way, 8 cuttings a pot" in page


def test_the_list_has_pages_and_what_waits_stands_first(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    for k in range(21):
        row = {"arms": "dip;none", "units_per_arm": 3, "n_per_unit": 6, "stop_rule": "as it comes"}
        Trial.rows.create(garden=garden, trial=f"trial {k:02}", question="Which?", **row)
    over = stick(garden, grower, now, trial="trial 00", arm="dip", block="1", stuck_on=STUCK_ON)
    record_look(garden=garden, by=grower, now=now, batch=over.batch, on=TODAY, n_rooted=20, n_lost=0)
    record_potting(garden=garden, by=grower, now=now, batch=over.batch, on=TODAY, n_potted=20)
    first, second = _page(client, "/trials"), _page(client, "/trials?page=2")
    assert first.count("Planned, and nothing is stuck yet.") == 20
    assert 'href="?page=2"' in first
    assert "trial 00" not in first
    assert "trial 00" in second
    assert _page(client, "/trials?page=99") == second
