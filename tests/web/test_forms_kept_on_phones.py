"""What a form makes on a phone is what it makes in the garden: the same entries, column by column.

``tests/js/fixtures/forms.json`` holds forms with the facts of their pages and the entries the garden made of
them; the scripts are held to the same file. ``SLIPWRIGHT_WRITE_FORMS=1`` writes it anew.
"""

from __future__ import annotations

import json
import os
import re
from dataclasses import dataclass, field
from datetime import date, datetime
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from slipwright.records import services
from slipwright.records.contents import content_of
from slipwright.records.models import ENTRY_MODELS, Entry, Garden, Member, Sticking
from tests.records.making import stick
from tests.web.conftest import TODAY

FIXTURE = Path(__file__).parents[1] / "js" / "fixtures" / "forms.json"
CODE = "7K3FQ2XJ"
_UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")

#: says, kind of record, page, what is typed; "{batch}" is a batch with a look of 10 October
FORMS: list[tuple[str, str, str, list[tuple[str, str]]]] = [
    ("a look with counts", "look", "/batches/{batch}/look", [("n_rooted", "4"), ("n_lost", "0"), ("note", " wet ")]),
    ("signs in the order of the page", "look", "/batches/{batch}/look", [("signs", "new-leaf"), ("signs", "callus"), ("signs", "not-ready")]),
    ("a look of an earlier day follows none", "look", "/batches/{batch}/look", [("n_rooted", "1"), ("on", "2025-10-05")]),
    ("a look of the day of the one before", "look", "/batches/{batch}/look", [("pot_weight", "lighter"), ("on", "2025-10-10")]),
    ("why lost", "look", "/batches/{batch}/look", [("n_lost", "2"), ("cause", "rot-from-base"), ("n_removed", "1")]),
    ("tried some", "look", "/batches/{batch}/look", [("n_tried", "3"), ("n_tried_rooted", "2"), ("n_lost_rooted", "1")]),
    ("given up", "look", "/batches/{batch}/look", [("n_rooted", "1"), ("give_up", "17")]),
    ("wetted again", "look", "/batches/{batch}/look", [("n_rooted", "1"), ("rewetted", "1")]),
    ("nothing said", "look", "/batches/{batch}/look", []),
    ("potted", "potting", "/batches/{batch}/pot-up?all-the-same=1", [("n_potted", "2"), ("container", "pot-1l"), ("note", "dry")]),
    ("potted more than had rooted", "potting", "/batches/{batch}/pot-up?all-the-same=1", [("n_potted", "6"), ("note", "dry"), ("on", "2025-10-19")]),
    ("roots too short", "potting", "/batches/{batch}/pot-up?all-the-same=1", [("roots", "not-yet")]),
    ("roots too short, of an earlier day, with a note", "potting", "/batches/{batch}/pot-up?all-the-same=1", [("roots", "not-yet"), ("on", "2025-10-05"), ("note", "pale")]),
    ("watered", "act", "/batches/{batch}", [("what", "act"), ("act", "water"), ("note", " little "), ("to_place", "mist-1")]),
    ("moved", "act", "/batches/{batch}", [("what", "act"), ("act", "move"), ("to_place", "frame-1"), ("on", "2025-10-18")]),
    ("a stage", "seen", "/plants/rose-gate", [("kind", "stage"), ("bbch", "51")]),
    ("a bent shoot", "seen", "/plants/rose-gate", [("kind", "firmness"), ("firmness_mid", "3"), ("note", "cool day"), ("on", "2025-10-19")]),
    ("cut back", "seen", "/plants/rose-gate", [("kind", "act")]),
    ("stuck by a way of the garden", "sticking", "/stick?plant=rose-gate", [("n_stuck", "12"), ("place", "mist-1"), ("way", "other"), ("method", "rose-autumn")]),
    ("stuck with numbers of all writings", "sticking", "/stick?plant=rose-gate", [("n_stuck", "12"), ("place", "frame-1"), ("way", "other"), ("wood", "softwood"), ("days_from_bloom", "5,0"), ("length_mm", "7,50"), ("minutes", "1e2"), ("auxin", "iba"), ("auxin_form", "solution"), ("strength", "1e3")]),
    ("stuck before bloom", "sticking", "/stick?plant=rose-gate", [("n_stuck", "3"), ("place", "frame-1"), ("way", "other"), ("wood", "softwood"), ("days_from_bloom", "-5.0"), ("dip_s", "05")]),
    ("three lots, another day, a felt shoot", "sticking", "/stick?plant=rose-gate", [("grade", "three"), ("n_upper", "3"), ("n_middle", "0"), ("n_lower", "4"), ("place", "mist-1"), ("way", "other"), ("firmness", "3"), ("stuck_on", "2025-10-15")]),
]  # fmt: skip


