"""How long the findings of a garden of 10,000 batches take: to work out, and to show.

    python bench/findings.py [--small]

Method: a garden of its own is made in a temporary folder: 10,000 batches of 20 cuttings of 120 plants in
three woods, of five parts of the shoot, four lengths, five doses, three covers, at 20 places, over four
seasons, with ten looks each. It is learned from, and once more going on from there; what findings add to
each is timed by itself (processor time). The page is then served by granian with the workers and threads
``slipwright serve`` gives it and asked for 200 times over one kept connection, signed in, after 10 requests
that are not counted: wall time from sending the request to the last byte of the answer. Sizes are of the
page alone, of the page with its style sheets, and of both as sent with gzip. Queries are counted in this
process. SQLite always; PostgreSQL too where SLIPWRIGHT_BENCH_POSTGRES_URL names a server. ``--small`` makes
1,000 batches. Limits: 95 of 100 within 300 ms, 150 KB with style
sheets as they stand.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from pages import asked, queries, sizes
from serving import run_on_each, served

N_BATCHES, N_LOOKS, N_STUCK, N_PLANTS = 10_000, 10, 20, 120
P95_MS, RAW_KB = 300.0, 150.0
NOW = datetime(2026, 10, 20, 15, 30, tzinfo=UTC)
GENERA = (
    "Rosa",
    "Salvia",
    "Ribes",
    "Hydrangea",
    "Lavandula",
    "Punica",
    "Ficus",
    "Buxus",
    "Abelia",
    "Weigela",
)
#: days over which a batch is looked at
LONG = 100
WAYS = (
    ("none", "", None, None),
    ("iba", "talc", Decimal(3000), None),
    ("iba", "talc", Decimal(8000), None),
    ("iba", "quick-dip", None, Decimal(1000)),
    ("iba", "quick-dip", None, Decimal(3000)),
)
WOODS = ("softwood", "semi-hardwood", "hardwood")


def varied(filling: Any) -> None:
    """Make the batches that ``bench.filling`` makes differ in plant, wood, way and season."""
    from slipwright.records.models import Sticking, Taxon

    draws = random.Random(2026)
    made = filling._made
    taxa: list[Any] = []

    def differing(model: Any, table: Any, held: Any, links: Any, plain: Any, *rest: Any) -> Any:
        if model is not Sticking:
            return made(model, table, held, links, plain, *rest)
        if not taxa:
            names = (f"{GENERA[k % len(GENERA)]} 'Number {k}'" for k in range(N_PLANTS))
            taxa.extend(Taxon.rows.create(garden=held, taxon=name, rights="none") for name in names)
        way = dict(
            zip(("auxin", "auxin_form", "auxin_mg_per_kg", "auxin_mg_per_l"), draws.choice(WAYS), strict=True)
        )
        plain = (
            plain
            | way
            | {
                "wood": draws.choice(WOODS),
                "n_stuck": N_STUCK,
                "stuck_on": NOW.date() - timedelta(days=LONG + draws.randrange(4 * 365)),
                "ripeness": Decimal(draws.choice(("0.1", "0.25", "0.5", "0.75", "0.9"))),
                "length_mm": Decimal(draws.choice((70, 100, 150, 220))),
                "cover": draws.choice(("mist", "tent", "open")),
                "medium_temp_c": Decimal(draws.choice((15, 19, 22))),
                "days_from_bloom": draws.choice((-60, -20, 0, 20, 60)),
            }
        )
        return made(model, table, held, links | {"taxon": draws.choice(taxa)}, plain, *rest)

    filling._made = differing
    filling._between = lambda start, end, draws: start + timedelta(days=draws.randrange(LONG))


def measure(small: bool) -> bool:
    """Build the garden at SLIPWRIGHT_DATABASE_URL, learn from it, ask for the page, print the figures."""
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client

    from bench import filling
    from slipwright.handbook import load_handbook
    from slipwright.records.answers import refit
    from slipwright.records.answers.findings import made as findings_made
    from slipwright.records.keeping.schema import create_if_absent
    from slipwright.records.models import Garden, Member, User

    n_batches = N_BATCHES // 10 if small else N_BATCHES
    create_if_absent()
    call_command("collectstatic", verbosity=0, interactive=False)
    varied(filling)
    filled = filling.fill(n_batches=n_batches, n_looks=n_batches * N_LOOKS, at_all=True, now=NOW)
    took: list[float] = []
    made = findings_made.findings_of

    def timed(*given: Any) -> Any:
        begun = time.process_time()
        found = made(*given)
        took.append(time.process_time() - begun)
        return found

    setattr(findings_made, "findings_of", timed)  # noqa: B010
    begun, handbook = time.perf_counter(), load_handbook()
    refit.learn(Garden.objects.get(pk=filled.pk), handbook, now=NOW)
    print(f"{n_batches:,} batches, {n_batches * N_LOOKS:,} looks")
    print(f"learned and kept in {time.perf_counter() - begun:.1f} s, of it findings {took.pop():.1f} s")
    begun = time.perf_counter()
    refit.learn(Garden.objects.get(pk=filled.pk), handbook, now=NOW, full=False, anew=True)
    of_it = sum(took)
    print(f"once more from there in {time.perf_counter() - begun:.1f} s, of it findings {of_it:.1f} s")
    member = Member.objects.get(garden=filled)
    member.user = User.objects.create(username="warden")
    member.save()
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(member.user)
    cookie = f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}"
    kept = True
    head = f"{'page':<18}{'median ms':>10}{'p95':>8}{'most':>8}{'queries':>9}"
    print(f"{head}{'KB alone':>10}{'KB':>8}{'KB sent':>9}")
    with served() as port:
        for address in ("/findings", "/findings?page=3"):
            times = asked(port, address, cookie)
            n_queries, alone = queries(client, address), len(client.get(address).content) / 1000
            raw, sent = sizes(port, address, cookie)
            p95 = times[round(0.95 * len(times)) - 1]
            kept &= p95 <= P95_MS and raw <= RAW_KB
            shown = f"{statistics.median(times):>10.1f}{p95:>8.1f}{times[-1]:>8.1f}{n_queries:>9}"
            print(f"{address:<18}{shown}{alone:>10.0f}{raw:>8.0f}{sent:>8.1f}", flush=True)
    return kept


def main() -> int:
    """Measure each kind of database there is."""
    small = "--small" in sys.argv
    if "--here" in sys.argv:
        return 0 if measure(small) else 1
    print(__doc__)
    with tempfile.TemporaryDirectory() as folder:
        kept = run_on_each(folder, __file__, ["--small"] if small else [], NOW.date())
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
