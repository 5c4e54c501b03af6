"""What a form makes on a phone is what it makes in the garden: the same entries, column by column.

``tests/js/fixtures/forms.json`` holds forms with the facts of their pages and the entries the garden made of
them; the scripts are held to the same file. ``SLIPWRIGHT_WRITE_FORMS=1`` writes it anew.
"""

from __future__ import annotations

import json
import os
import re
from datetime import date, datetime
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import parse_qsl

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.contents import content_of
from slipwright.records.models import ENTRY_MODELS, Entry, Garden, Member, Sticking
from tests.records.making import stick
from tests.web.conftest import TODAY

FIXTURE = Path(__file__).parents[1] / "js" / "fixtures" / "forms.json"
CODE = "7K3FQ2XJ"
UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
#: kind of record: the page of its form, and where that goes
PAGES = {
    "look": (f"/batches/{CODE}/look", ""),
    "potting": (f"/batches/{CODE}/pot-up?all-the-same=1", ""),
    "act": (f"/batches/{CODE}", f"/batches/{CODE}/act"),
    "seen": ("/plants/rose-gate", "/plants/rose-gate/seen"),
    "sticking": ("/stick?plant=rose-gate", ""),
}
#: what the scripts read of a form, and of its hidden fields
FACTS = [
    "batch",
    "plant",
    "after",
    "afterOn",
    "stuckOn",
    "notYet",
    "waiting",
    "toPot",
    "mustWait",
    "batches",
    "sticking",
]
HIDDEN = ("what", "kind", "plant", "taxon")


class Form(NamedTuple):
    """A form that is sent: what it is an example of, the kind of its record, and what is typed."""

    says: str
    record: str
    typed: str


_NUMBERS = "days_from_bloom=5,0&length_mm=7,50&minutes=1e2&auxin=iba&auxin_form=quick-dip&strength=1e3"
FORMS = [
    Form("a look with counts", "look", "n_rooted=4&n_lost=0&note=+wet+"),
    Form("signs in the order of the page", "look", "signs=new-leaf&signs=callus&signs=not-ready"),
    Form("a look of an earlier day follows none", "look", "note=seen+late&on=2025-10-05"),
    Form("a look of the day of the one before", "look", "pot_weight=lighter&on=2025-10-10"),
    Form("why lost", "look", "n_lost=2&cause=rot-from-base&n_removed=1"),
    Form("tried some", "look", "n_tried=3&n_tried_rooted=2&n_lost_rooted=1"),
    Form("given up", "look", "n_rooted=1&give_up=17"),
    Form("wetted again", "look", "n_rooted=1&rewetted=1"),
    Form("nothing said", "look", ""),
    Form("potted", "potting", "n_potted=2&container=pot-1l&note=dry"),
    Form("potted more than had rooted", "potting", "n_potted=6&note=dry&on=2025-10-19"),
    Form("roots too short", "potting", "roots=not-yet"),
    Form("roots too short, of an earlier day", "potting", "roots=not-yet&on=2025-10-05&note=pale"),
    Form("watered", "act", "what=act&act=water&note=+little+&to_place=mist-1"),
    Form("moved", "act", "what=act&act=move&to_place=frame-1&on=2025-10-18"),
    Form("a stage", "seen", "kind=stage&bbch=51"),
    Form("a bent shoot", "seen", "kind=firmness&firmness_mid=3&note=cool+day&on=2025-10-19"),
    Form("cut back", "seen", "kind=act"),
    Form("stuck by a way", "sticking", "n_stuck=12&place=mist-1&way=other&method=rose-autumn"),
    Form("numbers of all writings", "sticking", f"n_stuck=12&place=frame-1&wood=softwood&{_NUMBERS}"),
    Form("stuck before bloom", "sticking", "n_stuck=3&place=frame-1&wood=softwood&days_from_bloom=-5.0"),
    Form(
        "three lots of another day, and a shoot that was felt",
        "sticking",
        "grade=three&n_upper=3&n_middle=0&n_lower=4&place=mist-1&firmness=springs&stuck_on=2025-10-15",
    ),
]


