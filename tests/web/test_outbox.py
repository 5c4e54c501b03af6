"""What the server does for records kept on a phone: the page, the worker, the facts in the forms."""

from __future__ import annotations

import gzip
import json
import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers import recording
from slipwright.records.models import Garden, Member, Sticking
from slipwright.web import phone_words
from slipwright.web.membership import GardenRequest
from slipwright.web.views import look as looking
from tests.records.making import stick

SCRIPTS = Path(str(finders.find("web/js")))
MOST_BYTES = 60_000


def body_of(client: Client, address: str) -> str:
    found = re.search(r"<body[^>]*>", client.get(address).content.decode())
    assert found
    return found[0]


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, n_stuck=20)


class TestWorker:
    def test_it_may_keep_the_whole_site_and_is_asked_for_anew(self, garden: Garden) -> None:
        answer = Client(HTTP_HOST="127.0.0.1").get("/sw.js")
        assert answer.status_code == 200
        assert answer["Content-Type"].startswith("text/javascript")
        assert (answer["Service-Worker-Allowed"], answer["Cache-Control"]) == ("/", "no-cache")

    def test_it_names_files_that_are_there_under_names_of_their_content(self, client: Client) -> None:
        first = client.get("/sw.js").content.decode().splitlines()[0]
        told = json.loads(first.removeprefix("self.SLIPWRIGHT = ").removesuffix(";"))
        assert re.fullmatch("[0-9a-f]{16}", told["version"])
        names = {re.sub(r"\.[0-9a-f]{12}\.", ".", address) for address in told["files"]}
        assert {"/static/web/js/outbox/phone.js", "/static/web/css/slipwright.css"} <= names
        assert not {"/static/web/js/sw.js"} & names
        assert all(re.search(r"\.[0-9a-f]{12}\.", address) for address in told["files"])

    def test_for_browsers_that_send_in_the_background_it_imports_what_sends(self, client: Client) -> None:
        plain, sends = (client.get(address).content.decode() for address in ("/sw.js", "/sw.js?sends=1"))
        assert "import {" not in plain
        assert re.search(
            r'^import \{ sendBehind \} from "/static/web/js/outbox/sender\.[0-9a-f]+\.js";', sends, re.M
        )


def test_the_manifest_names_icons_that_are_there(client: Client) -> None:
    answer = client.get("/manifest.webmanifest")
    assert answer["Content-Type"] == "application/manifest+json"
    told = answer.json()
    assert (told["start_url"], told["display"]) == ("/", "standalone")
    for icon in told["icons"]:
        name = re.sub(r"\.[0-9a-f]{12}\.", ".", icon["src"]).removeprefix("/static/")
        assert finders.find(name), name


def test_all_scripts_together_weigh_little() -> None:
    together = b"".join(file.read_bytes() for file in sorted(SCRIPTS.rglob("*.js")))
    assert len(gzip.compress(together)) <= MOST_BYTES


def test_a_page_says_whose_it_is_and_of_when(client: Client, garden: Garden) -> None:
    body = body_of(client, "/")
    assert f'data-garden="{garden.garden}"' in body
    assert 'data-member="grower"' in body
    assert 'data-today="2025-10-20"' in body
    assert "data-demo" not in body
    assert re.search(r'data-now="\d{10}"', body)
    assert 'data-number="0"' in body
    stranger = body_of(Client(HTTP_HOST="127.0.0.1"), "/one-pot")
    assert "data-member" not in stranger


