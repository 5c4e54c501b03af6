"""Every page under axe-core, WCAG 2.0 to 2.2 A and AA: at phone and desk width, light and dark."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.pages import PAGES, filled, sign_in
from tests.browser.served import ROOT, Served

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
#: where a thumb must land: the least side of a target in CSS px, and of what records
TARGET_PX = 44
LOOKS = [(390, "light"), (390, "dark"), (1280, "light"), (1280, "dark")]


@pytest.fixture(scope="module")
def axe() -> str:
    """Give axe-core's source."""
    if not AXE.exists():
        words = "axe-core is missing: npm ci (make test does it; ALLOW_SKIP=1 skips)"
        if os.environ.get("ALLOW_SKIP") == "1":
            pytest.skip(words)
        pytest.fail(words)
    return AXE.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def visitor(browser: Browser, demo: Served) -> Iterator[BrowserContext]:
    """Give a browser signed in to the demonstration garden; axe is put in past the pages' own policy."""
    context = browser.new_context(bypass_csp=True)
    context.set_default_timeout(15_000)
    sign_in(context, demo)
    yield context
    context.close()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_page_has_no_findings(page: Any, visitor: BrowserContext, demo: Served, axe: str) -> None:
    seen = visitor.new_page()
    try:
        for width, theme in LOOKS:
            seen.set_viewport_size({"width": width, "height": 844})
            seen.emulate_media(color_scheme=theme)
            answer = seen.goto(demo.address + filled(page.address, demo))
            assert answer is not None
            assert answer.status in (200, 422), (page.name, answer.status)
            # as tall as the page, so that what sticks to the foot of the window hides nothing
            tall = seen.evaluate("document.documentElement.scrollHeight")
            seen.set_viewport_size({"width": width, "height": max(844, tall)})
            seen.evaluate(axe)
            found = seen.evaluate(
                "tags => axe.run(document, {runOnly: tags, resultTypes: ['violations']})"
                ".then(r => r.violations.map(v => [v.id, v.help,"
                " v.nodes.slice(0, 4).map(n => n.html + ' ' + n.failureSummary)]))",
                TAGS,
            )
            assert found == [], f"{page.name} at {width} px, {theme}: {json.dumps(found, indent=1)}"
    finally:
        seen.close()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_page_fits_a_narrow_phone_and_large_text(page: Any, visitor: BrowserContext, demo: Served) -> None:
    seen = visitor.new_page()
    try:
        seen.set_viewport_size({"width": 320, "height": 640})
        seen.goto(demo.address + filled(page.address, demo))
        assert _past_the_edge(seen) == [], f"{page.name} at 320 px"
        seen.evaluate("document.documentElement.style.fontSize = '200%'")
        assert _past_the_edge(seen) == [], f"{page.name} at 320 px with text at 200 %"
    finally:
        seen.close()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_targets_are_large_enough_for_a_gloved_thumb(
    page: Any, visitor: BrowserContext, demo: Served
) -> None:
    seen = visitor.new_page()
    try:
        seen.set_viewport_size({"width": 390, "height": 844})
        seen.goto(demo.address + filled(page.address, demo))
        small = seen.evaluate(
            """least => [...document.querySelectorAll(
                'a[href], button, select, summary, input:not([type=hidden])')]
            .filter(one => !one.closest('p, li > span, td, dd, .skip, .small') && one.checkVisibility())
            .map(one => [one.outerHTML.slice(0, 90), (one.closest('label') ?? one).getBoundingClientRect()])
            .filter(([, box]) => box.width > 1 && (box.height < least || box.width < least))
            .map(([html, box]) => `${html} ${Math.round(box.width)} x ${Math.round(box.height)}`)""",
            TARGET_PX,
        )
        assert small == [], page.name
    finally:
        seen.close()


def _past_the_edge(seen: Page) -> list[str]:
    found: list[str] = seen.evaluate(
        """() => document.documentElement.scrollWidth <= document.documentElement.clientWidth + 1 ? [] :
        [...document.querySelectorAll('main *, header *, nav *')]
        .filter(one => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
        .filter(one => !one.closest('.scroll'))
        .slice(-6).map(one => one.outerHTML.slice(0, 120))"""
    )
    return found
