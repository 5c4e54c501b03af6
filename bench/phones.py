"""How fifty phones get on that record at the same time, in a garden of 100,000 entries.

    python bench/phones.py [SECONDS]

Method: the garden is made in a temporary folder, 10,000 batches of which 500 are open, 9 looks each; the
pages are served by granian with the workers and threads ``slipwright serve`` gives it, on this machine, the
helper beside it; the phones are threads of one process on the same machine, each with its own member and
session and one kept connection. A phone sends as the scripts do: it asks for a token, then posts; answered
503 it comes again after ``Retry-After``. Times are wall time from sending the posting to the last byte of its
answer. Meanwhile Today, Batches and one batch are asked for in turn, twice a second, by a member who asked
for each eight times before. Four runs:

steady   each phone records one look every 3 seconds, for SECONDS (60). 95 of 100 answers within 100 ms, 99
         within 250 ms, none refused.
burst    each phone comes back with 40 looks, all at once: all received within 30 s, no answer longer than
         5 s, 95 of 100 pages within 500 ms.
alone    the pages, with nothing else going on; no limit.
flood    200 wrong passwords a second for 10 s: 95 of 100 pages within 300 ms.

After steady and burst each look that was acknowledged must be there, once, and every batch must stand where
its entries sum to. SQLite always; PostgreSQL too where SLIPWRIGHT_BENCH_POSTGRES_URL names a server.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlencode

from serving import run_on_each, served

N_PHONES, EVERY_S, N_QUEUED, LOT = 50, 3.0, 40, 20
N_OPEN, N_BATCHES, N_ENTRIES = 500, 10_000, 100_000
FLOOD_PER_S, FLOOD_S, FLOODERS = 200, 10.0, 8
SEED = 2026


class Phone:
    """A phone with a session: what it sends, how long each answer took, what was acknowledged."""

    def __init__(self, port: int, cookie: str, garden: str, member: str) -> None:
        self._cookies = dict([cookie.split("=", 1)])
        self.garden, self.member = garden, member
        self._line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.times: list[float] = []
        self.told_to_wait = 0
        self.refused: list[tuple[int, str]] = []
        self.acknowledged: set[str] = set()

    def ask(self, method: str, address: str, body: str = "", **headers: str) -> tuple[int, Any, bytes]:
        """Return status, headers and body of an answer."""
        cookies = "; ".join(f"{name}={value}" for name, value in self._cookies.items())
        self._line.request(method, address, body or None, {"Cookie": cookies} | headers)
        answer = self._line.getresponse()
        for line in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = line.partition(";")[0].partition("=")
            self._cookies[name] = value
        return answer.status, answer.headers, answer.read()

    def look(self, batch: str, draws: random.Random) -> dict[str, Any]:
        """Return a record of one look."""
        from slipwright.records.canonical import sha256

        content = {
            "kind": "look",
            "v": 1,
            "garden": self.garden,
            "id": str(uuid.uuid4()),
            "by": self.member,
            "on": datetime.now(UTC).date().isoformat(),
            "fields": {"batch": batch, "n_rooted": draws.randrange(3)},
        }
        return {"content": content, "sha256": sha256(content)}

    def send(self, records: list[dict[str, Any]], until: float) -> None:
        """Send records as the scripts do, until they are acknowledged or it is too late."""
        while time.perf_counter() < until:
            try:
                status, _, said = self.ask("GET", "/sync")
            except OSError as error:
                self.refused.append((0, str(error)))
                self._line.close()
                continue
            if status != 200:
                self.refused.append((status, said[:80].decode()))
                return
            token = json.loads(said)["csrf"]
            body = json.dumps({"v": 1, "sent_at": datetime.now(UTC).isoformat(), "records": records})
            begun = time.perf_counter()
            try:
                status, headers, said = self.ask(
                    "POST", "/sync", body, **{"X-CSRFToken": token, "Content-Type": "application/json"}
                )
            except OSError as error:
                self.refused.append((0, str(error)))
                self._line.close()
                continue
            finally:
                self.times.append(time.perf_counter() - begun)
            if status == 200:
                answers = json.loads(said)["answers"]
                self.acknowledged |= {one["id"] for one in answers if one["status"] == "received"}
                return
            if status != 503:
                self.refused.append((status, said[:80].decode()))
                return
            self.told_to_wait += 1
            time.sleep(float(headers["Retry-After"]))
        self.refused.append((0, "not received in time"))


def percentile(times: list[float], of_100: float) -> float:
    """Return the time in ms that so many of 100 keep."""
    return 1000 * sorted(times)[max(0, round(of_100 / 100 * len(times)) - 1)]


def all_at_once(works: list[Callable[[], None]]) -> float:
    """Do works in a thread each, begun together; return the seconds until the last is done."""
    threads = [threading.Thread(target=work) for work in works]
    begun = time.perf_counter()
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    return time.perf_counter() - begun


class Reader:
    """Somebody who asks for pages, twice a second, for as long as it is entered."""

    def __init__(self, phone: Phone, pages: list[str]) -> None:
        self._phone, self._pages = phone, pages
        self.times: list[float] = []
        self._slowest = (0.0, "")
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._read)

    def _read(self) -> None:
        k = 0
        while not self._over.wait(0.5):
            begun = time.perf_counter()
            page = self._pages[k % len(self._pages)]
            self.ask(page)
            self.times.append(time.perf_counter() - begun)
            self._slowest = max(self._slowest, (self.times[-1], page))
            k += 1

    def ask(self, page: str) -> None:
        """Ask for a page, which must be there."""
        status, _, _ = self._phone.ask("GET", page)
        if status != 200:
            raise SystemExit(f"{page}: answered {status}")

    def __enter__(self) -> Reader:
        self._thread.start()
        return self

    def __exit__(self, *error: object) -> None:
        self._over.set()
        self._thread.join()

    def told(self) -> str:
        """Return the figures of the pages."""
        return (
            f"pages: {len(self.times)} asked, median {percentile(self.times, 50):.0f} ms, "
            f"p95 {percentile(self.times, 95):.0f}, most {1000 * self._slowest[0]:.0f} ({self._slowest[1]})"
        )


def steady(phones: list[Phone], reader: Reader, batches: list[str], seconds: float) -> bool:
    """Let each phone record every 3 seconds."""

    def records(phone: Phone, n: int) -> None:
        draws = random.Random(SEED + n)
        end = time.perf_counter() + seconds
        time.sleep(draws.random() * EVERY_S)
        while (begun := time.perf_counter()) < end:
            phone.send([phone.look(draws.choice(batches), draws)], begun + 60)
            time.sleep(max(0.0, begun + EVERY_S * (0.5 + draws.random()) - time.perf_counter()))

    with reader:
        all_at_once([lambda p=p, n=n: records(p, n) for n, p in enumerate(phones)])  # type: ignore[misc]
    times = [took for phone in phones for took in phone.times]
    refused = [one for phone in phones for one in phone.refused]
    n_waits = sum(phone.told_to_wait for phone in phones)
    p95, p99 = percentile(times, 95), percentile(times, 99)
    print(
        f"steady   {len(times)} sendings: median {percentile(times, 50):.0f} ms, p95 {p95:.0f} (limit 100), "
        f"p99 {p99:.0f} (limit 250), most {percentile(times, 100):.0f}; refused {len(refused)}, "
        f"told to wait {n_waits} (limit 0)\n         {reader.told()}",
        flush=True,
    )
    return p95 <= 100 and p99 <= 250 and not refused and not n_waits


def burst(phones: list[Phone], reader: Reader, batches: list[str]) -> bool:
    """Let each phone come back with what it kept."""

    def comes_back(phone: Phone, n: int) -> None:
        draws = random.Random(SEED - n)
        queue = [phone.look(draws.choice(batches), draws) for _ in range(N_QUEUED)]
        gate.wait()
        until = time.perf_counter() + 60
        for start in range(0, N_QUEUED, LOT):
            phone.send(queue[start : start + LOT], until)
        done.append(time.perf_counter())

    gate, done = threading.Barrier(N_PHONES + 1), []  # type: ignore[var-annotated]
    for phone in phones:
        phone.times.clear()
        phone.told_to_wait = 0
    begun = []

    def opened() -> None:
        gate.wait()
        begun.append(time.perf_counter())

    works: list[Callable[[], None]] = [opened]
    works += [lambda p=p, n=n: comes_back(p, n) for n, p in enumerate(phones)]  # type: ignore[misc]
    with reader:
        all_at_once(works)
    took = max(done) - begun[0]
    times = [one for phone in phones for one in phone.times]
    refused = [one for phone in phones for one in phone.refused]
    n_waits = sum(phone.told_to_wait for phone in phones)
    most, p95 = max(times), percentile(reader.times, 95)
    print(
        f"burst    {N_PHONES} x {N_QUEUED} looks: all received in {took:.1f} s (limit 30); answers: median "
        f"{percentile(times, 50):.0f} ms, most {most:.2f} s (limit 5); refused {len(refused)} {refused[:2]}, "
        f"told to come again {n_waits}\n         {reader.told()} (limit 500)",
        flush=True,
    )
    return took <= 30 and most <= 5 and p95 <= 500 and not refused


def flood(port: int, reader: Reader) -> bool:
    """Let somebody guess passwords."""
    statuses: dict[int, int] = {}

    def guesses(n: int) -> None:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        line.request("GET", "/sign-in")
        answer = line.getresponse()
        page = answer.read().decode()
        found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        if found is None:
            raise SystemExit("no token on the page for signing in")
        cookie = "; ".join(one.partition(";")[0] for one in answer.headers.get_all("Set-Cookie") or [])
        headers = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded"}
        pause, begun, k = FLOODERS / FLOOD_PER_S, time.perf_counter(), 0
        while (now := time.perf_counter()) < begun + FLOOD_S:
            form = {"csrfmiddlewaretoken": found[1], "username": f"m{k % 7}", "password": f"guess {n} {k}"}
            line.request("POST", "/sign-in", urlencode(form), headers)
            told = line.getresponse()
            told.read()
            statuses[told.status] = statuses.get(told.status, 0) + 1
            k += 1
            time.sleep(max(0.0, begun + k * pause - now))

    with reader:
        all_at_once([lambda n=n: guesses(n) for n in range(FLOODERS)])  # type: ignore[misc]
    p95 = percentile(reader.times, 95)
    answered = ", ".join(f"{n} x {status}" for status, n in sorted(statuses.items()))
    print(
        f"flood    {sum(statuses.values()) / FLOOD_S:.0f} wrong passwords a second answered ({answered})\n"
        f"         {reader.told()} (limit 300)",
        flush=True,
    )
    return p95 <= 300 and not any(status >= 500 and status != 503 for status in statuses)


def holds(phones: list[Phone]) -> bool:
    """Return whether the set test and the sum test hold."""
    from slipwright.records.models import Garden, Look
    from slipwright.records.states import differences

    acknowledged = set().union(*(phone.acknowledged for phone in phones))
    garden = Garden.objects.get()
    there = [str(one) for one in Look.rows.of(garden).values_list("entry_id", flat=True)]
    lost, n_double = acknowledged - set(there), len(there) - len(set(there))
    wrong = list(differences(garden))
    print(
        f"         {len(acknowledged):,} acknowledged, {len(lost)} lost, {n_double} doubled, "
        f"{len(wrong)} sums wrong",
        flush=True,
    )
    return not lost and not n_double and not wrong


def measure(seconds: float) -> bool:
    """Build the garden at SLIPWRIGHT_DATABASE_URL, let the phones at it, print the figures."""
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client

    from bench.filling import fill
    from slipwright.handbook import load_handbook
    from slipwright.records.answers import seasons, told
    from slipwright.records.keeping.schema import create_if_absent
    from slipwright.records.models import Member, User
    from slipwright.records.selectors import states_of_open_batches
    from slipwright.records.tables.copying import count_anew

    create_if_absent()
    call_command("collectstatic", verbosity=0, interactive=False)
    now = datetime.now(UTC)
    begun = time.perf_counter()
    n_looks = N_ENTRIES - N_BATCHES
    garden = fill(n_batches=N_OPEN, n_looks=n_looks, n_ended=N_BATCHES - N_OPEN, at_all=True, now=now)
    count_anew()
    for kept in (told, seasons):
        kept.refresh(garden, load_handbook(), on=now.date(), now=now)
    print(f"{N_ENTRIES:,} entries: made in {time.perf_counter() - begun:.0f} s", flush=True)
    cookies = []
    for n in range(N_PHONES + 1):
        user = User.objects.create(username=f"m{n}")
        Member.objects.create(garden=garden, member=f"m{n}", role="grower", user=user)
        client = Client(HTTP_HOST="127.0.0.1")
        client.force_login(user)
        cookies.append(f"{settings.SESSION_COOKIE_NAME}={client.cookies[settings.SESSION_COOKIE_NAME].value}")
    batches = [one.batch for one in states_of_open_batches(garden)]
    pages = ["/", "/batches", f"/batches/{batches[0]}"]
    with served(helped=True) as port:
        phones = [Phone(port, cookies[n], str(garden.garden), f"m{n}") for n in range(N_PHONES)]

        def reader() -> Reader:
            return Reader(Phone(port, cookies[-1], str(garden.garden), f"m{N_PHONES}"), pages)

        warming = reader()
        for _ in range(8):
            for page in pages:
                warming.ask(page)
        with reader() as alone:
            time.sleep(8)
        print(f"alone    {alone.told()}", flush=True)
        kept = steady(phones, reader(), batches, seconds)
        kept &= holds(phones)
        kept &= burst(phones, reader(), batches)
        kept &= holds(phones)
        kept &= flood(port, reader())
    return kept


def main() -> int:
    """Measure each kind of database there is."""
    asked = [one for one in sys.argv[1:] if one != "--here"]
    if "--here" in sys.argv:
        return 0 if measure(float(asked[0])) else 1
    print(__doc__)
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder:
        kept = run_on_each(folder, __file__, [asked[0] if asked else "60"])
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
