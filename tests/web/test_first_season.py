"""The page that leads through a first season calls pages, keys and boxes as they are called."""

from __future__ import annotations

import re
from pathlib import Path

import slipwright.web

ROOT = Path(__file__).parents[2]
MESSAGES = Path(slipwright.web.__file__).parent / "locale" / "es" / "LC_MESSAGES" / "django.po"
#: set apart for another reason: a plant, what the command line prints, an instruction
NO_NAMES = {"Rosa", "Blackcurrant 1", "Come in here, once", "bend the shoot"}


def _said_on_pages() -> set[str]:
    lines = re.findall(r'^msgid ((?:".*"\n)+)', MESSAGES.read_text(encoding="utf-8"), re.MULTILINE)
    return {"".join(re.findall(r'"(.*)"\n', text)).replace("%%", "%").lower() for text in lines}


def test_every_name_in_the_first_season_is_said_on_a_page() -> None:
    page = (ROOT / "docs" / "first-season.md").read_text(encoding="utf-8")
    named = {
        name for bold, slant in re.findall(r"\*\*([^*\n]+)\*\*|\*([^*\n]+)\*", page) for name in (bold, slant)
    }
    asked = {re.sub(r"\d+", "%n%", name.lower()): name for name in named - NO_NAMES - {""}}
    assert len(asked) > 30
    said = _said_on_pages()
    assert {name for key, name in asked.items() if key not in said} == set()
