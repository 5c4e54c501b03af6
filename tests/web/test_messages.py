"""The pages speak Spanish: the catalogue holds every message, and what is compiled is what was translated."""

from __future__ import annotations

import gettext
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import override_settings

import slipwright
from slipwright.web import messages

PACKAGE = Path(slipwright.__file__).parent
CATALOGUE = PACKAGE / "web" / "locale" / "es" / "LC_MESSAGES"
PLACES = re.compile(r"%\(\w+\)[sd]|(?<!{)\{\w+(?=[:}])|%n")


def pairs(file: Path) -> dict[str, tuple[str, ...]]:
    """Return the messages of a compiled catalogue: English, and what is said."""
    with file.open("rb") as stream:
        found = gettext.GNUTranslations(stream)
    said: dict[str, tuple[str, ...]] = {}
    for key, text in found._catalog.items():  # type: ignore[attr-defined]
        english = key[0] if isinstance(key, tuple) else key
        said[english] = (*said.get(english, ()), text)
    said.pop("", None)
    return said


SPANISH = pairs(CATALOGUE / "django.mo")


@pytest.fixture(scope="module")
def gathered(tmp_path_factory: pytest.TempPathFactory, need_program: Callable[[str], str]) -> Path:
    """Gather the messages anew, in a copy of the package."""
    need_program("xgettext")
    copy = tmp_path_factory.mktemp("package") / "slipwright"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__", "*.ttf", "*.woff2", "*.csv"))
    with override_settings(LOCALE_PATHS=[str(copy / "web" / "locale")]):
        messages.gather(copy)
    return copy / "web" / "locale" / "es" / "LC_MESSAGES" / "django.po"


def test_no_message_is_left_in_english(gathered: Path, need_program: Callable[[str], str]) -> None:
    left = subprocess.run(
        [need_program("msgattrib"), "--untranslated", "--no-obsolete", str(gathered)],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert left == ""


def test_what_is_compiled_is_what_was_translated(tmp_path: Path, need_program: Callable[[str], str]) -> None:
    subprocess.run(
        [need_program("msgfmt"), "-o", str(tmp_path / "es.mo"), str(CATALOGUE / "django.po")], check=True
    )
    assert pairs(tmp_path / "es.mo") == SPANISH


def test_what_is_put_in_stays_put_in() -> None:
    wrong = [
        english
        for english, said in SPANISH.items()
        if len(said) == 1 and sorted(PLACES.findall(said[0])) != sorted(PLACES.findall(english))
    ]
    assert wrong == []


def test_there_is_much_to_say() -> None:
    assert len(SPANISH) > 1000
    assert SPANISH["Today"] == ("Hoy",)
