"""The guided first season of the docs can be gone through as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.pages import sign_in
from tests.browser.served import PATIENCE_S, Served

GUIDE = (Path(__file__).parents[2] / "docs" / "first-season.md").read_text(encoding="utf-8")


def press(page: Page, name: str) -> None:
    """Press the first button of a name and wait for the page it leads to."""
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile(name)).first.click()


def follow(page: Page, name: str) -> None:
    """Follow the first link of a name, wherever on the page it stands."""
    with page.expect_navigation():
        page.get_by_role("link", name=re.compile(name)).first.click()


def look(page: Page, batch: str, **counted: int) -> None:
    """Count what a look finds; the page may ask whether that was really so."""
    page.goto(batch + "/look")
    for name, n in counted.items():
        field = page.locator(f"[name={name}]")
        field.evaluate("(field, n) => { field.value = n; field.dispatchEvent(new Event('input')); }", str(n))
    if counted.get("n_lost"):
        page.locator("[name=cause][value=rot-from-base]").check(force=True)
    really = page.get_by_role("button", name="It was really so")
    page.locator("#look-form .foot .slant").click()
    page.wait_for_function(
        "() => !location.pathname.endsWith('/look')"
        " || [...document.querySelectorAll('[data-really]')].some((one) => one.checkVisibility())"
    )
    if page.url.endswith("/look") and really.is_visible():
        really.click()
    expect(page).not_to_have_url(re.compile("/look$"))
    page.wait_for_load_state("load")


def test_the_guided_first_season_is_gone_through(own_demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, own_demo)
    page = phone.new_page()
    home = own_demo.address

    # 3: what is wanted
    page.goto(home + "/garden")
    follow(page, "^Wants")
    follow(page, "Write down a want")
    for name, value in {"want": "School fence", "n_wanted": "12", "ready_by": "2016-11-01"}.items():
        page.locator(f"[name={name}]").fill(value)
    page.locator("[name=taxon]").first.select_option("Rosa 'Salt Letter'")
    page.locator("[name=ready_as]").first.select_option("finished")
    page.locator("[name=assurance]").select_option("0.8")
    with page.expect_navigation():
        page.locator("main form button").last.click()

    # 4: what can be promised
    page.goto(home + "/season")
    page.get_by_role("button", name=re.compile("Plan")).first.click()
    use = page.get_by_role("button", name=re.compile("^Use"))
    use.first.wait_for(timeout=PATIENCE_S * 1000)
    expect(page.locator("main")).to_contain_text("School fence")
    press(page, "^Use")
    expect(page.locator("main")).to_contain_text(re.compile("Likely|Short"))

    # 6: cut and stick from a line, labels
    page.goto(home + "/")
    expect(page.locator("main")).to_contain_text("This week’s cuttings")
    page.locator("a[href*='/stick?plan=']").first.click()
    expect(page).to_have_url(re.compile("/stick"))
    assert int(page.locator("[name=n_stuck]").input_value()) > 0
    if not page.locator("[name=place]:checked").count():
        page.locator("label:has([name=place])").first.click()
    page.locator("main form .slant").click()
    expect(page).to_have_url(re.compile("/stick/done"))
    batch = home + str(page.locator("main a[href^='/batches/']").first.get_attribute("href"))
    page.goto(home + "/labels")
    expect(page.locator("h1")).to_be_visible()

    # 7: rounds, with the clock set on
    page.goto(home + "/")
    press(page, "A week on")
    press(page, "A week on")
    look(page, batch, n_rooted=0, n_lost=1)
    page.goto(home + "/")
    press(page, "A week on")
    look(page, batch, n_rooted=6)
    page.goto(home + "/")
    press(page, "Four weeks on")
    look(page, batch, n_rooted=12, n_lost=1)

    # 8: pot up
    page.goto(batch + "/pot-up?all-the-same=1")
    page.locator("[name=n_potted]").fill("18")
    with page.expect_navigation():
        page.locator("#pot-form .foot .slant").click()

    # 9: ready, and a card
    page.goto(home + "/")
    press(page, "Four weeks on")
    page.goto(batch + "/outcome")
    page.locator("[name=ready_as][value=established]").check(force=True)
    page.locator("[name=n_reached]").fill("17")
    page.locator("[name=fate][value=given]").check(force=True)
    with page.expect_navigation():
        page.locator("main form .slant").click()
    page.goto(batch + "/card")
    expect(page.locator("h1")).to_be_visible()

    # 10: what it taught
    for address, name in (
        ("/findings", "Findings"),
        ("/findings/forecasts", "Forecasts"),
        ("/trials", "Trials"),
        ("/papers", "Papers"),
    ):
        assert page.goto(home + address).status == 200  # type: ignore[union-attr]
        expect(page.locator("h1")).to_contain_text(name)


def test_what_the_guide_calls_by_name_is_on_the_pages(demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, demo)
    page = phone.new_page()
    said = ""
    for address in ("/", "/garden", "/season", "/findings", "/wants", "/batches"):
        page.goto(demo.address + address)
        said += page.locator("body").inner_text()
    for named in (
        "A week on",
        "Four weeks on",
        "Wants",
        "Season",
        "Weaning to ready",
        "Findings",
        "Trials",
        "Papers",
    ):
        assert f"*{named}*" in GUIDE
        assert named in said, named
