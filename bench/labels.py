"""CPU time of 1,000 labels, each with a symbol of its own.

Method: 1,000 labels with different codes and names, 16 stakes to an A4 sheet, with an address before
the code; the figure is process time of this process around one call, after one call with ten labels
to import what is imported late. Limit 8 s.
"""

from __future__ import annotations

import random
import sys
import time
from datetime import date

from slipwright.advice.label import label_of_batch
from slipwright.outputs.labels import labels_pdf
from slipwright.outputs.stock import parse_stock

N = 1000
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
NAMES = ("Rosa 'Lantern Keeper'", "Lavandula angustifolia 'Grey Heron'", "Salvia rosmarinus", "Ribes nigrum")


def main() -> int:
    print(__doc__)
    draw = random.Random(1)
    labels = [
        label_of_batch(
            code="".join(draw.choices(ALPHABET, k=8)),
            taxon=NAMES[n % len(NAMES)],
            stuck_on=date(2026, 9, 1 + n % 30),
            treatment="IBA 1,000",
            place=f"Tent {n % 3 + 1}",
        )
        for n in range(N)
    ]
    stock = parse_stock("stake")
    options = {
        "title": "Labels",
        "garden": "Saltmarsh Lane Community Garden",
        "base": "HTTPS://EXAMPLE.ORG/B/",
    }
    labels_pdf(labels[:10], stock, **options)
    begun = time.process_time()
    printed = labels_pdf(labels, stock, **options)
    print(f"{N} labels, {printed.n_pages} pages, {len(printed.pdf) / 1024:.0f} KiB: ", end="")
    used = time.process_time() - begun
    print(f"{used:.2f} s CPU (limit 8)")
    return 0 if used <= 8 else 1


if __name__ == "__main__":
    sys.exit(main())