def test_a_page_tells_the_last_record_there_was_when_it_was_asked_for(
    client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert f'data-number="{batch.number}"' in body_of(client, "/")
    told = looking.goes_on

    def meanwhile(request: GardenRequest, code: str, walk: Any) -> str:
        services.record_look(
            garden=request.garden,
            by=request.member,
            now=request.now,
            batch=code,
            on=request.today,
            n_rooted=1,
        )
        return told(request, code, walk)

    monkeypatch.setattr(looking, "goes_on", meanwhile)
    assert f'data-number="{batch.number}"' in body_of(client, f"/batches/{batch.batch}/look?round=1")


def test_the_worker_can_say_in_every_tongue_that_nobody_was_signed_out(client: Client) -> None:
    first = client.get("/sw.js").content.decode().splitlines()[0]
    words = json.loads(first.removeprefix("self.SLIPWRIGHT = ").removesuffix(";"))["words"]
    assert set(words) == {tongue for tongue, _ in settings.LANGUAGES}
    assert all(set(said) == {"title", "text", "again"} for said in words.values())
    assert "<" not in json.dumps(words)


def test_pages_carry_a_mark_of_whom_they_are_for_that_tells_neither(
    client: Client, garden: Garden, volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    mine, theirs = client.get("/")["Slipwright-For"], as_member(volunteer).get("/")["Slipwright-For"]
    assert mine == client.get("/outbox")["Slipwright-For"]
    assert mine != theirs
    assert "grower" not in mine
    assert "Slipwright-For" not in Client(HTTP_HOST="127.0.0.1").get("/one-pot")


def test_a_page_fetched_to_be_kept_does_not_use_up_what_was_saved(client: Client, batch: Sticking) -> None:
    address = f"/batches/{batch.batch}/look"
    entry_id = re.search(r'name="entry_id" value="([^"]+)"', client.get(address).content.decode())
    assert entry_id
    client.post(address, {"entry_id": entry_id[1], "n_rooted": "3"})
    kept = client.get("/", headers={"Slipwright-Keep": "1"}).content.decode()
    assert 'class="saved"' not in kept
    assert 'class="saved"' in client.get("/").content.decode()


def test_a_form_of_a_look_holds_what_a_phone_needs(
    client: Client, garden: Garden, grower: Member, now: datetime, batch: Sticking
) -> None:
    def facts() -> dict[str, str]:
        page = client.get(f"/batches/{batch.batch}/look").content.decode()
        form = re.search(r"<form[^>]*data-record=[^>]*>", page)
        assert form
        return dict(re.findall(r'data-([a-z-]+)="([^"]*)"', form[0]))

    before = facts()
    assert (before["record"], before["batch"], before["waiting"]) == ("look", batch.batch, "20")
    assert (before["after"], before["after-on"]) == (batch.entry_id, "2025-10-01")
    assert int(before["first-roots"]) == recording.first_roots(load_handbook(), batch) > 0
    assert before["goes-on"] == f"/batches/{batch.batch}"
    look = services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=batch.stuck_on, n_rooted=5
    )
    after = facts()
    assert (after["waiting"], after["to-pot"], after["after"]) == ("15", "5", look.entry_id)


def test_whoever_may_only_read_gets_no_form_to_keep(
    reader: Member, as_member: Callable[[Member], Client], batch: Sticking
) -> None:
    page = as_member(reader).get(f"/batches/{batch.batch}").content.decode()
    assert "data-record" not in page


def test_every_word_the_scripts_say_is_there(client: Client) -> None:
    said = set()
    for file in SCRIPTS.glob("outbox/*.js"):
        said |= set(re.findall(r'\bword\("([a-z-]+)"', file.read_text("utf-8")))
        said |= {
            f"doubt-{kind}"
            for kind in re.findall(r'doubts\.push\(\{ kind: "([a-z-]+)"', file.read_text("utf-8"))
        }
        said |= {f"wrong-{rule}" for rule in re.findall(r'new Wrong\([^)]*, "([a-z-]+)"\)', file.read_text())}
    words = {word.name for word in phone_words.phone_words()}
    assert said - words == set()
    assert len(said) > 20


def test_the_outbox_is_for_members(client: Client, garden: Garden) -> None:
    assert 'data-outbox="waiting"' in client.get("/outbox").content.decode()
    assert Client(HTTP_HOST="127.0.0.1").get("/outbox").status_code == 302
