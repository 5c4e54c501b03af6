"""Gather the messages of pages and advice for translation, and compile what was translated.

python -m slipwright.web.messages    (needs the gettext programs; the compiled files are kept beside)
"""

from __future__ import annotations

import os
from pathlib import Path

import django
from django.core.management import call_command
from django.core.management.commands import makemessages

PACKAGE = Path(__file__).parents[1]


class Gather(makemessages.Command):
    """Django's gathering, which also takes the sentences of ``craft.said.Said``."""

    xgettext_options = [*makemessages.Command.xgettext_options, "--keyword=Said:1"]
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]


def gather(package: Path = PACKAGE) -> None:
    """Write the messages of every package into the catalogue of each tongue, which lies in ``web/locale``."""
    before = Path.cwd()
    os.chdir(package)
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
        os.chdir(before)


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
