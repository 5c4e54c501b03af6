"""How long the pages take in a garden of 100,000 batches and 1,000,000 looks.

    python bench/pages.py [--small]

Method: a garden of its own is made in a temporary folder, 500 of its batches open, every batch looked at
about ten times; PostgreSQL counts its tables as it does after ``load``; what the helper works out is worked
out first, as it would be. The pages are served by
granian with the workers and threads ``slipwright serve`` gives it, on this machine. Today, Batches and one
batch are each asked for 200 times, one after the other, over one kept connection, signed in; the figure is
wall time from sending the request to the last byte of the answer, after 10 requests that are not counted.
Sizes are of the page with its style sheets, as they stand and as sent with gzip. Queries are counted in
this process. SQLite always; PostgreSQL too where SLIPWRIGHT_BENCH_POSTGRES_URL names a server. ``--small``
makes 2,000 batches. Limits: 95 of 100 within 60 ms, 12 queries, 120 KB as it stands, 35 KB as sent.
"""

from __future__ import annotations

import gzip
import http.client
import re
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime

from serving import run_on_each, served

N_OPEN = 500
RUNS, WARM = 200, 10
P95_MS, QUERIES, RAW_KB, SENT_KB = 60.0, 12, 120.0, 35.0
NOW = datetime(2026, 10, 20, 15, 30, tzinfo=UTC)


def measure(small: bool) -> bool:
    """Build the garden at SLIPWRIGHT_DATABASE_URL, ask for its pages, print the figures."""
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client

    from bench.filling import fill
    from slipwright.handbook import load_handbook
    from slipwright.records.answers import seasons, told
    from slipwright.records.keeping.schema import create_if_absent
    from slipwright.records.models import Look, Member, User
    from slipwright.records.selectors import states_of_open_batches
    from slipwright.records.tables.copying import count_anew

    n_batches = 2_000 if small else 100_000
    n_looks = (20_000 if small else 1_000_000) - (n_batches - N_OPEN)
    create_if_absent()
    call_command("collectstatic", verbosity=0, interactive=False)
    begun = time.perf_counter()
    garden = fill(n_batches=N_OPEN, n_looks=n_looks, n_ended=n_batches - N_OPEN, at_all=True, now=NOW)
    count_anew()
    n_looks = Look.rows.of(garden).count()
    print(
        f"{n_batches:,} batches, {n_looks:,} looks: made in {time.perf_counter() - begun:.0f} s", flush=True
    )
    begun = time.perf_counter()
    n = sum(kept.refresh(garden, load_handbook(), on=NOW.date(), now=NOW) for kept in (told, seasons))
    print(
        f"{n} forecasts and seasons worked out beforehand in {time.perf_counter() - begun:.1f} s", flush=True
    )
    member = Member.objects.get(garden=garden)
    member.user = User.objects.create(username="warden")
    member.save()
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(member.user)
    cookie = f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}"
    batch = states_of_open_batches(garden)[0].batch
    pages = {"Today": "/", "Batches": "/batches", "one batch": f"/batches/{batch}"}
    print(f"{'page':<12}{'median ms':>10}{'p95':>8}{'most':>8}{'queries':>9}{'KB':>8}{'KB sent':>9}")
    kept = True
    with served() as port:
        for name, address in pages.items():
            times = asked(port, address, cookie)
            n_queries = queries(client, address)
            raw, sent = sizes(port, address, cookie)
            p95 = times[round(0.95 * len(times)) - 1]
            kept &= p95 <= P95_MS and n_queries <= QUERIES and raw <= RAW_KB and sent <= SENT_KB
            shown = f"{statistics.median(times):>10.1f}{p95:>8.1f}{times[-1]:>8.1f}"
            print(f"{name:<12}{shown}{n_queries:>9}{raw:>8.0f}{sent:>9.1f}", flush=True)
    return kept


def asked(port: int, address: str, cookie: str) -> list[float]:
    """Return the milliseconds of each request, sorted."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    times = []
    for k in range(WARM + RUNS):
        begun = time.perf_counter()
        connection.request("GET", address, headers={"Cookie": cookie, "Accept-Encoding": "gzip"})
        answer = connection.getresponse()
        answer.read()
        took = 1000 * (time.perf_counter() - begun)
        if answer.status != 200:
            raise SystemExit(f"{address}: answered {answer.status}")
        if k >= WARM:
            times.append(took)
    connection.close()
    return sorted(times)


def sizes(port: int, address: str, cookie: str) -> tuple[float, float]:
    """Return the KB of a page with its style sheets: as it stands, and as sent."""

    def got(at: str) -> tuple[bytes, int]:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        connection.request("GET", at, headers={"Cookie": cookie, "Accept-Encoding": "gzip"})
        answer = connection.getresponse()
        body = answer.read()
        zipped = answer.headers.get("Content-Encoding") == "gzip"
        connection.close()
        return gzip.decompress(body) if zipped else body, len(body)

    page, sent = got(address)
    raw = len(page)
    for sheet in re.findall(rb'<link rel="stylesheet" href="([^"]+)"', page):
        body, as_sent = got(sheet.decode())
        raw, sent = raw + len(body), sent + as_sent
    return raw / 1000, sent / 1000


def queries(client: object, address: str) -> int:
    """Return how many queries a page asks, the first time it is asked for in this process."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as seen:
        client.get(address)  # type: ignore[attr-defined]
    return len(seen)


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
