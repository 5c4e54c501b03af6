"""Gather the messages of pages and advice for translation, and compile what was translated.

What stands in the handbook's files and the meanings of columns are gathered by way of a file that lists
them while the messages are read.

python -m slipwright.web.messages    (needs the gettext programs; the compiled files are kept beside)
"""

from __future__ import annotations

import os
from pathlib import Path

import django
from django.core.management import call_command
from django.core.management.commands import makemessages

from slipwright.handbook import load_handbook
from slipwright.handbook.shown import shown_texts
from slipwright.records.columns import TABLES

PACKAGE = Path(__file__).parents[1]
LISTED = "web/listed_messages.py"


class Gather(makemessages.Command):
    """Django's gathering, which also takes the sentences of ``craft.said.Said``."""

    xgettext_options = [*makemessages.Command.xgettext_options, "--keyword=Said:1"]
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]


def gather(package: Path = PACKAGE) -> None:
    """Write the messages of every package into the catalogue of each tongue, which lies in ``web/locale``."""
    before = Path.cwd()
    listed = package / LISTED
    os.chdir(package)
    listed.write_text("".join(f"Said({text!r})\n" for text in texts_of_tables_and_handbook()), "utf-8")
    try:
        call_command(
            Gather(),
            locale=["es"],
            add_location="file",
            no_wrap=True,
            no_obsolete=True,
            verbosity=0,
        )
    finally:
        listed.unlink()
        os.chdir(before)


def texts_of_tables_and_handbook() -> list[str]:
    """Return the words that pages show and no line of the program holds."""
    meanings = [column.meaning for table in TABLES for column in table.columns if column.meaning]
    return list(dict.fromkeys([*meanings, *shown_texts(load_handbook())]))


def compiled() -> None:
    """Compile the catalogues."""
    before = Path.cwd()
    os.chdir(PACKAGE)
    try:
        call_command("compilemessages", locale=["es"], verbosity=0)
    finally:
        os.chdir(before)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")
    django.setup()
    gather()
    compiled()
