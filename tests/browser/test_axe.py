"""Every page under axe-core, WCAG 2.0 to 2.2 A and AA: on two phones and a desk, light and dark."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext
from playwright.sync_api import Page as BrowserPage

from tests.browser.pages import PAGES, filled, go_to, sign_in
from tests.browser.served import ROOT, Served, serving
from tests.browser.shed import fill

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
#: where a thumb must land: the least side of a target in CSS px, and of what records
TARGET_PX, RECORDING_PX = 48, 64
RECORDING = "main .slant, main .key, main .step button"
WIDTHS = (320, 390, 1280)
#: what a theme may change is nothing but colours
ASKED = {"light": {"type": "tag", "values": TAGS}, "dark": {"type": "rule", "values": ["color-contrast"]}}


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
def shed(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Give a demonstration garden with something of all that pages show, served."""
    folder = tmp_path_factory.mktemp("shed")
    shutil.copyfile(demo_file, folder / "garden.sqlite3")
    fill(folder)
    with serving(folder) as served:
        yield served


@pytest.fixture(scope="module")
def visitors(browser: Browser, shed: Served) -> Iterator[dict[bool, BrowserContext]]:
    """Give browsers by whether somebody is signed in; axe is put in past the pages' own policy."""
    contexts = {is_in: browser.new_context(bypass_csp=True) for is_in in (True, False)}
    for context in contexts.values():
        context.set_default_timeout(15_000)
    sign_in(contexts[True], shed)
    yield contexts
    for context in contexts.values():
        context.close()


@pytest.fixture
def seen(page: Any, visitors: dict[bool, BrowserContext]) -> Iterator[BrowserPage]:
    """Give a tab of whoever looks at the page."""
    tab = visitors[page.signed_in].new_page()
    yield tab
    tab.close()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_page_has_no_findings(page: Any, seen: BrowserPage, shed: Served, axe: str) -> None:
    for width in WIDTHS:
        seen.set_viewport_size({"width": width, "height": 844})
        seen.emulate_media(color_scheme="light")
        answer = go_to(seen, page, shed)
        assert answer.status == page.status, page.name
        assert page.press or urlsplit(seen.url).path == urlsplit(filled(page.address, shed)).path
        seen.evaluate(axe)
        for theme, asked in ASKED.items():
            seen.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
            found = _findings(seen, width, asked)
            assert found == [], f"{page.name} at {width} px, {theme}: {json.dumps(found, indent=1)}"


def _findings(seen: BrowserPage, width: int, asked: dict[str, Any]) -> Any:
    """Return what axe finds on a page that kept its height while it was looked at."""
    for _ in range(5):
        _stretch_over_the_page(seen, width)
        found = seen.evaluate(
            "asked => axe.run(document, {runOnly: asked, resultTypes: ['violations']})"
            ".then(r => r.violations.map(v => [v.id, v.help,"
            " v.nodes.slice(0, 4).map(n => n.html + ' ' + n.failureSummary)]))",
            asked,
        )
        if seen.evaluate("document.documentElement.scrollHeight <= innerHeight"):
            return found
    raise AssertionError(f"the page at {seen.url} grew each time it was looked at")


def _stretch_over_the_page(seen: BrowserPage, width: int) -> None:
    """Make the window as tall as its page, so that what sticks to the foot of it hides nothing.

    A face that arrives late, or a script that shows or takes away a row, changes how tall the page
    is: the window follows until the page has kept its height over two frames.
    """
    seen.evaluate("document.fonts.ready.then(() => null)")
    height = 844
    for _ in range(10):
        seen.set_viewport_size({"width": width, "height": height})
        tall = seen.evaluate(
            "new Promise(told => requestAnimationFrame(() => requestAnimationFrame("
            "() => told(document.documentElement.scrollHeight))))"
        )
        if tall <= height:
            return
        height = tall
    raise AssertionError(f"the page at {seen.url} never came to rest")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_page_fits_a_narrow_phone_and_large_text(page: Any, seen: BrowserPage, shed: Served) -> None:
    seen.set_viewport_size({"width": 320, "height": 640})
    go_to(seen, page, shed)
    assert _past_the_edge(seen) == [], f"{page.name} at 320 px"
    assert _squeezed(seen) == [], f"{page.name} at 320 px"
    seen.evaluate("document.documentElement.style.fontSize = '200%'")
    assert _past_the_edge(seen) == [], f"{page.name} at 320 px with text at 200 %"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_targets_are_large_enough_for_a_gloved_thumb_and_words_have_room(
    page: Any, seen: BrowserPage, shed: Served
) -> None:
    seen.set_viewport_size({"width": 390, "height": 844})
    go_to(seen, page, shed)
    small = seen.evaluate(
        """([least, recording, more]) => [...document.querySelectorAll(
            'a[href], button, select, summary, input:not([type=hidden])')]
        .filter(one => one.checkVisibility() && !one.matches('.skip'))
        .filter(one => one.tagName !== 'A' || getComputedStyle(one).display !== 'inline'
            || !one.closest('p, li, td, dd, .small'))
        .map(one => [one.outerHTML.slice(0, 90), (one.closest('label') ?? one).getBoundingClientRect(),
            one.matches(recording) ? more : least])
        .filter(([, box, px]) => box.width > 1 && (box.height < px - .5 || box.width < least - .5))
        .map(([html, box]) => `${html} ${Math.round(box.width)} x ${Math.round(box.height)}`)""",
        [TARGET_PX, RECORDING, RECORDING_PX],
    )
    assert small == [], page.name
    assert _squeezed(seen) == [], f"{page.name} at 390 px"


def _squeezed(seen: BrowserPage) -> list[str]:
    """Return words that stand letter below letter."""
    found: list[str] = seen.evaluate(
        """() => [...document.querySelectorAll('main *')].filter(one => one.checkVisibility())
        .filter(one => [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim().length > 8))
        .map(one => [one, one.getBoundingClientRect()])
        .filter(([one, box]) => box.width > 1 && box.width < 45 && box.height > 4 * box.width)
        .map(([one]) => one.outerHTML.slice(0, 120))"""
    )
    return found


def _past_the_edge(seen: BrowserPage) -> list[str]:
    found: list[str] = seen.evaluate(
        """() => document.documentElement.scrollWidth <= document.documentElement.clientWidth + 1 ? [] :
        [...document.querySelectorAll('main *, header *, nav *')]
        .filter(one => one.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
        .filter(one => !one.closest('.scroll'))
        .slice(-6).map(one => one.outerHTML.slice(0, 120))"""
    )
    return found
