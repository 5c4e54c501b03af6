"""From wants to a programme in use, and from a line of it to a batch that is stuck."""

from __future__ import annotations

import re

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.pages import sign_in
from tests.browser.served import PATIENCE_S, Served

#: a programme of the demonstration garden takes seconds; two processors busy with other things, longer
MADE_MS = 3_000 * PATIENCE_S


def asked_and_used(page: Page, home: str) -> None:
    """Ask for a programme, wait beside its bar until it is made, and use it."""
    page.goto(home + "/season")
    again = page.locator("button[name=again]")
    if again.count():
        again.first.click()
    # the page turns by itself once it is made
    expect(page.locator("section.tried")).to_be_visible(timeout=MADE_MS)
    expect(page.locator("[data-season-planning]")).to_have_count(0)
    page.locator("form[action='/season/use'] button").click()
    expect(page.locator("section.tried")).to_have_count(0)


def test_asked_for_used_and_this_weeks_line_stuck(own_demo: Served, phone: BrowserContext) -> None:
    sign_in(phone, own_demo)
    page, home = phone.new_page(), own_demo.address
    asked_and_used(page, home)

    # at the head of the page: what to do this week, why, and where it leads
    card = page.locator("#now")
    expect(card).to_be_in_viewport()
    expect(card).to_contain_text("of sticking")
    stake = card.locator("a.stake").first
    told = re.search(r"Stick (\d+)", stake.inner_text())
    assert told is not None
    n, line = int(told[1]), stake.get_attribute("href")
    assert line is not None
    crew = page.request.get(home + str(card.locator("a[hreflang=es]").get_attribute("href")))
    assert crew.body().startswith(b"%PDF")

    # the same stands on Today
    page.goto(home + "/")
    expect(page.locator(f"a.stake[href='{line}']")).to_have_count(1)

    # one press on it and all is filled in but what only the eye can tell
    page.goto(home + "/season")
    page.locator(f"#now a.stake[href='{line}']").click()
    expect(page.locator("main")).to_contain_text("From the programme, line")
    there = int(page.locator("[name=n_stuck]").input_value())
    assert 0 < there <= n
    assert page.locator("select[name=want]").input_value()
    assert page.locator("[name=way]:checked").count() == 1
    page.locator("[name=n_stuck]").fill(str(n))
    if not page.locator("[name=place]:checked").count():
        page.locator("[name=place]").first.check(force=True)
    page.locator("main form .slant").last.click()
    expect(page).to_have_url(re.compile("/stick/done"))

    # it is shown as stuck, and urged no more
    page.goto(home + "/season")
    expect(page.locator(f"a[href='{line}']")).to_have_count(0)
    number = int(re.findall(r"line=(\d+)", line)[0]) + 1
    expect(page.locator(f"#line-{number}")).to_contain_text(f"stuck {n} by")
    page.goto(home + "/")
    expect(page.locator(f"a[href='{line}']")).to_have_count(0)
    assert "errors" not in own_demo.said.read_text()
