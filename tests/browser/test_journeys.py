"""Whole ways through the pages, in a real browser on a real server."""

from __future__ import annotations

import csv
import io
import re
import sqlite3
import subprocess
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.pages import filled, sign_in
from tests.browser.served import Served, set_up_code


class Taps:
    """A thumb that counts: every press on the page goes through here."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.count = 0

    def on(self, selector: str) -> None:
        """Press what the selector names."""
        self.page.locator(selector).first.click()
        self.count += 1


def query(served: Served, sql: str) -> list[tuple[object, ...]]:
    """Ask the database of the garden that is served."""
    with sqlite3.connect(f"file:{served.folder / 'garden.sqlite3'}?mode=ro", uri=True) as garden:
        return garden.execute(sql).fetchall()


def first_run(page: Page, served: Served) -> None:
    """Fill in the four cards of the first run."""
    page.goto(served.address + "/")
    expect(page).to_have_url(re.compile("/set-up$"))
    for name, value in {
        "code": set_up_code(served),
        "name": "Kelp Row Garden",
        "latitude": "41.2",
        "longitude": "70.1",
        "shown_as": "Ines, propagator",
        "username": "ines",
        "password": "shed door 41 north",
        "place": "Tent 1",
        "plant": "Rosemary",
    }.items():
        page.locator(f"[name={name}]").fill(value)
    page.locator("[name=longitude_side]").select_option("W")
    page.locator("[name=time_zone]").select_option("America/New_York")
    page.locator("[name=cover][value=tent]").check(force=True)
    page.locator("[name=find]").click()
    page.locator("[name=password]").fill("shed door 41 north")
    page.locator("[name=taxon]").first.check(force=True)
    page.locator("[name=rights][value=none]").check(force=True)
    page.locator("#first-run .slant").click()
    expect(page).to_have_url(re.compile("/stick"))


def test_from_a_bare_machine_to_plants_given_away(
    bare_machine: Served, phone: BrowserContext, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    page = phone.new_page()
    first_run(page, bare_machine)
    home = bare_machine.address

    # the code is spent: nobody else can take the garden
    stranger = phone.browser.new_context()  # type: ignore[union-attr]
    assert stranger.new_page().goto(home + "/set-up").status == 404  # type: ignore[union-attr]
    stranger.close()

    # a want
    page.goto(home + "/rows/wants/new")
    page.locator("[name=want]").fill("Rosemary for the slope")
    page.locator("[name=taxon]").first.select_option("Salvia rosmarinus")
    page.locator("[name=n_wanted]").fill("6")
    page.locator("[name=ready_by]").fill((datetime.now(UTC).date() + timedelta(days=500)).isoformat())
    page.locator("[name=ready_as]").first.select_option("established")
    page.locator("[name=assurance]").select_option("0.8")
    with page.expect_navigation():
        page.locator("main form button").last.click()
    assert query(bare_machine, "select n_wanted from records_want") == [(6,)]

    # stick: the answer to the want is beside the number
    (plant,) = query(bare_machine, "select plant from records_plant")[0]
    page.goto(f"{home}/stick?plant={plant}")
    page.locator("[name=n_stuck]").fill("12")
    page.locator("[name=place][value='Tent 1']").check(force=True)
    page.locator("[name=way][value=handbook]").check(force=True)
    page.locator("main form .slant").click()
    expect(page).to_have_url(re.compile("/stick/done"))
    (batch,) = query(bare_machine, "select batch from records_sticking")[0]
    assert isinstance(batch, str)

    # the labels can be read by a machine
    pdf = page.request.get(f"{home}/labels.pdf?b={batch}&stock=stake")
    assert pdf.headers["content-type"] == "application/pdf"
    (tmp_path / "labels.pdf").write_bytes(pdf.body())
    subprocess.run(
        [
            need_program("pdftoppm"),
            "-r",
            "300",
            "-png",
            str(tmp_path / "labels.pdf"),
            str(tmp_path / "label"),
        ],
        check=True,
    )
    read = [
        found.text
        for picture in sorted(tmp_path.glob("label*.png"))
        for found in zxingcpp.read_barcodes(Image.open(picture))
    ]
    assert read
    assert all(text.endswith(batch) for text in read)

    # two looks, by the keys
    for rooted, lost in ((3, 1), (4, 0)):
        page.goto(f"{home}/batches/{batch}/look")
        taps = Taps(page)
        taps.on(f"[data-figure='{rooted}']")
        taps.on(".count:has([name=n_lost])")
        taps.on(f"[data-figure='{lost}']")
        taps.on("#look-form .foot .slant")
        assert taps.count <= 4
        # nothing roots on its first day: the page asks, and is told that it was so
        page.get_by_role("button", name="It was really so").click()
        expect(page).not_to_have_url(re.compile("/look"))
    assert query(bare_machine, "select n_rooted, n_lost, n_waiting from records_batchstate") == [(7, 1, 4)]

    # pot up, then ready
    # all the same: in some months the handbook would have them wait for spring
    page.goto(f"{home}/batches/{batch}/pot-up?all-the-same=1")
    page.locator("[name=n_potted]").fill("7")
    page.locator("[name=note]").evaluate("(note) => { note.value = 'they were dry'; }")
    # the page keeps the record first and goes on by itself after that
    with page.expect_navigation():
        page.locator("#pot-form .foot .slant").click()
    page.goto(f"{home}/batches/{batch}/outcome")
    page.locator("[name=ready_as][value=established]").check(force=True)
    page.locator("[name=n_reached]").fill("6")
    page.locator("[name=fate][value=given]").check(force=True)
    page.locator("[name=to]").fill("the slope")
    with page.expect_navigation():
        page.locator("main form .slant").click()
    assert query(bare_machine, "select n_reached, fate from records_outcome") == [(6, "given")]

    # and everything comes back as tables
    page.goto(home + "/garden")
    with page.expect_download() as taken:
        page.locator("form[action='/garden/tables.zip'] button").click()
    tables = zipfile.ZipFile(taken.value.path())
    looks = list(csv.DictReader(io.StringIO(tables.read("looks.csv").decode())))
    assert [look["n_rooted"] for look in looks] == ["3", "4"]
    assert "errors" not in bare_machine.said.read_text()


def test_a_beginner_gets_an_answer_without_signing_in(demo: Served, phone: BrowserContext) -> None:
    page = phone.new_page()
    page.goto(demo.address + "/one-pot")
    page.locator("[name=plant]").fill("climbing rose")
    page.locator("[name=on]").fill("2015-10-20")
    page.locator("[name=want]").fill("5")
    with page.expect_navigation():
        page.locator("main form button").last.click()
    expect(page.locator("main")).to_contain_text(re.compile("semi-hardwood", re.IGNORECASE))
    expect(page.locator("main")).to_contain_text("8 times in 10")
    paper = page.request.get(page.url.replace("/one-pot?", "/one-pot.pdf?"))
    assert paper.body().startswith(b"%PDF")


def test_a_usual_sticking_takes_eight_taps(own_demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, own_demo)
    page = phone.new_page()
    page.goto(own_demo.address + filled("/plants/{rested}", own_demo))
    before = query(own_demo, "select count(*) from records_sticking")[0][0]
    taps = Taps(page)
    taps.on("main a.slant")
    taps.on("[name=n_stuck]")
    page.keyboard.type("24")
    taps.count += 2
    taps.on("label:has([name=place])")
    taps.on("label:has([name=way])")
    taps.on("main form .slant")
    expect(page).to_have_url(re.compile("/stick/done"))
    assert taps.count <= 8
    assert query(own_demo, "select count(*) from records_sticking")[0][0] == before + 1  # type: ignore[operator]


def test_pressing_save_twice_saves_once(own_demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, own_demo)
    page = phone.new_page()
    page.goto(own_demo.address + filled("/batches/{batch}/look", own_demo))
    before = query(own_demo, "select count(*) from records_look")[0][0]
    page.locator("#look-form .foot .slant").dblclick(no_wait_after=True)
    expect(page).not_to_have_url(re.compile("/look$"))
    page.goto(own_demo.address + filled("/batches/{batch}", own_demo))
    assert query(own_demo, "select count(*) from records_look")[0][0] == before + 1  # type: ignore[operator]


def test_a_save_can_be_undone_at_once(own_demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, own_demo)
    page = phone.new_page()
    page.goto(own_demo.address + filled("/batches/{batch}/look", own_demo))
    page.locator("[data-figure='1']").click()
    page.locator("#look-form .foot .slant").click()
    page.locator(".saved button").click()
    expect(page.locator("main")).to_contain_text("taken back", ignore_case=True)
    assert query(own_demo, "select reason from records_withdrawal order by number desc limit 1") != []


@pytest.mark.parametrize("address", ["/", "/batches/{batch}/look", "/stick?plant={plant}"])
def test_spanish_pages_speak_spanish(demo: Served, phone: BrowserContext, address: str) -> None:
    sign_in(phone, demo)
    phone.add_cookies([{"name": "tongue", "value": "es", "url": demo.address}])
    page = phone.new_page()
    page.goto(demo.address + filled(address, demo))
    assert page.locator("html").get_attribute("lang") == "es"
    words = page.locator("body").inner_text().lower()
    for english in ("today", "rooted", "waiting", "stick ", "places", " save", "batches", "how many"):
        assert english not in words, english


def test_the_pages_record_without_a_script(own_demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, own_demo)
    plain = phone.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    plain.add_cookies(phone.cookies())  # type: ignore[arg-type]
    page = plain.new_page()
    page.goto(own_demo.address + filled("/batches/{batch}/look", own_demo))
    page.locator("[name=n_lost]").fill("1")
    page.locator("[name=cause][value=mould]").check(force=True)
    with page.expect_navigation():
        page.locator("#look-form .slant").click()
    assert query(own_demo, "select n_lost, cause from records_look order by number desc limit 1") == [
        (1, "mould")
    ]
    plain.close()
