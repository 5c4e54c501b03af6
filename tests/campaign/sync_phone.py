"""A phone as the scripts of the pages make it: what lies in its outbox, and how that is sent.

A sending is a generator, so that the world can stop it between any two writes. It yields a request and
takes the answer, or None where none came; it yields None after each write.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Generator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

LOT = 3
#: good for one session, until there is a newer one
Token = tuple[int, int]
#: faults that can be planted in a phone
PHONE_FAULTS = (
    "removed when it is sent",
    "kept in memory only",
    "an upgrade keeps two records",
    "cleared when signed out",
    "one answer for the lot",
    "sent by whoever is signed in",
    "kept for seven days",
)


class Full(Exception):
    """There is no room on the phone."""


@dataclass(frozen=True)
class Kept:
    """A record in the outbox."""

    member: str
    content: dict[str, Any]
    sha256: str
    saved_at: datetime
    state: str = "saved"
    tries: int = 0

    @property
    def id(self) -> str:
        return str(self.content["id"])


@dataclass(frozen=True)
class Asked:
    """A request on its way, and whose session it goes with."""

    session: int
    records: tuple[Kept, ...] | None = None
    token: Token = (0, 0)
    sent_at: datetime | None = None


@dataclass(frozen=True)
class Answered:
    """An answer on its way back."""

    status: int
    member: str = ""
    token: Token = (0, 0)
    answers: tuple[Any, ...] = ()


Sending = Generator["Asked | None", "Answered | None", None]


@dataclass
class Phone:
    """A phone that somebody records with."""

    fault: str = ""
    session: int = 0
    skew: timedelta = timedelta()
    is_full: bool = False
    outbox: dict[str, Kept] = field(default_factory=dict)
    sending: Sending | None = None

    def add(self, records: list[Kept]) -> None:
        """Keep records, all or none."""
        if self.is_full:
            raise Full
        self.outbox |= {one.id: one for one in records}

    def change(self, ids: list[str], **to: Any) -> None:
        """Change records that are there still."""
        if self.is_full:
            raise Full
        for one in ids:
            if one in self.outbox:
                self.outbox[one] = dataclasses.replace(self.outbox[one], **to)

    def undo(self, record: Kept, withdrawal: Kept) -> bool:
        """Take a record back; return whether it is gone without a trace, for it was never sent."""
        if record.state == "saved" and not record.tries:
            del self.outbox[record.id]
            return True
        if record.state != "set-aside":
            self.add([withdrawal])
        return False

    def crash(self) -> None:
        """Stop, at whatever it is; what is on the disk stays."""
        if self.sending is not None:
            self.sending.close()
        self.sending = None
        if self.fault == "kept in memory only":
            self.outbox.clear()

    def upgrade(self) -> None:
        """Take over a newer version of the scripts: every page is loaded anew, the outbox only added to."""
        self.crash()
        if self.fault == "an upgrade keeps two records":
            self.outbox = dict(list(self.outbox.items())[:2])

    def send(self, now: datetime) -> Sending:
        """Send what waits of whoever is signed in."""
        self._drop(now)
        if not self._waiting():
            return
        who = yield Asked(self.session)
        if who is None or who.status != 200:
            if who is not None and who.status == 401 and self.fault == "cleared when signed out":
                self.outbox.clear()
            return
        everybody = self.fault == "sent by whoever is signed in"
        waiting = [one for one in self._waiting() if everybody or one.member == who.member]
        for start in range(0, len(waiting), LOT):
            who = yield from self._lot(waiting[start : start + LOT], who, now)
            if who is None:
                return

    def _waiting(self) -> list[Kept]:
        return [one for one in self.outbox.values() if one.state == "saved"]

    def _drop(self, now: datetime) -> None:
        if self.fault == "kept for seven days":
            for one in self._waiting():
                if abs(now + self.skew - one.saved_at) > timedelta(days=7):
                    del self.outbox[one.id]

    def _lot(
        self, lot: list[Kept], who: Answered, now: datetime
    ) -> Generator[Asked | None, Answered | None, Answered | None]:
        self.change([one.id for one in lot], tries=1)
        yield None
        if self.fault == "removed when it is sent":
            for one in lot:
                self.outbox.pop(one.id, None)
        answer = yield Asked(self.session, tuple(lot), who.token, now + self.skew)
        if answer is not None and answer.status == 403:
            again = yield Asked(self.session)
            if again is None or again.status != 200 or again.member != who.member:
                return None
            who = again
            answer = yield Asked(self.session, tuple(lot), who.token, now + self.skew)
        if answer is None:
            return None
        if answer.status == 400:
            if len(lot) == 1:
                self.change([lot[0].id], state="set-aside")
                yield None
                return who
            half = (len(lot) + 1) // 2
            after = yield from self._lot(lot[:half], who, now)
            return (yield from self._lot(lot[half:], after, now)) if after else None
        if answer.status != 200:
            return None
        yield from self._mark(lot, answer)
        return who

    def _mark(self, lot: list[Kept], answer: Answered) -> Sending:
        if self.fault == "one answer for the lot":
            self.change([one.id for one in lot], state=answer.answers[0].status)
            return
        for told in answer.answers:
            for one in lot:
                if (one.id, one.sha256) == (told.entry_id, told.sha256) and told.status != "not-yours":
                    self.change([one.id], state=told.status)
                    yield None
