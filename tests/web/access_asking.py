"""Asking every address of the table as everybody, and what was answered otherwise than the table says."""

from __future__ import annotations

import re
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import codes, services
from slipwright.records.models import Device, Garden, Look, Member, Photo, Plant, SetAside, Trial, User
from tests.records.conftest import small_garden
from tests.records.making import every_kind_of_entry
from tests.records.pictures import drawn
from tests.web.access_table import WHO, Row

#: to add, change or delete anything but sessions
_WRITES = re.compile(r'^\s*(INSERT|UPDATE|DELETE|REPLACE)\b(?!.*"?django_session"?)', re.IGNORECASE)
#: what differs from one answer to the next: tokens, new ids, moments, the mark for whom a page was made
_CHANCE = re.compile(
    r'value="[^"]{64}"|[0-9a-f]{8}-[0-9a-f-]{27}|data-now="\d+"|\d{4}-\d\d-\d\dT[\d:.+-]+|\d\d:\d\d(:\d\d)?'
)


@dataclass(frozen=True)
class World:
    """Two gardens, somebody of each kind signed in to the first, and an object of each kind in both."""

    clients: dict[str, Client]
    own: dict[str, str]
    other: dict[str, str]
    members: dict[str, Member]
    other_owner: Member

    def address(self, row: Row, objects: dict[str, str] | None = None) -> str:
        """Return the address of a row with the objects of a garden; without them, of nothing there is."""
        return row.address.format_map(self.own if objects is None else objects)


def world_of(garden: Garden, now: datetime) -> World:
    """Make the world."""
    other = small_garden("Another Garden")
    plain = {one: Member.objects.get(garden=garden, member=WHO[one]) for one in "ogvr"}
    own, others = _objects(garden, now), _objects(other, now)
    clients = {one: _client(member) for one, member in plain.items()}
    clients["p"] = _on_phone(plain["g"], own["phone"])
    clients["s"] = Client(HTTP_HOST="127.0.0.1")
    return World(clients, own, others, plain, Member.objects.get(garden=other, member="owner"))


def _objects(garden: Garden, now: datetime) -> dict[str, str]:
    grower = Member.objects.get(garden=garden, member="grower")
    batch = every_kind_of_entry(garden, grower, now, picture=drawn())
    plant = Plant.rows.create(garden=garden, plant=f"plant of {garden.name}", taxon=batch.taxon)
    aside = SetAside.rows.create(
        garden=garden, kind="look", entry_id="x", content="{}", sha256="0", reason="damaged", received_at=now
    )
    trial = Trial.rows.create(
        garden=garden,
        trial=f"trial of {garden.name}",
        question="Does it help?",
        arms="A no;B yes",
        units_per_arm=4,
        n_per_unit=6,
        stop_rule="counted after 8 weeks",
    )
    phone = Device.objects.create(
        garden=garden, member=grower, made_at=now, ends_at=datetime.now(UTC) + timedelta(days=9)
    )
    return {
        "batch": batch.batch,
        "look": Look.rows.of(garden).get().entry_id,
        "photo": Photo.rows.of(garden).get().entry_id,
        "plant": plant.plant,
        "trial": trial.trial,
        "aside": str(aside.pk),
        "member": str(Member.objects.get(garden=garden, member="volunteer").pk),
        "phone": str(phone.device),
    }


#: of no garden
NOWHERE = {
    "batch": codes.new_code(),
    "look": str(uuid.UUID(int=7)),
    "photo": str(uuid.UUID(int=8)),
    "plant": "plant of nobody",
    "trial": "trial of nobody",
    "aside": "987654",
    "member": "987654",
    "phone": str(uuid.UUID(int=9)),
}


def _client(member: Member) -> Client:
    user = services.user_of_member(member)
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(user)
    session = client.session
    session["sure_at"] = datetime.now(UTC).isoformat()
    session.save()
    return client


def _on_phone(member: Member, phone: str) -> Client:
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(User.objects.get(memberships=member))
    session = client.session
    session["phone"] = Device.objects.get(device=phone).pk
    session.save()
    return client


