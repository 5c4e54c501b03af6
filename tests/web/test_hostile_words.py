"""Whatever somebody writes into a garden, a page shows it as words: no tag, no handler, no address runs."""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.columns import TABLES
from slipwright.records.models import Device, Garden, Look, Member, Plant, SetAside, Sticking
from slipwright.records.tables.examples import EXAMPLES
from slipwright.records.tables.loading import load
from tests.databases import Database
from tests.records.pictures import drawn
from tests.records.tables.folders import NOW, written
from tests.web.access_table import TABLE

#: what is looked for: it stands in everything that was written
MARK = "ev1l"
WORDS = (
    f"<{MARK} onload={MARK}()>",
    f'"><script>{MARK}()</script>',
    f"' onfocus={MARK}() '",
    f'" onfocus={MARK}() "',
    f"</script><{MARK}>",
    f"--><img src=x onerror={MARK}()>",
    f"</textarea></title><{MARK}>",
    f"javascript:{MARK}()",
    f"<svg/onload={MARK}()>",
    f"&lt;{MARK}&gt;&#60;{MARK}&#62;",
    f"{{{{ {MARK} }}}}{{% {MARK} %}}",
    f"`${{{MARK}()}}`</style><{MARK}>",
)
#: kinds of columns that hold words somebody chose
FREE = ("text", "note", "ref")
#: written by rules of their own, which these words break
BOUND = {"taxon", "file", "file_sha256", "currency", "unit"}


def hostile_tables() -> dict[str, str]:
    """Return a garden with a row of every kind, each of its words hostile; equal words stay equal."""
    kinds = itertools.cycle(WORDS)
    made: dict[str, str] = {}
    tables: dict[str, str] = {}
    for table in TABLES:
        rows = list(csv.DictReader(io.StringIO(EXAMPLES[table.name].lstrip(), newline="")))
        free = {column.name for column in table.columns if column.kind in FREE} - BOUND
        for row in rows:
            for name, cell in row.items():
                if name in free and cell:
                    row[name] = made.setdefault(cell, f"{cell[:40]} {next(kinds)}")
            for name in free & {"note", "shown_as", "origin", "health", "source", "common_name", "sold_as"}:
                row[name] = row.get(name) or next(kinds)
        page = io.StringIO(newline="")
        writer = csv.DictWriter(page, list(rows[0]) + sorted(set().union(*rows) - set(rows[0])))
        writer.writeheader()
        writer.writerows({name: _safe(cell or "") for name, cell in row.items()} for row in rows)
        tables[table.name] = page.getvalue()
    return tables


def _safe(cell: str) -> str:
    return "'" + cell if cell.startswith("'") else cell


