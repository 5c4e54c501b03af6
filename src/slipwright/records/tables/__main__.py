"""Write the page about the tables: ``python -m slipwright.records.tables [FILE]``."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import django


def main(arguments: list[str]) -> None:
    """Write the page to the file named, or to docs/tables.md below the present folder."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")
    django.setup()
    from slipwright.records.tables.printing import tables_markdown

    file = Path(arguments[0]) if arguments else Path("docs", "tables.md")
    file.write_text(tables_markdown(), "utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
