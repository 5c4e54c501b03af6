"""A picture of every page at phone and desk width, light and dark, of a demonstration garden made anew.

python -m tests.browser.gallery FOLDER
"""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import BrowserContext, sync_playwright

from tests.browser.pages import PAGES, Page, go_to, sign_in
from tests.browser.served import TOOL, Served, environment, serving
from tests.browser.shed import fill

WIDTHS = {"phone": 390, "desk": 1280}
THEMES = ("light", "dark")
#: pages longer than this are cut: the rest is on the page itself
LONGEST_PX = 6000
COLOURS = 128


def main(folder: Path) -> None:
    """Write the pictures and the page that shows them."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.png"):
        old.unlink()
    with tempfile.TemporaryDirectory() as home:
        env = environment(Path(home))
        subprocess.run([*TOOL, "demo", "--garden", f"{home}/garden.sqlite3"], env=env, check=True)
        fill(Path(home))
        with serving(Path(home)) as served, sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox"]
            )
            visitors = {is_in: browser.new_context() for is_in in (True, False)}
            sign_in(visitors[True], served)
            for page in PAGES:
                _pictures(visitors[page.signed_in], served, page, folder)
                print(page.name, flush=True)  # noqa: T201
            browser.close()
    (folder / "README.md").write_text(_index(), encoding="utf-8")


def _pictures(context: BrowserContext, served: Served, page: Page, folder: Path) -> None:
    seen = context.new_page()
    for where, width in WIDTHS.items():
        for theme in THEMES:
            seen.set_viewport_size({"width": width, "height": 844})
            seen.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
            go_to(seen, page, served)
            seen.wait_for_load_state("networkidle")
            image = Image.open(io.BytesIO(seen.screenshot(full_page=True)))
            image = image.crop((0, 0, image.width, min(image.height, LONGEST_PX)))
            few = image.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
            few.save(folder / f"{page.name}-{where}-{theme}.png", optimize=True)
    seen.close()


def _index() -> str:
    lines = [
        "# Every page, as it looks",
        "",
        "Made by `make gallery` from the demonstration garden: every plant and name in it is invented.",
        "Phone is 390 px wide, desk 1280 px.",
        "",
        "| page | " + " | ".join(f"{where}, {theme}" for where in WIDTHS for theme in THEMES) + " |",
        "|---|" + "---|" * (len(WIDTHS) * len(THEMES)),
    ]
    for page in PAGES:
        links = [
            f"[{where} {theme}]({page.name}-{where}-{theme}.png)" for where in WIDTHS for theme in THEMES
        ]
        lines.append(f"| {page.name} | " + " | ".join(links) + " |")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main(Path(sys.argv[1]))
