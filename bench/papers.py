"""How long the papers of a large garden take: a year sheet of 200 plants, and a season report.

    python bench/papers.py

The garden is made anew in a temporary file: 200 stock plants over all pages of the handbook in turn, each
with five years of its own (bud break, first flowers, leaf fall, two feels of firmness a year), 15 years of
daily weather made by a random generator, 10,000 batches of one season with four looks each, half of them
potted and half of those finished, 40 wants with a price, and costs. Entries are put in at once, as a load
does; then totals are summed. The first run of each paper counts, imports and all that is remembered later
included; processor time is that of this one process. Limits: year sheet 5 s, season report 10 s.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

import numpy as np

ON = date(2026, 10, 20)
N_PLANTS, N_YEARS, N_WEATHER_YEARS, N_BATCHES, N_WANTS = 200, 5, 15, 10_000, 40
LIMITS = {"year sheet": 5.0, "season report": 10.0}
HEADS = {
    "garden": "name,latitude_deg,longitude_deg,time_zone,round_days,currency",
    "members": "member,role",
    "taxa": "taxon,flowers,rights",
    "plants": "plant,taxon",
    "containers": "container,volume_ml,cost_item",
    "media": "medium,parts",
    "costs": "item,unit,cost",
    "wants": "want,taxon,n_wanted,ready_by,ready_as,assurance,value_each",
    "stages": "plant,on,bbch",
    "firmness": "plant,on,firmness_mid",
    "batches": "batch,taxon,plant,stuck_on,n_stuck,wood,want,container,n_per_container,medium,minutes",
    "looks": "batch,on,n_rooted,n_lost,cause",
    "pottings": "batch,on,n_potted",
    "outcomes": "batch,on,ready_as,n_reached,n_lost",
    "weather": "on,tmin_c,tmax_c",
}


def tables(draw: np.random.Generator) -> dict[str, list[tuple[object, ...]]]:
    """Return the rows of every table."""
    from slipwright.advice.timing import bloom_days
    from slipwright.handbook import load_handbook

    pages = load_handbook().pages
    rows: dict[str, list[tuple[object, ...]]] = {name: [] for name in HEADS}
    rows["garden"] = [("Bench garden", 41.1, -72.4, "America/New_York", 7, "USD")]
    rows["members"] = [("bea", "owner")]
    rows["containers"] = [("pot", 1000, "pot")]
    rows["media"] = [("mix", "perlite:1;vermiculite:1")]
    rows["costs"] = [
        ("pot", "each", 0.3),
        ("perlite", "litre", 0.14),
        ("vermiculite", "litre", 0.2),
        ("labour", "hour", 15),
    ]
    taxa = []
    for i in range(N_PLANTS):
        page = pages[i % len(pages)]
        taxon = f"{page.taxa[0]} 'Bench {i}'"
        taxa.append((taxon, page))
        rows["taxa"].append((taxon, page.bloom.flowers, "none"))
        rows["plants"].append((f"plant {i}", taxon))
        book = bloom_days(page, date(2026, 6, 1))[0]
        for year in range(N_YEARS):
            off = timedelta(days=round(float(draw.normal(0, 6))) - 365 * year)
            for bbch, usual in ((8, date(2026, 3, 25)), (60, book), (95, date(2025, 11, 5))):
                rows["stages"].append((f"plant {i}", usual + off, bbch))
            for felt, usual in ((2, date(2026, 6, 5)), (3, date(2026, 7, 20))):
                rows["firmness"].append((f"plant {i}", usual + off, felt))
    for i in range(N_WANTS):
        rows["wants"].append((f"want {i}", taxa[i][0], 40, date(2026, 12, 1), "finished", 0.8, 6))
    causes = ("rot-from-base", "dried", "mould", "dieback-from-top", "")
    for i in range(N_BATCHES):
        place = i % N_PLANTS
        taxon, page = taxa[place]
        stuck_on = date(2026, 1, 5) + timedelta(days=int(draw.integers(0, 150)))
        wood = list(page.woods)[i % len(page.woods)]
        want = f"want {place}" if place < N_WANTS else ""
        rows["batches"].append(
            (f"B{i:06}", taxon, f"plant {place}", stuck_on, 50, wood, want, "pot", 10, "mix", 45)
        )
        for look in range(4):
            on = stuck_on + timedelta(days=14 * (look + 1))
            rows["looks"].append(
                (f"B{i:06}", on, int(draw.integers(0, 9)), int(draw.integers(0, 3)), causes[i % 5])
            )
        if i % 2:
            rows["pottings"].append((f"B{i:06}", stuck_on + timedelta(days=70), 5))
        if i % 4 == 1:
            rows["outcomes"].append((f"B{i:06}", stuck_on + timedelta(days=120), "finished", 4, 1))
    first = ON - timedelta(days=365 * N_WEATHER_YEARS)
    for n in range((ON - first).days):
        on = first + timedelta(days=n)
        mean = 11 - 9 * np.cos(2 * np.pi * (on.timetuple().tm_yday - 20) / 365) + draw.normal(0, 3)
        rows["weather"].append((on, round(mean - 5, 1), round(mean + 5, 1)))
    return rows


def fill(folder: Path) -> None:
    """Write the tables as files."""
    for name, rows in tables(np.random.default_rng(1)).items():
        lines = [HEADS[name], *(",".join("" if cell is None else str(cell) for cell in row) for row in rows)]
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> int:
    print(__doc__)
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        (folder / "tables").mkdir()
        fill(folder / "tables")
        os.environ["SLIPWRIGHT_DATABASE_URL"] = f"sqlite:///{folder / 'garden.sqlite3'}"
        os.environ["SLIPWRIGHT_TODAY"] = ON.isoformat()
        from click.testing import CliRunner

        from slipwright.cli import main as slipwright

        loaded = CliRunner().invoke(slipwright, ["load", str(folder / "tables")])
        if loaded.exit_code:
            print(loaded.output)
            return 1
        asked = {
            "year sheet": ["year-sheet", "--year", "2027", "--each-plant", "--out", str(folder / "y.pdf")],
            "season report": ["season-report", "--season", "2026", "--out", str(folder / "s.pdf")],
        }
        missed = False
        for paper, command in asked.items():
            wall, used = time.perf_counter(), time.process_time()
            result = CliRunner().invoke(slipwright, command)
            wall, used = time.perf_counter() - wall, time.process_time() - used
            last = result.output.strip().splitlines()[-1].rpartition(":")[0]
            print(f"{paper}: {wall:.2f} s, {used:.2f} s CPU (limit {LIMITS[paper]:g} s); {last}")
            missed |= bool(result.exit_code) or wall > LIMITS[paper]
        return int(missed)


if __name__ == "__main__":
    sys.exit(main())