class Shown(HTMLParser):
    """The forms of a page: their data, as a script names them, and their hidden fields."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: list[tuple[dict[str, str], dict[str, str]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            data = {name[5:]: value for name, value in said.items() if name.startswith("data-")}
            self.forms.append(({_in_scripts(name): value for name, value in data.items()}, {}))
        elif tag == "input" and said.get("type") == "hidden" and self.forms:
            self.forms[-1][1][said["name"]] = said.get("value", "")


def _in_scripts(name: str) -> str:
    first, *more = name.split("-")
    return first + "".join(part.capitalize() for part in more)


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch stuck on 1 October, of which 3 of 20 had rooted on the 10th."""
    made = stick(garden, grower, now, n_stuck=20, batch=CODE)
    services.record_look(
        garden=garden, by=grower, now=now, batch=CODE, on=date(2025, 10, 10), n_rooted=3, after=made.entry_id
    )
    return made


def _sent(client: Client, garden: Garden, form: Form) -> dict[str, Any]:
    """Send a form as a browser would; return it with the facts of its page and what the garden made of it."""
    page, to = PAGES[form.record]
    typed = parse_qsl(form.typed)
    said = dict(typed)
    data, hidden = next(
        (data, hidden)
        for data, hidden in Shown(client.get(page).content.decode()).forms
        if data.get("record") == form.record
        and all(hidden.get(name) == said.get(name) for name in ("what", "kind"))
    )
    garden.refresh_from_db()
    before = garden.last_number
    posted: dict[str, Any] = dict(hidden) | {name: [v for n, v in typed if n == name] for name in said}
    answer = client.post(to or page, posted)
    assert answer.status_code == 302, re.sub(r"(<[^>]+>|\s)+", " ", answer.content.decode())
    pairs = [(name, hidden[name]) for name in HIDDEN if name in hidden and name not in said] + typed
    made = {
        "says": form.says,
        "record": form.record,
        "today": TODAY,
        "data": {name: data[name] for name in (*FACTS, "sticking") if name in data},
        "pairs": pairs,
        "entries": [_told(one, n) for n, one in enumerate(_entries(garden, before), start=1)],
    }
    told: dict[str, Any] = json.loads(_without_ids(json.dumps(made)))
    return told


def _entries(garden: Garden, after: int) -> list[Entry]:
    found = [one for model in ENTRY_MODELS for one in model.rows.of(garden).filter(number__gt=after)]
    return sorted(found, key=lambda one: one.number)


def _told(entry: Entry, n: int) -> dict[str, Any]:
    whole = content_of(entry)
    drawn = {"batch": f"new-{n}"} if entry.kind == "sticking" else {}
    return {"kind": whole["kind"], "when": whole["on"], "fields": whole["fields"] | drawn}


def _without_ids(text: str) -> str:
    for n, one in enumerate(dict.fromkeys(UUID.findall(text)), start=1):
        text = text.replace(one, f"id-{n}")
    return text


@pytest.mark.usefixtures("batch")
@pytest.mark.parametrize("form", FORMS, ids=[form.says for form in FORMS])
def test_a_form_makes_the_entries_the_scripts_are_held_to(client: Client, garden: Garden, form: Form) -> None:
    made = _sent(client, garden, form)
    if os.environ.get("SLIPWRIGHT_WRITE_FORMS") == "1":
        _write(made)
    assert made in json.loads(FIXTURE.read_text(encoding="utf-8"))


def _write(made: dict[str, Any]) -> None:
    order = [form.says for form in FORMS]
    kept = json.loads(FIXTURE.read_text(encoding="utf-8")) if FIXTURE.exists() else []
    kept = [one for one in kept if one["says"] in order and one["says"] != made["says"]] + [made]
    kept.sort(key=lambda one: order.index(one["says"]))
    FIXTURE.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
