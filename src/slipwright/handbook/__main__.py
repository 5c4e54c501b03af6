"""Write the handbook as a page to read: ``python -m slipwright.handbook [FILE]``."""

from __future__ import annotations

import sys
from pathlib import Path

from slipwright.handbook.printing import handbook_markdown
from slipwright.handbook.reading import load_handbook


def main(arguments: list[str]) -> None:
    """Write the page to the file named, or to docs/handbook.md below the present folder."""
    file = Path(arguments[0]) if arguments else Path("docs", "handbook.md")
    file.write_text(handbook_markdown(load_handbook()), "utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