@dataclass
class Forms(HTMLParser):
    """The forms of a page that a phone keeps: their data and hidden fields."""

    found: list[tuple[dict[str, str], dict[str, str]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            data = {_camel(name[5:]): value for name, value in said.items() if name.startswith("data-")}
            self.found.append((data, {}))
        elif tag == "input" and said.get("type") == "hidden" and self.found:
            self.found[-1][1][said["name"]] = said.get("value", "")


def _camel(name: str) -> str:
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


def _entries(garden: Garden, after: int) -> list[Entry]:
    found = [one for model in ENTRY_MODELS for one in model.rows.of(garden).filter(number__gt=after)]
    return sorted(found, key=lambda one: one.number)


def _told(entry: Entry, n: int) -> dict[str, Any]:
    whole = content_of(entry)
    if entry.kind == "sticking":
        whole["fields"]["batch"] = f"new-{n}"
    return {"kind": whole["kind"], "when": whole["on"], "fields": whole["fields"]}


def _made(client: Client, garden: Garden, form: tuple[str, str, str, list[tuple[str, str]]]) -> dict[str, Any]:
    says, record, address, typed = form
    where = address.format(batch=CODE)
    page = Forms()
    page.feed(client.get(where).content.decode())
    kept = dict(typed)
    data, hidden = next(
        (data, hidden)
        for data, hidden in page.found
        if data.get("record") == record and all(hidden[name] == kept[name] for name in ("what", "kind") if name in kept and name in hidden)
    )  # fmt: skip
    garden.refresh_from_db()
    before = garden.last_number
    asked = {name: value for name, value in hidden.items() if name not in kept}
    for name, value in typed:
        asked[name] = [*asked[name], value] if isinstance(asked.get(name), list) else [value]  # type: ignore[assignment,list-item]
    to = {"act": f"/batches/{CODE}/act", "seen": "/plants/rose-gate/seen"}.get(record, where)
    answer = client.post(to, asked)
    assert answer.status_code == 302, (says, re.findall(r"(?s)<main.*?</h2>|class=\"refused.*?</", answer.content.decode()))
    entries = [_told(one, n) for n, one in enumerate(_entries(garden, before), start=1)]
    pairs = [[name, value] for name, value in hidden.items() if name in ("plant", "taxon") or name in _OF_THE_FORM and name not in kept]
    told = {"says": says, "record": record, "today": TODAY, "data": _facts(data), "pairs": pairs + [list(pair) for pair in typed], "entries": entries}
    return json.loads(_without_ids(json.dumps(told)))  # type: ignore[no-any-return]


_OF_THE_FORM = ("what", "kind")
_FACTS = (
    "batch", "plant", "after", "afterOn", "stuckOn", "notYet", "waiting", "toPot", "mustWait", "batches", "sticking",
)  # fmt: skip


def _facts(data: dict[str, str]) -> dict[str, str]:
    return {name: data[name] for name in _FACTS if name in data}


def _without_ids(text: str) -> str:
    ids = list(dict.fromkeys(_UUID.findall(text)))
    for n, one in enumerate(ids, start=1):
        text = text.replace(one, f"id-{n}")
    return text


@pytest.mark.parametrize("form", FORMS, ids=[form[0] for form in FORMS])
def test_a_form_makes_the_entries_the_scripts_are_held_to(
    client: Client, garden: Garden, batch: Sticking, form: tuple[str, str, str, list[tuple[str, str]]]
) -> None:
    made = _made(client, garden, form)
    kept = json.loads(FIXTURE.read_text(encoding="utf-8")) if FIXTURE.exists() else []
    if os.environ.get("SLIPWRIGHT_WRITE_FORMS") == "1":
        order = [one[0] for one in FORMS]
        kept = [one for one in kept if one["says"] in order and one["says"] != made["says"]] + [made]
        kept.sort(key=lambda one: order.index(one["says"]))
        FIXTURE.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    assert made in kept
