"""Taking in all that a phone sends at once: record by record, and none holds up another."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

from django.db import transaction
from django.utils.translation import gettext as _

from slipwright.records import roles
from slipwright.records.errors import BadValue
from slipwright.records.models import ENTRY_MODELS, Device, Garden, Member, Sending
from slipwright.records.numbering import hold
from slipwright.records.services.receiving import Answer, Sent, is_elsewhere, not_yours, receive_entry
from slipwright.records.services.turns import in_turn
from slipwright.records.states import resum

#: A phone's clock may differ by so much and is right; beyond the second a person is asked.
OFF_AFTER = timedelta(minutes=5)
ASK_AFTER = timedelta(days=1)
#: A file that a phone wrote holds so many records at most.
MOST_IN_FILE = 5000
#: Of a file so many records are taken in at once.
_CHUNK = 20
#: What the database keeps of a difference: 63 years.
_MOST_SKEW = timedelta(seconds=2_000_000_000)

Clock = Literal["right", "off", "ask"]


@dataclass(frozen=True, slots=True)
class Receipt:
    """What became of a sending: an answer for each record, in order; how the phone's clock stands."""

    skew_s: int
    clock: Clock
    answers: tuple[Answer, ...]


def receive_sending(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    sent: Sequence[Sent],
    sent_at: datetime,
    device: Device | None = None,
) -> Receipt:
    """Take in what ``by`` recorded on a phone: all of it is written down in one go, or nothing.

    Each record stands for itself: one that cannot be taken in is kept aside, and holds up none beside it.
    Raises ``Busy`` where so much is being taken in that the phone had better come again.

    ``sent_at`` is the phone's own clock. Where it differs from ``now`` by more than a day, its days are
    not to be believed: what is new is kept aside for a person. A demonstration's clock stands still, so
    it is not compared.
    """
    skew = timedelta() if garden.stands_on else _within(sent_at.astimezone(UTC) - now)
    clock: Clock = "ask" if abs(skew) > ASK_AFTER else "off" if abs(skew) > OFF_AFTER else "right"
    doubt = ""
    if clock == "ask":
        days = round(abs(skew) / timedelta(days=1))
        doubt = f"this phone's clock differs by {days} {'day' if days == 1 else 'days'}"

    def take_in(kinds: dict[str, set[str]], one: Sent, sum_later: set[int] | None) -> Answer:
        if isinstance(one.content, Mapping) and _of_another(garden, by, one.content):
            return not_yours(one.content, one.sha256, now)
        others = {"by": by, "now": now, "device": device, "doubt": doubt, "sum_later": sum_later}
        return _received(garden, one, kinds, **others)

    with in_turn(len(sent)), transaction.atomic():
        answers = _all_of(garden, sent, take_in)
        _keep(garden, answers, by=by, now=now, sent_at=now + skew, device=device)
    return Receipt(round(skew.total_seconds()), clock, tuple(answers))


def _all_of(
    garden: Garden,
    sent: Sequence[Sent],
    take_in: Callable[[dict[str, set[str]], Sent, set[int] | None], Answer],
) -> list[Answer]:
    """Take in each of some records, and sum the batches they touch once, at the end.

    Where a batch then sums to more than the database keeps, all is taken back and done once more with a
    sum after each record, which finds the one to keep aside.
    """
    held = hold(garden)
    batches: set[int] = set()
    try:
        with transaction.atomic():
            kinds = kinds_of(held, sent)
            answers = [take_in(kinds, one, batches) for one in sent]
            resum(held, batches)
    except BadValue:
        kinds = kinds_of(held, sent)
        answers = [take_in(kinds, one, None) for one in sent]
    return answers