@dataclass(frozen=True)
class Answered:
    """What came back, and what was written for it."""

    status: int
    to: str
    headers: dict[str, str]
    body: str
    written: list[str]

    @property
    def is_refused(self) -> bool:
        """Whether somebody was told that they may not, or was sent to the door."""
        return self.status in (401, 403) or (self.status == 302 and self.to.startswith("/sign-in?"))


def ask(client: Client, method: str, address: str) -> Answered:
    """Ask, and put everything back as it was."""
    cookies = client.cookies.copy()
    with transaction.atomic():
        with CaptureQueriesContext(connection) as queries:
            answer: Any = client.generic(method, address)
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        if answer.streaming:
            answer.close()
        transaction.set_rollback(True)
    client.cookies = cookies
    return Answered(
        answer.status_code,
        answer.headers.get("Location", ""),
        {name.lower(): value for name, value in answer.headers.items()},
        body.decode("utf-8", "replace"),
        [query["sql"] for query in queries if _WRITES.match(query["sql"])],
    )


def mismatches(world: World, row: Row, *, at_once: bool = False) -> list[str]:
    """Return what is answered otherwise than a row says: who may, what is there, and what a GET writes.

    ``at_once`` stops at the first.
    """
    found: list[str] = []
    for method, may in (("GET", row.get), ("POST", row.post)):
        for one, client in reversed(world.clients.items()):
            if found and at_once:
                return found
            where = f"{method} {row.address} as {WHO[one]}"
            try:
                answer = ask(client, method, world.address(row))
                found += _of_one(answer, method, one, may, where)
                if may is not None and one in may and "{" in row.address:
                    found += _of_another(world, client, method, row, where)
            except Exception as error:
                found.append(f"{where}: {type(error).__name__}: {error}")
    return found


def _of_one(answer: Answered, method: str, one: str, may: str | None, where: str) -> list[str]:
    found = [] if method != "GET" else [f"{where} wrote: {sql[:120]}" for sql in answer.written]
    found += [f"{where}: {fault}" for fault in header_faults(answer)]
    if may is None:
        if answer.status != 405 and not answer.is_refused:
            found.append(f"{where}: {answer.status}, and it is asked otherwise only")
    elif (one in may) == answer.is_refused or answer.status >= 500:
        found.append(f"{where}: {answer.status}")
    elif method == "GET" and one in may and answer.status in (404, 405) and "{" in where:
        found.append(f"{where}: {answer.status}, and it is there")
    return found


def _of_another(world: World, client: Client, method: str, row: Row, where: str) -> list[str]:
    """What is of another garden is answered as what is nowhere, word by word."""
    theirs = ask(client, method, world.address(row, world.other))
    none = ask(client, method, world.address(row, NOWHERE))
    if theirs.status != none.status:
        return [f"{where}, of another garden: {theirs.status}, of none: {none.status}"]
    told = [_without(one.body, row, of) for one, of in ((theirs, world.other), (none, NOWHERE))]
    if told[0] != told[1]:
        return [f"{where}, of another garden: other words than of none"]
    if theirs.status < 400 and not theirs.is_refused and method == "POST":
        return [f"{where}, of another garden: {theirs.status}"]
    return []


def _without(body: str, row: Row, objects: dict[str, str]) -> str:
    body = _CHANCE.sub("…", body)
    for name, value in objects.items():
        if f"{{{name}}}" not in row.address or value.isdigit():
            continue
        for text in (value, value.replace(" ", "%20"), value.replace(" ", "+"), f"{value[:4]}-{value[4:]}"):
            body = body.replace(text, "…")
    return body


def header_faults(answer: Answered) -> list[str]:
    """Return what an answer's headers lack."""
    wanted = {
        "content-security-policy": "default-src",
        "x-content-type-options": "nosniff",
        "referrer-policy": "same-origin",
        "x-frame-options": "DENY",
    }
    found = [f"no {name}" for name, value in wanted.items() if value not in answer.headers.get(name, "")]
    kind = answer.headers.get("content-type", "")
    if kind.startswith("text/") and "charset" not in kind:
        found.append(f"no charset in {kind}")
    if "unsafe" in answer.headers.get("content-security-policy", ""):
        found.append("an unsafe policy")
    return found