class Faults(HTMLParser):
    """What of a page is more than words."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self.n_words = 0
        self._within = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """See a tag and all it says."""
        self._within = tag if tag in ("script", "style") else ""
        if MARK in tag:
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            if name.startswith("on") or MARK in name or name == "style":
                self.found.append(f"<{tag} {name}={value!r}>")
            text = re.sub(r"[\x00-\x20]", "", value or "").lower()
            if name in ("href", "src", "action", "formaction") and not re.match(
                r"([/?#]|$|https?://127)", text
            ):
                self.found.append(f"<{tag} {name}={value!r}>")
            self.n_words += MARK in (value or "")
        if tag == "script" and not dict(attrs).get("src") and dict(attrs).get("type") != "application/json":
            self.found.append("a script within the page")

    def handle_endtag(self, tag: str) -> None:
        """See the end of a tag."""
        self._within = ""

    def handle_data(self, data: str) -> None:
        """See words."""
        if MARK in data and self._within == "style":
            self.found.append("words within a style")
        self.n_words += MARK in data


def faults_of(page: str) -> Faults:
    """Read a page."""
    found = Faults()
    found.feed(page)
    found.close()
    return found


@pytest.fixture
def hostile(database: Database, tmp_path: Path) -> Garden:
    """Give a garden of hostile words."""
    report = load(written(tmp_path / "tables", hostile_tables()), now=NOW)
    assert report.rejected == []
    return Garden.objects.get()


@pytest.fixture
def objects(hostile: Garden) -> dict[str, list[str]]:
    """Give what addresses may be about, some of it made as phones make it."""
    owner = Member.objects.filter(garden=hostile, role="owner").first()
    assert owner is not None
    who: dict[str, Any] = {"garden": hostile, "by": owner, "now": NOW}
    batches = list(Sticking.rows.of(hostile))
    batch = batches[0]
    photo = services.receive_photo(**who, about=batch.batch, at=NOW.replace(microsecond=0), sent=drawn())
    for n, text in enumerate(WORDS):
        content = {
            "kind": "look",
            "v": 1,
            "garden": str(hostile.garden),
            "id": f"{n} {text}",
            "by": owner.member,
            "on": "2026-11-20",
            "fields": {"batch": batch.batch if n % 2 else text, "n_rooted": 1, "note": text, text: text},
        }
        services.receive_entry(**who, content=content, sha256=sha256(content))
    phone = Device.objects.create(
        garden=hostile, member=owner, name=WORDS[1], made_at=NOW, ends_at=NOW + timedelta(days=9)
    )
    services.make_token(**who, name=WORDS[0])
    return {
        "batch": [one.batch for one in batches],
        "look": [one.entry_id for one in Look.rows.of(hostile)][:3],
        "photo": [photo.entry_id],
        "plant": [one.plant for one in Plant.rows.of(hostile)],
        "aside": [str(one.pk) for one in SetAside.rows.filter(garden=hostile)],
        "member": [str(one.pk) for one in Member.objects.filter(garden=hostile)][:2],
        "phone": [str(phone.device)],
    }


@pytest.fixture
def desk(hostile: Garden) -> Client:
    """Give the owner's browser."""
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(services.user_of_member(Member.objects.filter(garden=hostile, role="owner")[0]))
    session = client.session
    session["sure_at"] = datetime.now(UTC).isoformat()
    session.save()
    return client


def addresses(objects: dict[str, list[str]]) -> Iterator[str]:
    """Yield every address that is asked for with GET, of every object, and with hostile words in it."""
    for row in TABLE:
        if row.get is None:
            continue
        (named,) = re.findall(r"\{(\w+)\}", row.address)[:1] or [""]
        for one in objects.get(named, [""]):
            others = {name: quote(values[0], safe="") for name, values in objects.items() if values}
            yield row.address.format_map(others | {named: quote(one, safe="/" if named == "batch" else "")})
    for table in TABLES:
        if not table.is_entry and table.key and table.name not in ("weather", "hours", "costs"):
            yield f"/rows/{table.name}"
    for text in WORDS:
        said = quote(text, safe="")
        for address in ("/search?q=", "/one-pot?plant=", "/stick?plant=", "/rows/plants/row?key=", "/B/"):
            yield address + said
        for address in (
            "/?place=",
            "/who-did-what?of=",
            "/who-did-what?before=",
            "/sure?next=",
            "/sign-in?next=",
        ):
            yield address + said
        for address in (
            "/batches?place=",
            "/labels?b=",
            "/stick/done?b=",
            "/rows/plants/new?taxon=",
            "/batches/",
        ):
            yield address + said


def test_hostile_words_are_words_on_every_page(desk: Client, objects: dict[str, list[str]]) -> None:
    faulty: dict[str, list[str]] = {}
    n_pages = n_words = 0
    for address in addresses(objects):
        answer = desk.get(address)
        assert answer.status_code < 500, address
        if "text/html" not in answer.headers.get("Content-Type", ""):
            continue
        n_pages += 1
        found = faults_of(answer.content.decode())
        n_words += found.n_words
        if found.found:
            faulty[address] = found.found[:5]
    assert faulty == {}
    assert n_pages > 150
    assert n_words > 500


@pytest.mark.parametrize(
    "page",
    [
        f"<p><{MARK} onload=x></p>",
        f'<img src="x" onerror="{MARK}()">',
        f'<a href="javascript:{MARK}()">x</a>',
        f"<script>{MARK}()</script>",
        f'<p style="x:{MARK}">x</p>',
    ],
)
def test_planted_a_page_that_runs_something_is_seen(page: str) -> None:
    assert faults_of(page).found
