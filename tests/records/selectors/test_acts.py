"""Who did what, on both kinds of database."""

from __future__ import annotations

from datetime import datetime

from slipwright.records import services
from slipwright.records.models import Garden, Member
from slipwright.records.selectors import deeds_of, people_of, phone_let_in
from slipwright.records.services.people import let_phone_in, waiting_for
from tests.records.making import every_kind_of_entry


def test_every_kind_of_entry_and_edit_is_told_newest_first(
    garden: Garden, owner: Member, grower: Member, now: datetime
) -> None:
    batch = every_kind_of_entry(garden, grower, now)
    services.set_role(garden=garden, by=owner, now=now, member=grower, role="reader")
    deeds = deeds_of(garden).deeds
    assert {deed.what for deed in deeds} == {
        *("sticking", "look", "potting", "outcome", "act", "stage", "firmness", "bed"),
        *("reading", "note", "photo", "withdrawal", "changed"),
    }
    assert [deed.at for deed in deeds] == sorted((deed.at for deed in deeds), reverse=True)
    stuck = next(deed for deed in deeds if deed.what == "sticking")
    assert (stuck.who, stuck.of, stuck.is_batch) == ("grower", batch.batch, True)
    assert {deed.who for deed in deeds_of(garden, by=grower).deeds} == {"grower"}


def test_a_phone_is_let_in_for_whom_the_code_is(
    garden: Garden, owner: Member, volunteer: Member, now: datetime
) -> None:
    code = services.make_pair_code(by=owner, member=volunteer, now=now)
    assert waiting_for(code=code.lower(), now=now) == volunteer
    phone = let_phone_in(code=f"{code[:4]}-{code[4:]}", now=now)
    assert waiting_for(code=code, now=now) is None
    volunteer.refresh_from_db()
    assert volunteer.user is not None
    assert phone_let_in(phone.pk, volunteer.user, now) == phone
    assert [one.phones for one in people_of(garden, now) if one.phones] == [[phone]]
    services.shut_out(garden=garden, by=owner, now=now, member=volunteer)
    assert phone_let_in(phone.pk, volunteer.user, now) is None
