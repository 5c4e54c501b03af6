"""Bench sums, as a stranger asks: no account, no session, no database at all."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client

from slipwright.advice.sums import SUMS

MIX = {"pots": "24", "pot": "2.83", "perlite": "1", "vermiculite": "1"}
STRONG = {"stock": "100000", "want": "30000", "volume": "50", "plant": "rose"}


@pytest.fixture
def stranger() -> Client:
    """Give somebody unknown; no test here has a database, so any query fails it."""
    return Client(HTTP_HOST="127.0.0.1")


def page(stranger: Client, address: str, status: int = 200, /, **asked: str) -> str:
    answer = stranger.get(address, asked)
    assert answer.status_code == status
    assert not answer.cookies
    return answer.content.decode()


def words(html: str) -> str:
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", html).split())).replace("\u00a0", " ")


def test_the_list_leads_to_every_sum(stranger: Client) -> None:
    html = page(stranger, "/sums")
    for name in SUMS:
        assert f'href="/sums/{name}"' in html


@pytest.mark.parametrize("name", SUMS)
def test_a_page_asks_with_a_label_for_every_field_and_answers_nothing_yet(
    stranger: Client, name: str
) -> None:
    html = page(stranger, f"/sums/{name}")
    assert html.count("<h1") == 1
    fields = re.findall(r'<(?:input|select)[^>]* id="([\w-]+)"', html)
    assert fields == [blank.name for blank in SUMS[name].blanks]
    for field in fields:
        assert f'<label for="{field}"' in html
    assert "Range:" not in html
    assert "style=" not in html.replace("stylesheet", "")


@pytest.mark.parametrize("name", SUMS)
def test_what_stands_in_the_fields_at_first_can_be_asked(stranger: Client, name: str) -> None:
    html = page(stranger, f"/sums/{name}")
    asked = dict(re.findall(r'<input id="([\w-]+)" name="[\w-]+" value="([^"]*)"', html))
    asked |= {"lat": "41", "sunshine": "9", "volume": "2800", "added": "2100", "drained": "700"}
    asked = {key: value for key, value in asked.items() if f'id="{key}"' in html and value}
    said = words(page(stranger, f"/sums/{name}", **asked))
    for part in ("Range:", "Trust:", "Holds for:", "Rests on:", "Worked out from:"):
        assert part in said


def test_the_answer_comes_first_and_repeats_what_was_asked(stranger: Client) -> None:
    html = page(stranger, "/sums/mix", **MIX)
    said = words(html)
    assert "For 24 pots mix 71.3 L (18¾ US gal)" in said
    assert said.index("For 24 pots") < said.index("Worked out from: Pots 24; One pot holds 2.83 L")
    assert html.index('class="answer"') < html.index("<form")
    assert 'value="2.83"' in html


def test_a_figure_out_of_range_is_told_at_its_field_and_the_rest_is_kept(stranger: Client) -> None:
    html = page(stranger, "/sums/air", 422, air="25", rh="160")
    assert "must be from 0 to 100 (160)" in words(html)
    assert 'aria-describedby=" wrong-rh"' in html
    assert 'value="25"' in html
    assert 'value="160"' in html
    assert "Range:" not in html


@pytest.mark.parametrize(
    ("address", "asked", "said"),
    [
        ("/sums/mix", {"pots": "24", "pot": "2.8"}, "must be given, or another part"),
        ("/sums/mix", {**MIX, "pots": ""}, "must be given"),
        ("/sums/mix", {**MIX, "pots": "2.5"}, "must be a whole number"),
        ("/sums/mix", {**MIX, "pot": "much"}, "must be a number (much)"),
        ("/sums/dip", {"stock": "1000", "want": "3000", "volume": "5"}, "must not be above the stock's own"),
        ("/sums/dip", {**STRONG, "plant": "lavendar"}, "must be a plant the handbook knows, as"),
        ("/sums/dip", {**STRONG, "auxin": "gibberellin"}, "must be one of the choices"),
        ("/sums/drain-test", {"volume": "100", "added": "50", "drained": "60"}, "what was poured in (50 ml)"),
        ("/sums/cane", {"nodes": "4, 3"}, "must rise from the tip downward"),
        ("/sums/cane", {"nodes": "a b"}, "must be distances"),
        ("/sums/cane", {"nodes": "4 8 12", "short": "20", "long": "10"}, "must be at least the shortest"),
        ("/sums/sun", {"lat": "41", "on": "2026-13-01"}, "must be a date"),
        ("/sums/sun", {"lat": "41", "on": "1066-10-14"}, "must lie between 1950 and 2050"),
        ("/sums/light", {"lat": "41", "on": "2026-06-21"}, "must be given, or the cloud"),
        ("/sums/number", {"want": "100000", "rooted": "1", "assurance": "99.9"}, "sure enough"),
        ("/sums/degree-days", {"tmin": "20", "tmax": "5", "base": "10"}, "must be at least the coldest"),
    ],
)
def test_what_will_not_do_names_the_field_and_the_rule(
    stranger: Client, address: str, asked: dict[str, str], said: str
) -> None:
    html = page(stranger, address, 422, **asked)
    assert said in words(html)
    assert 'class="wrong"' in html
    assert "Not answered yet" in html


def test_a_slip_of_ten_times_is_asked_about_before_it_is_answered(stranger: Client) -> None:
    html = page(stranger, "/sums/dip", 422, **STRONG)
    assert "Is it meant so?" in html
    assert "Measure" not in html
    sure = unescape(re.search(r'href="(/sums/dip\?[^"]+)"', html)[1])  # type: ignore[index]
    assert parse_qs(urlsplit(sure).query)["want"] == ["30000"]
    answered = words(page(stranger, sure))
    assert "Measure 15 ml" in answered
    assert "Ten times off" in answered  # it stays beside the answer
    assert "label is law" in answered


def test_saying_so_once_does_not_carry_over_to_other_figures(stranger: Client) -> None:
    html = page(stranger, "/sums/dip", **STRONG, sure="yes")
    assert 'name="sure"' not in html


def test_a_sum_there_is_not_is_not_there(stranger: Client) -> None:
    page(stranger, "/sums/none-such", 404)


def test_words_typed_stay_words(stranger: Client) -> None:
    html = page(stranger, "/sums/dip", 422, **(STRONG | {"plant": "<script>x</script>"}))
    assert "<script>x" not in html


def test_a_page_is_small(stranger: Client) -> None:
    assert len(page(stranger, "/sums/mix", **MIX)) < 40_000


def test_one_pot_leads_to_the_sums(stranger: Client) -> None:
    assert 'href="/sums"' in page(stranger, "/one-pot")


def test_the_garden_leads_to_the_sums_and_lends_them_its_latitude(client: Client) -> None:
    assert 'href="/sums"' in client.get("/garden").content.decode()
    html = client.get("/sums/sun").content.decode()
    assert re.search(r'id="lat" name="lat" value="-?\d', html)
    assert 'value="2025-10-20"' in html


def test_a_printed_answer_bears_its_day(stranger: Client) -> None:
    assert 'class="second print-only"' in page(stranger, "/sums/mix", **MIX)
    assert "print-only" not in page(stranger, "/sums/mix")


@pytest.mark.parametrize("nodes", ["4, 8.5, 13, 17", "4 8,5 13 17", "4; 8,5; 13; 17", "4,8.5,13,17"])
def test_nodes_may_have_decimal_commas_as_any_figure_may(stranger: Client, nodes: str) -> None:
    said = words(page(stranger, "/sums/cane", nodes=nodes))
    assert "Worked out from: Nodes 4, 8.5, 13, 17" in said
