"""A look on a small phone: how many taps it takes, what fits, and what the keys do."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.pages import filled, sign_in
from tests.browser.served import Served


@pytest.fixture
def look(browser: Browser, own_demo: Served) -> Iterator[Page]:
    """Give the page of a look on the smallest phone."""
    context = browser.new_context(viewport={"width": 360, "height": 640}, has_touch=True, is_mobile=True)
    context.set_default_timeout(15_000)
    sign_in(context, own_demo)
    page = context.new_page()
    page.goto(own_demo.address + filled("/batches/{batch}/look", own_demo))
    yield page
    context.close()


def test_the_usual_look_is_four_taps_and_the_sum_is_worked_out(look: Page) -> None:
    waiting = int(look.locator("[data-waiting-out]").inner_text())
    save = look.locator("[data-submit]")
    expect(save).to_contain_text("Save, no change")
    look.get_by_role("button", name="1", exact=True).tap()
    look.locator("[name=n_lost]").tap()
    look.get_by_role("button", name="2", exact=True).tap()
    expect(look.locator("[data-sum-words]")).to_have_text(f"1 + 2 + {waiting - 3} = {waiting}. It adds up.")
    expect(save).not_to_contain_text("no change")
    save.tap()
    expect(look.locator(".saved")).to_contain_text("1 rooted, 2 lost")
    look.locator(".saved").get_by_role("button", name="Undo").tap()
    expect(look.locator(".saved")).to_contain_text("Taken back")


def test_from_the_title_to_save_nothing_has_to_be_scrolled(look: Page) -> None:
    keys = look.locator("[data-keys]").bounding_box()
    foot = look.locator(".foot").bounding_box()
    assert keys is not None
    assert foot is not None
    assert keys["y"] + keys["height"] <= foot["y"]
    assert foot["y"] + foot["height"] <= 640


def test_all_the_rest_wipe_and_too_many(look: Page) -> None:
    waiting = int(look.locator("[data-waiting-out]").inner_text())
    rooted = look.locator("[name=n_rooted]")
    look.locator("[data-rest]").tap()
    expect(rooted).to_have_value(str(waiting))
    look.locator("[data-wipe]").tap()
    expect(rooted).to_have_value("")
    for _ in range(3):
        look.get_by_role("button", name="9", exact=True).tap()
    expect(look.locator("[data-sum-words]")).to_contain_text(f"{999 - waiting} too many")
    expect(look.locator("[data-waiting-out]")).to_have_text("?")


def test_why_lost_is_asked_only_where_something_is(look: Page) -> None:
    why = look.locator("[data-cause]")
    expect(why).to_be_hidden()
    look.locator("[name=n_lost]").tap()
    look.get_by_role("button", name="1", exact=True).tap()
    expect(why).to_be_visible()
