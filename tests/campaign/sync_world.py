"""Phones, a network that drops, doubles and delays, and the garden's own receiving service behind it.

A sequence is a list of steps, each a few small numbers read against whatever there is at that moment: any
part of a sequence is a sequence too, which is how one that fails is made short. The database lies in
memory; before each sequence it is put back to how it began.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from typing import Any

from django.db import OperationalError, connection
from django.db.transaction import TransactionManagementError

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.models import Garden, Member, SetAside
from slipwright.records.services import Sent, sendings
from tests.campaign.sync_checks import BATCHES, Broken, check_sums, entries_of
from tests.campaign.sync_phone import Answered, Asked, Full, Kept, Phone

#: a batch that is stuck in some sequences, and looked at before the garden knows of it
LATER = "C4TW"
WHO = ("volunteer", "grower")
N_PHONES = 3


class Crash(BaseException):
    """The server is gone, at whatever statement it was."""


@dataclasses.dataclass
class Travelling:
    """A request or an answer on its way."""

    phone: Phone
    sending: Any
    asked: Asked
    answered: Answered | None = None


class World:
    """All there is, and what was promised so far."""

    def __init__(self, garden: Garden, now: datetime, fault: str = "") -> None:
        self.garden, self.now, self.fault = garden, now, fault
        self.members = {one.member: one for one in Member.objects.filter(garden=garden)}
        self.phones = [Phone(fault) for _ in range(N_PHONES)]
        self.sessions: dict[int, str] = {}
        self.token = 0
        self.travelling: list[Travelling] = []
        self.n_ids = 0
        #: by id and hash, all that anybody was told is saved
        self.made: dict[tuple[str, str], Kept] = {}
        self.gone: set[tuple[str, str]] = set()
        self.beside: set[str] = set()
        #: by id and hash: number and moment of the first answer "received"
        self.acknowledged: dict[tuple[str, str], tuple[int | None, datetime]] = {}
        self.looked_after: dict[str, str] = {}
        for n, phone in enumerate(self.phones):
            self._sign_in(phone, WHO[n % 2])

    # --- what may happen -------------------------------------------------------------------------

    def record(self, a: int, b: int, c: int) -> None:
        """Somebody counts a batch, or two."""
        phone = self.phones[a % N_PHONES]
        batch = BATCHES[b % 2] if b % 13 else LATER
        fields: dict[str, Any] = {"batch": batch, "n_rooted": c % 4}
        if c % 3 and batch in self.looked_after:
            fields["after"] = self.looked_after[batch]
        lot = [self._kept(phone, "look", fields)]
        if c % 5 == 0:
            lot.append(self._kept(phone, "act", {"batch": batch, "act": "re-wet"}))
        if c % 4 == 0 and batch in BATCHES:
            self.looked_after[batch] = lot[0].id
        self._add(phone, [one for one in lot if one])

    def stick(self, a: int, b: int, c: int) -> None:
        """Somebody sticks a batch; another may have the same code."""
        phone = self.phones[a % N_PHONES]
        fields = {"batch": LATER, "taxon": "Salvia rosmarinus", "n_stuck": 9, "wood": "softwood"}
        self._add(phone, [self._kept(phone, "sticking", fields)])

    def spoil(self, a: int, b: int, c: int) -> None:
        """A record that cannot be taken in, or not even be read."""
        phone = self.phones[a % N_PHONES]
        fields: dict[str, Any] = {"batch": BATCHES[b % 2], "n_rooted": -1}
        if c % 2:
            fields = {"batch": "unreadable"}
        self._add(phone, [self._kept(phone, "look", fields)])

    def twin(self, a: int, b: int, c: int) -> None:
        """Another record under an id that is in use, as after a phone was set back."""
        phone, source = self.phones[a % N_PHONES], self.phones[b % N_PHONES]
        one = _nth(list(source.outbox.values()), c)
        if one is None or one.content["kind"] != "look" or one.id in phone.outbox:
            return
        # other content than any record of this id: the same content on two phones would be one record
        fields = one.content["fields"] | {"n_rooted": 4 + self.n_ids}
        self._add(phone, [self._kept(phone, "look", fields, one.id)])

    def take_back(self, a: int, b: int, c: int) -> None:
        """Somebody undoes what they recorded."""
        phone = self.phones[a % N_PHONES]
        member = self.sessions.get(phone.session)
        mine = [one for one in phone.outbox.values() if one.member == member]
        one = _nth(mine, b)
        if one is None or phone.sending is not None or one.content["kind"] == "withdrawal":
            return
        back = self._kept(phone, "withdrawal", {"withdraws": one.id, "reason": "undone at once"})
        try:
            if phone.undo(one, back):
                self.gone.add((one.id, one.sha256))
            elif back.id in phone.outbox:
                self.made[back.id, back.sha256] = back
        except Full:
            pass

    def send(self, a: int, b: int, c: int) -> None:
        """A phone begins to send."""
        phone = self.phones[a % N_PHONES]
        if phone.sending is None:
            phone.sending = phone.send(self.now)
            self._advance(phone, None, c)

    def deliver(self, a: int, b: int, c: int) -> None:
        """A request arrives; it may arrive again, the server may be gone meanwhile."""
        asked = [one for one in self.travelling if one.answered is None]
        one = _nth(asked, a)
        if one is None:
            return
        if b % 5:
            self.travelling.remove(one)
        answer = self._handled(one.asked, c if c % 4 == 0 else 0, is_error=b % 2 == 0)
        if answer is not None:
            self.travelling.append(dataclasses.replace(one, answered=answer))

    def answer(self, a: int, b: int, c: int) -> None:
        """An answer arrives, if it is waited for still; the phone may be gone in the midst of it."""
        answers = [one for one in self.travelling if one.answered is not None]
        one = _nth(answers, a)
        if one is None:
            return
        self.travelling.remove(one)
        if one.phone.sending is one.sending and one.sending is not None:
            self._advance(one.phone, one.answered, c)

    def drop(self, a: int, b: int, c: int) -> None:
        """A request or an answer is lost, or one of them is overtaken."""
        one = _nth(self.travelling, a)
        if one is not None:
            self.travelling.remove(one)
            if b % 3 == 0:
                self.travelling.insert(0, one)

    def give_up(self, a: int, b: int, c: int) -> None:
        """A phone waits no longer for an answer."""
        phone = self.phones[a % N_PHONES]
        if phone.sending is not None:
            self._advance(phone, None, 7)

    def crash(self, a: int, b: int, c: int) -> None:
        """A phone is switched off, or takes over a newer version."""
        phone = self.phones[a % N_PHONES]
        if c % 3:
            phone.crash()
        else:
            phone.upgrade()

    def sign_out(self, a: int, b: int, c: int) -> None:
        """A session ends; another member may sign in on the phone."""
        phone = self.phones[a % N_PHONES]
        self.sessions.pop(phone.session, None)
        if c % 3:
            self._sign_in(phone, WHO[b % 2])

    def change_phone(self, a: int, b: int, c: int) -> None:
        """A phone's clock is set, or its storage is full, or has room again."""
        phone = self.phones[a % N_PHONES]
        if c % 2:
            phone.is_full = not phone.is_full
        else:
            phone.skew = timedelta(days=(0, 0, 1, -2, 300, -3650, 3650, 0)[b % 8], minutes=b % 11)

    def change_garden(self, a: int, b: int, c: int) -> None:
        """A token gets old, time passes, or the volunteer may only read for a while."""
        if c % 4 == 0:
            self.token += 1
        elif c % 4 == 1:
            role = "reader" if self.members["volunteer"].role == "volunteer" else "volunteer"
            self._set_role(role)
        else:
            self.now += timedelta(hours=b % 50)

    def decide(self, a: int, b: int, c: int) -> None:
        """A grower settles what was set aside; whoever recorded it may send it again."""
        if c % 2:
            phone = self.phones[a % N_PHONES]
            one = _nth([one for one in phone.outbox.values() if one.state == "set-aside"], b)
            if one is not None and not phone.is_full:
                phone.change([one.id], state="saved")
            return
        open_ones = list(SetAside.rows.of(self.garden).filter(settled_at=None).order_by("pk"))
        aside = _nth(open_ones, b)
        if aside is None:
            return
        before = self._ids()
        by = self.members["grower"]
        with suppress(BadValue, Refused, Clash):
            how = ("dropped", "recorded")[c % 4 // 2]
            services.settle_aside(garden=self.garden, by=by, now=self.now, aside=aside.pk, settled_as=how)
        self.beside |= self._ids() - before

    # --- how it happens ----------------------------------------------------------------------------

    def _sign_in(self, phone: Phone, member: str) -> None:
        phone.session = len(self.sessions) + 1000 * (self.phones.index(phone) + 1) + self.n_ids
        self.n_ids += 1
        self.sessions[phone.session] = member

    def _set_role(self, role: str) -> None:
        Member.objects.filter(pk=self.members["volunteer"].pk).update(role=role)
        self.members["volunteer"].role = role

    def _kept(self, phone: Phone, kind: str, fields: dict[str, Any], entry_id: str = "") -> Kept:
        member = self.sessions.get(phone.session) or WHO[0]
        claimed = self.now + phone.skew
        self.n_ids += 1
        at = {"at": claimed.isoformat(timespec="seconds")} if kind == "withdrawal" else {}
        content = {
            "kind": kind,
            "v": 1,
            "garden": str(self.garden.garden),
            # begins with what the phone's clock said
            "id": entry_id or f"{claimed:%Y%m%d%H%M%S}-{self.n_ids}",
            "by": member,
            "fields": fields,
            **(at or {"on": claimed.date().isoformat()}),
        }
        return Kept(member, content, sha256(content), claimed)

    def _add(self, phone: Phone, lot: list[Kept]) -> None:
        """Keep what whoever is signed in recorded; who is told "saved" is promised that it is."""
        if phone.session not in self.sessions:
            return
        try:
            phone.add(lot)
        except Full:
            return
        self.made |= {(one.id, one.sha256): one for one in lot}

    def _advance(self, phone: Phone, answer: Answered | None, stop_after: int) -> None:
        """Let a sending go on to its next request; it stops dead after so many writes."""
        sending, n = phone.sending, 0
        assert sending is not None
        stops_at = stop_after // 4 % 4 + 1 if stop_after % 4 == 0 else 0
        try:
            asked = sending.send(answer)
            while asked is None:
                n += 1
                if n == stops_at:
                    phone.crash()
                    return
                asked = next(sending)
        except (StopIteration, Full):
            phone.sending = None
            return
        self.travelling.append(Travelling(phone, sending, asked))

    def _handled(self, asked: Asked, k: int, *, is_error: bool) -> Answered | None:
        """Let the garden answer; at its ``k``-th statement the server is gone, or the disk does not write."""
        member = self.members.get(self.sessions.get(asked.session, ""))
        if member is None:
            return Answered(401)
        if asked.records is None:
            return Answered(200, member.member, (asked.session, self.token))
        if asked.token != (asked.session, self.token):
            return Answered(403)
        if any(one.member != member.member for one in asked.records):
            raise Broken("a phone sent what another member recorded")
        if any(one.content["fields"].get("batch") == "unreadable" for one in asked.records):
            return Answered(400)
        assert asked.sent_at is not None
        sent = [Sent(one.content, one.sha256) for one in asked.records]
        skewed = abs(asked.sent_at - self.now) > sendings.ASK_AFTER
        last = Garden.objects.get(pk=self.garden.pk).last_number if skewed else 0
        error: type[BaseException] = OperationalError if is_error else Crash
        try:
            with failing_at(k, error):
                receipt = services.receive_sending(
                    garden=self.garden, by=member, now=self.now, sent=sent, sent_at=asked.sent_at
                )
        except (OperationalError, TransactionManagementError):
            check_sums()
            return Answered(503)
        except Crash:
            check_sums()
            if self.fault != "acknowledged before it is committed":
                return None
            answers = tuple(
                services.Answer("received", one.content["kind"], one.id, one.sha256, self.now, 0)
                for one in asked.records
            )
            return self._promised(Answered(200, answers=answers))
        if skewed and any(one.status == "received" and (one.number or 0) > last for one in receipt.answers):
            raise Broken("a clock that is wrong by days was believed")
        return self._promised(Answered(200, answers=receipt.answers))

    def _promised(self, answer: Answered) -> Answered:
        for told in answer.answers:
            if told.status != "received":
                continue
            first = self.acknowledged.setdefault(
                (told.entry_id, told.sha256), (told.number, told.received_at)
            )
            if first != (told.number, told.received_at):
                raise Broken(f"{told.entry_id} was answered otherwise than the first time")
        return answer

    # --- what must hold ----------------------------------------------------------------------------

    def settle_down(self) -> None:
        """Let everything work, and everybody sign in on each phone and send."""
        self.travelling.clear()
        if self.members["volunteer"].role == "reader":
            self._set_role("volunteer")
        for phone in self.phones:
            phone.crash()
            phone.is_full, phone.skew = False, timedelta()
            for member in WHO:
                self._sign_in(phone, member)
                self._send_all(phone)
            if any(one.state == "saved" for one in phone.outbox.values()):
                raise Broken("a record waits for ever")

    def _send_all(self, phone: Phone) -> None:
        phone.sending = phone.send(self.now)
        self._advance(phone, None, 1)
        while self.travelling:
            self.deliver(0, 1, 1)
            self.answer(0, 0, 1)
        phone.sending = None

    def _ids(self) -> set[str]:
        return {entry_id for entry_id, _ in entries_of(self.garden)}


@contextmanager
def failing_at(k: int, error: type[BaseException]) -> Iterator[None]:
    """Let the ``k``-th statement from now fail; none where ``k`` is 0."""
    if not k:
        yield
        return
    left = [k % 97 + 1]

    def wrapper(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        left[0] -= 1
        if left[0] == 0:
            raise error("disk I/O error")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(wrapper):
        yield


def _nth(things: Sequence[Any], n: int) -> Any:
    return things[n % len(things)] if things else None