def receive_file(*, garden: Garden, by: Member, now: datetime, sent: Sequence[Sent]) -> list[Answer]:
    """Take in what a phone kept and wrote to a file, each record as by whoever recorded it.

    ``by`` brings the file. What somebody recorded who may not record any more, or was shut out, is kept
    aside. Raises ``BadValue`` where it holds more than ``MOST_IN_FILE`` records: then none is taken in.
    """
    roles.require(by, roles.SETTLE, garden)
    if len(sent) > MOST_IN_FILE:
        raise BadValue("file", _("must hold at most %(n)s records") % {"n": MOST_IN_FILE})
    theirs = Member.objects.filter(garden=garden).select_related("user")
    members = {one.member: one for one in theirs}

    def take_in(kinds: dict[str, set[str]], one: Sent, sum_later: set[int] | None) -> Answer:
        return _from_file(garden, one, kinds, members, by=by, now=now, sum_later=sum_later)

    answers: list[Answer] = []
    for start in range(0, len(sent), _CHUNK):
        chunk = sent[start : start + _CHUNK]
        with in_turn(1), transaction.atomic():
            answers += _all_of(garden, chunk, take_in)
    _keep(garden, answers, by=by, now=now, sent_at=now, device=None)
    return answers


def _from_file(
    garden: Garden,
    one: Sent,
    kinds: dict[str, set[str]],
    members: Mapping[str, Member],
    *,
    by: Member,
    now: datetime,
    sum_later: set[int] | None,
) -> Answer:
    content = one.content
    if isinstance(content, Mapping) and is_elsewhere(garden, content):
        return not_yours(content, one.sha256, now)
    named = content.get("by") if isinstance(content, Mapping) else None
    recorded_by = members.get(named, by) if isinstance(named, str) else by
    is_shut_out = recorded_by.user is not None and not recorded_by.user.is_active
    doubt = f"{recorded_by.member} was shut out" if is_shut_out else ""
    others = {"by": recorded_by, "sent_by": by, "now": now, "doubt": doubt, "sum_later": sum_later}
    return _received(garden, one, kinds, **others)


def kinds_of(garden: Garden, sent: Iterable[Sent]) -> dict[str, set[str]]:
    """Return the kinds of the entries that are there under the ids of what was sent. One query a kind."""
    told = (one.content.get("id") for one in sent if isinstance(one.content, Mapping))
    ids = {one for one in told if isinstance(one, str) and "\x00" not in one and one.isprintable()}
    found: dict[str, set[str]] = {}
    for model in ENTRY_MODELS:
        for entry_id in model.rows.of(garden).filter(entry_id__in=ids).values_list("entry_id", flat=True):
            found.setdefault(entry_id, set()).add(model.kind)
    return found


def _received(garden: Garden, one: Sent, kinds: dict[str, set[str]], **others: Any) -> Answer:
    answer = receive_entry(
        garden=garden, content=one.content, sha256=one.sha256, ground=one.ground, kinds=kinds, **others
    )
    if answer.status == "received":
        kinds.setdefault(answer.entry_id, set()).add(answer.kind)
    return answer


def _of_another(garden: Garden, by: Member, content: Mapping[str, Any]) -> bool:
    named = content.get("by")
    return is_elsewhere(garden, content) or (isinstance(named, str) and named != by.member)


def _within(skew: timedelta) -> timedelta:
    return max(-_MOST_SKEW, min(skew, _MOST_SKEW))


@transaction.atomic
def _keep(
    garden: Garden,
    answers: Sequence[Answer],
    *,
    by: Member,
    now: datetime,
    sent_at: datetime,
    device: Device | None,
) -> None:
    """Keep that something was sent; a sending of which nothing was kept is none."""
    kept = [answer for answer in answers if answer.status != "not-yours"]
    if not kept:
        return
    new = [a.number for a in kept if a.number is not None and a.received_at == now]
    Sending.rows.create(
        garden=hold(garden),
        by=by,
        device=device,
        sent_at=sent_at,
        received_at=now,
        skew_s=round((sent_at - now).total_seconds()),
        n_received=sum(answer.status == "received" for answer in kept),
        n_aside=sum(answer.status == "set-aside" for answer in kept),
        first_number=min(new, default=None),
        last_number=max(new, default=None),
    )
