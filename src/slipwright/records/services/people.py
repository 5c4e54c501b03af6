"""Who belongs to a garden, who may come in, and the phones that were let in."""

from __future__ import annotations

import hashlib
import secrets
import uuid
from datetime import datetime, timedelta

from django.contrib.sessions.models import Session
from django.db import transaction
from django.utils.translation import gettext as _

from slipwright.records import codes, roles
from slipwright.records.errors import BadValue, NotAllowed, NotFound, Refused
from slipwright.records.models import Device, Garden, Member, OneTimeCode, User
from slipwright.records.numbering import hold
from slipwright.records.services.door import user_of_member
from slipwright.records.services.door_book import keep_door_event
from slipwright.records.services.reference import edit_reference, require_another_owner

PAIR_SIGNS = 12
PAIR_FOR = timedelta(minutes=10)
PHONE_FOR = timedelta(days=180)
#: a phone is written down as seen so often at most
SEEN_EVERY = timedelta(minutes=10)


def set_role(*, garden: Garden, by: Member, now: datetime, member: Member, role: str) -> Member:
    """Say as what a member belongs to the garden from now on; a garden keeps an owner who can come in."""
    changes = {"role": role}
    record: Member = edit_reference(
        garden=garden, by=by, now=now, table="members", key=(member.member,), changes=changes
    )
    return record


@transaction.atomic
def shut_out(*, garden: Garden, by: Member, now: datetime, member: Member) -> Member:
    """Let a member in no more: sessions and phones end, their tokens rest, what they recorded stays."""
    held = hold(garden)
    roles.require(by, roles.GOVERN, held)
    theirs = _of(held, member)
    user = user_of_member(theirs)
    if Member.objects.filter(user=user).exclude(garden=held).exists():
        raise Refused(
            _("They belong to another garden too, and are not shut out from there."),
            [_("Make them a reader here instead.")],
        )
    if theirs.role == "owner":
        require_another_owner(held, theirs)
    user.is_active = False
    user.save(update_fields=["is_active"])
    end_phones(user=user, now=now)
    end_sessions(user)
    keep_door_event(what="member", now=now, member=by, garden=held, told=f"shut out: {theirs}")
    return theirs


@transaction.atomic
def let_back_in(*, garden: Garden, by: Member, now: datetime, member: Member) -> Member:
    """Let a member come in again; they sign in anew."""
    held = hold(garden)
    roles.require(by, roles.GOVERN, held)
    theirs = _of(held, member)
    if theirs.user is not None and not theirs.user.is_active:
        theirs.user.is_active = True
        theirs.user.save(update_fields=["is_active"])
        keep_door_event(what="member", now=now, member=by, garden=held, told=f"let back in: {theirs}")
    return theirs


def end_sessions(user: User) -> None:
    """End every session of a person, on whatever device."""
    for session in Session.objects.iterator():
        if session.get_decoded().get("_auth_user_id") == str(user.pk):
            session.delete()


def end_phones(*, user: User, now: datetime) -> None:
    """Let every phone of a person out."""
    Device.objects.filter(member__user=user, ended_at=None).update(ended_at=now)


# --- phones -------------------------------------------------------------------------------------------


def may_let_in(by: Member, member: Member) -> bool:
    """Return whether ``by`` may let a phone of ``member`` in: owners all but owners', growers volunteers'."""
    if by.garden_id != member.garden_id or not roles.may(by, roles.EDIT):
        return False
    return member.role == "volunteer" or (by.role == "owner" and member.role != "owner")


@transaction.atomic
def make_pair_code(*, by: Member, member: Member, now: datetime) -> str:
    """Return a code that lets one phone in for ``member``, once, within ten minutes; an earlier one ends."""
    if not may_let_in(by, member):
        raise NotAllowed(by.member, by.role, f"let a phone of a {member.role} in")
    user = user_of_member(member)
    if not user.is_active:
        raise Refused(_("They were shut out."), [_("An owner lets them back in first.")])
    code = "".join(secrets.choice(codes.ALPHABET) for _sign in range(PAIR_SIGNS))
    OneTimeCode.objects.filter(purpose="pair", user=user, spent_at=None, ends_at__gt=now).update(ends_at=now)
    OneTimeCode.objects.create(
        purpose="pair",
        sha256=_hash(code),
        user=user,
        made_by=by,
        made_at=now,
        ends_at=now + PAIR_FOR,
    )
    return code


def waiting_for(*, code: str, now: datetime) -> Member | None:
    """Return the member, with their garden, a phone can come in for by a code; nothing is spent."""
    found = OneTimeCode.objects.filter(purpose="pair", sha256=_hash(code), spent_at=None, ends_at__gt=now)
    one = found.select_related("made_by__user").first()
    if one is None or one.made_by is None or (one.made_by.user and not one.made_by.user.is_active):
        return None
    theirs = Member.objects.select_related("garden", "user")
    member = theirs.filter(garden=one.made_by.garden_id, user=one.user_id).first()
    if member is None or member.user is None or not member.user.is_active:
        return None
    return member if may_let_in(one.made_by, member) else None


@transaction.atomic
def let_phone_in(*, code: str, now: datetime, name: str = "") -> Device:
    """Spend a code and return the phone that is let in by it.

    A code that never was, was spent, has run out, or whose maker may not let in any more, is refused in
    the same words.
    """
    member = waiting_for(code=code, now=now)
    found = OneTimeCode.objects.filter(purpose="pair", sha256=_hash(code), spent_at=None)
    if member is None or not found.update(spent_at=now):
        raise Refused(
            _("This code is not known, was used already, or has run out."),
            [_("Ask whoever showed it to you for a new one.")],
        )
    by = OneTimeCode.objects.select_related("made_by").get(purpose="pair", sha256=_hash(code)).made_by
    phone = Device.objects.create(
        garden=member.garden,
        member=member,
        name=name[:60],
        made_by=by,
        made_at=now,
        ends_at=now + PHONE_FOR,
        last_seen_at=now,
    )
    keep_door_event(
        what="phone-let-in", now=now, member=by, garden=member.garden, device=phone, told=str(member)
    )
    return phone


@transaction.atomic
def let_phone_out(*, by: Member, now: datetime, device: uuid.UUID) -> Device:
    """End a phone of one's own, or of whomever one may let in; an owner any."""
    phones = Device.objects.select_related("member").filter(garden=by.garden_id)
    phone = phones.filter(device=device).first()
    if phone is None:
        raise NotFound("no phone of this garden is called so")
    own = phone.member_id == by.pk
    if not (own or roles.may(by, roles.GOVERN) or may_let_in(by, phone.member)):
        raise NotAllowed(by.member, by.role, "let this phone out")
    if phone.ended_at is None:
        phone.ended_at = now
        phone.save(update_fields=["ended_at"])
        keep_door_event(what="phone-let-out", now=now, member=by, device=phone, told=str(phone.member))
    return phone


def phone_seen(device: Device, now: datetime) -> None:
    """Write down that a phone sent something, unless that was written down just before."""
    if device.last_seen_at is None or now - device.last_seen_at >= SEEN_EVERY:
        Device.objects.filter(pk=device.pk).update(last_seen_at=now)


def _of(held: Garden, member: Member) -> Member:
    found = Member.objects.select_related("user").filter(garden=held, pk=member.pk).first()
    if found is None:
        raise BadValue("member", _("must be a member of this garden"))
    return found


def _hash(code: str) -> str:
    return hashlib.sha256(f"pair:{codes.tidy(code)}".encode("utf-8", "replace")).hexdigest()
