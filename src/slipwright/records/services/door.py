"""The door: codes that let somebody in once, and the first person of a garden."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Mapping
from datetime import datetime, timedelta

from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from slipwright.records import codes
from slipwright.records.canonical import Value
from slipwright.records.errors import BadValue, Refused
from slipwright.records.models import Member, OneTimeCode, User
from slipwright.records.selectors import nobody_in_charge
from slipwright.records.services.gardens import make_garden
from slipwright.records.services.reference import add_reference
from slipwright.records.services.throttle import forget_tries
from slipwright.records.words import CODE_PURPOSES

SET_UP_SIGNS = 8
#: bytes drawn for the code of a link: more than anybody can try through
LINK_BYTES = 24
_SIGN_IN_NAME = re.compile(r"[\w.@+-]{1,100}")


@transaction.atomic
def make_code(*, purpose: str, now: datetime, minutes: int, user: User | None = None) -> str:
    """Return a new code that lets in once; one to set up with is short enough to type.

    Only its hash is kept. A code made earlier to set up with ends; so does one made earlier for
    the same person to sign in with.
    """
    if purpose not in CODE_PURPOSES:
        raise BadValue("purpose", f"must be one of {', '.join(CODE_PURPOSES)}", purpose)
    if purpose == "pair" or (purpose == "sign-in") != (user is not None):
        raise BadValue("user", "must be given for a code to sign in with, and for no other")
    if purpose == "set-up":
        code = "".join(secrets.choice(codes.ALPHABET) for _ in range(SET_UP_SIGNS))
    else:
        code = secrets.token_urlsafe(LINK_BYTES)
    OneTimeCode.objects.filter(purpose=purpose, user=user, spent_at=None, ends_at__gt=now).update(ends_at=now)
    OneTimeCode.objects.create(
        purpose=purpose,
        sha256=_hash(purpose, code),
        user=user,
        made_at=now,
        ends_at=now + timedelta(minutes=minutes),
    )
    return code


@transaction.atomic
def spend_code(*, purpose: str, code: str, now: datetime) -> User | None:
    """Spend a code and return whom it is for; nobody, where it is one to set up with.

    A code that never was, was spent or has run out is refused in the same words.
    """
    found = OneTimeCode.objects.filter(purpose=purpose, sha256=_hash(purpose, code))
    if not found.filter(spent_at=None, ends_at__gt=now).update(spent_at=now):
        raise Refused(
            _("This code is not known, was used already, or has run out."),
            [_("Ask for a new one on the machine that runs Slipwright.")],
        )
    return found.select_related("user").get().user


def clear_codes(*, now: datetime) -> int:
    """Throw away the codes that let nobody in any more, and return how many there were."""
    forget_tries(now=now)
    ended = Q(spent_at__isnull=False) | Q(ends_at__lte=now)
    number, _by_model = OneTimeCode.objects.filter(ended).delete()
    return number


def set_up_garden(
    *,
    code: str,
    now: datetime,
    garden: Mapping[str, Value],
    username: str,
    password: str,
    shown_as: str = "",
    place: Mapping[str, Value] | None = None,
    taxon: Mapping[str, Value] | None = None,
    plant: Mapping[str, Value] | None = None,
) -> Member:
    """Make the first person and their garden, with one place and one plant if given: all or nothing.

    ``garden``, ``place``, ``taxon`` and ``plant`` are rows of their tables. Returns the member who
    owns the garden; the code is spent with it.
    """
    user = _new_user(username, password)
    with transaction.atomic():
        _first_in(code, now)
        _save_new(user)
        made = make_garden(**garden, owner=username, owner_shown_as=shown_as, user=user)  # type: ignore[arg-type]
        member = Member.objects.select_related("garden", "user").get(garden=made, user=user)
        for table, row in (("places", place), ("taxa", taxon), ("plants", plant)):
            if row:
                add_reference(garden=made, by=member, now=now, table=table, row=row)
    return member


def take_over(*, code: str, now: datetime, owner: int, username: str, password: str) -> Member:
    """Let the first person in as the owner, by their row, of a garden whose tables were loaded."""
    user = _new_user(username, password)
    with transaction.atomic():
        _first_in(code, now)
        found = Member.objects.select_related("garden").filter(pk=owner, role="owner", user=None).first()
        if found is None:
            raise BadValue("owner", _("must be one of those shown"))
        _save_new(user)
        found.user = user
        found.save()
    return found


@transaction.atomic
def user_of_member(member: Member) -> User:
    """Return whoever signs in as a member; a person without a password is made where nobody does."""
    # the row's lock: two that ask at once get the same person
    held = Member.objects.select_for_update().get(pk=member.pk)
    if held.user is not None:
        return held.user
    plain = re.sub(r"[^\w.@+-]+", "-", held.member)[:90].strip("-") or "member"
    username, number = plain, 1
    while User.objects.filter(username=username).exists():
        number += 1
        username = f"{plain}-{number}"
    user = User(username=username)
    user.set_unusable_password()
    user.save()
    held.user = user
    held.save(update_fields=["user"])
    return user


def set_password(*, user: User, password: str) -> None:
    """Give a person a new password; whoever is signed in with the older one is no longer."""
    _require_good(password, user)
    user.password = make_password(password)
    user.save(update_fields=["password"])


def _first_in(code: str, now: datetime) -> None:
    spend_code(purpose="set-up", code=codes.tidy(code), now=now)
    if not nobody_in_charge():
        raise Refused(_("Somebody is in charge here already."), [_("Sign in instead.")])


def _new_user(username: str, password: str) -> User:
    """Return a person not yet kept; the slow hash of the password is made before any lock is held."""
    if not _SIGN_IN_NAME.fullmatch(username):
        raise BadValue("username", _("must be letters, figures and . @ + - _ only, without blanks"), username)
    user = User(username=username)
    _require_good(password, user)
    user.password = make_password(password)
    return user


def _save_new(user: User) -> None:
    """Keep a new person; a volunteer may have been let in under the same name before any owner."""
    if User.objects.filter(username=user.username).exists():
        raise BadValue("username", _("is taken: choose another"), user.username)
    user.save()


def _require_good(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise BadValue("password", " ".join(error.messages)) from error


def _hash(purpose: str, code: str) -> str:
    return hashlib.sha256(f"{purpose}:{code}".encode()).hexdigest()
