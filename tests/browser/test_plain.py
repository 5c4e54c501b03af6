"""The pages with scripts switched off: everything can be recorded, undone, and come into."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.pages import filled
from tests.browser.served import Served

PASSWORD = "heel and mallet 7"


@pytest.fixture
def plain(browser: Browser, own_demo: Served) -> Iterator[Page]:
    """Give a phone without scripts, its owner let in by a link."""
    context = browser.new_context(
        java_script_enabled=False, viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    context.set_default_timeout(15_000)
    page = context.new_page()
    page.goto(f"{own_demo.address}/let-in/{own_demo.sign_in_code()}")
    page.get_by_role("button", name="Come in").click()
    expect(page).to_have_url(own_demo.address + "/")
    yield page
    context.close()


def test_four_entries_stick_a_batch(plain: Page, own_demo: Served) -> None:
    plain.goto(own_demo.address + filled("/plants/{rested}", own_demo))
    plain.locator("main a.slant").first.click()
    plain.locator("[name=n_stuck]").fill("24")
    plain.locator("label:has([name=place])").first.click()
    plain.locator("label:has([name=way])").first.click()
    plain.locator("main form .slant").click()
    expect(plain).to_have_url(re.compile("/stick/done"))
    expect(plain.locator(".saved")).to_contain_text("Stuck 24")


def test_a_missing_number_is_said_and_the_rest_stays(plain: Page, own_demo: Served) -> None:
    plain.goto(own_demo.address + filled("/stick?plant={rested}", own_demo))
    plain.locator("label:has([name=place])").first.click()
    plain.locator("main form .slant").click()
    expect(plain.locator("#wrong-n_stuck")).to_be_visible()
    expect(plain.locator("[name=place]").first).to_be_checked()


def test_a_sticking_is_undone(plain: Page, own_demo: Served) -> None:
    plain.goto(own_demo.address + filled("/stick?plant={rested}", own_demo))
    plain.locator("[name=n_stuck]").fill("6")
    plain.locator("label:has([name=place])").first.click()
    plain.locator("main form .slant").click()
    plain.locator(".saved").get_by_role("button", name="Undo").click()
    expect(plain.locator(".saved")).to_contain_text("Taken back: Stuck 6")
    expect(plain.locator(".saved button")).to_have_count(0)


def test_rooted_ones_are_potted_up_and_that_is_undone(plain: Page, own_demo: Served) -> None:
    plain.goto(own_demo.address + filled("/batches/{to_pot}/pot-up?all-the-same=1", own_demo))
    plain.locator("label:has([name=roots][value=now])").click()
    plain.locator("[name=n_potted]").fill("1")
    why = plain.locator("label.card [name=note]")  # asked for in some months only
    if why.count():
        why.fill("they were dry")
    plain.locator("#pot-form .foot .slant").click()
    expect(plain).not_to_have_url(re.compile("/pot-up"))
    expect(plain.locator(".saved")).to_contain_text("1 potted")
    plain.locator(".saved").get_by_role("button", name="Undo").click()
    expect(plain.locator(".saved")).to_contain_text("Taken back: 1 potted")


def test_a_password_is_set_and_signs_in(plain: Page, own_demo: Served) -> None:
    plain.goto(own_demo.address + "/garden")
    said = plain.locator("main").inner_text()
    found = re.search(r"goes with the sign-in name (\S+)\.", said)
    assert found, said
    plain.locator("[name=password]").fill(PASSWORD)
    plain.locator("form[action$='/password'] button").click()
    expect(plain.locator(".saved")).to_contain_text("The new password is kept.")
    plain.locator("form[action$='/sign-out'] button").first.click()
    expect(plain).to_have_url(re.compile("/sign-in"))
    plain.locator("[name=username]").fill(found[1])
    plain.locator("[name=password]").fill("not it at all")
    plain.get_by_role("button", name="Sign in").click()
    expect(plain.get_by_role("alert")).to_contain_text("do not go together")
    plain.locator("[name=password]").fill(PASSWORD)
    plain.get_by_role("button", name="Sign in").click()
    expect(plain).to_have_url(own_demo.address + "/")
