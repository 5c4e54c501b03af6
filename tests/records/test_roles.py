"""Who may do what: every role against every act, and every service against every role."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from django.db import transaction

from slipwright.records import roles, services
from slipwright.records.answers.trials.plan import written
from slipwright.records.errors import NotAllowed
from slipwright.records.models import ENTRY_MODELS, Garden, Member, ReferenceEdit, SetAside
from tests.records.answers.trial_making import PLAN
from tests.records.conftest import small_garden
from tests.records.making import stick
from tests.records.pictures import drawn

MATRIX = {
    "owner": {
        roles.RECORD,
        roles.WITHDRAW_OWN,
        roles.WITHDRAW,
        roles.EDIT,
        roles.SETTLE,
        roles.GOVERN,
    },
    "grower": {roles.RECORD, roles.WITHDRAW_OWN, roles.WITHDRAW, roles.EDIT, roles.SETTLE},
    "volunteer": {roles.RECORD, roles.WITHDRAW_OWN},
    "reader": set[str](),
}

ON = date(2025, 10, 15)
Service = Callable[[dict[str, Any], dict[str, Any]], object]

#: A call of each service: ``who`` does it, ``what`` holds ids made beforehand by the owner.
SERVICES: dict[str, tuple[str, Service]] = {
    "record_sticking": (roles.RECORD, lambda who, what: stick(**who)),
    "record_look": (
        roles.RECORD,
        lambda who, what: services.record_look(**who, batch=what["batch"], on=ON),
    ),
    "record_nothing_to_note": (
        roles.RECORD,
        lambda who, what: services.record_nothing_to_note(
            **who, on=ON, batches=[what["batch"]], entry_id=str(uuid.uuid4())
        ),
    ),
    "record_potting": (
        roles.RECORD,
        lambda who, what: services.record_potting(**who, batch=what["batch"], on=ON, n_potted=1),
    ),
    "record_outcome": (
        roles.RECORD,
        lambda who, what: services.record_outcome(**who, batch=what["batch"], on=ON, ready_as="rooted"),
    ),
    "record_act": (
        roles.RECORD,
        lambda who, what: services.record_act(**who, on=ON, act="water", place="mist-1"),
    ),
    "record_stage": (
        roles.RECORD,
        lambda who, what: services.record_stage(**who, plant="rose-gate", on=ON, bbch=60),
    ),
    "record_firmness": (
        roles.RECORD,
        lambda who, what: services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=2),
    ),
    "record_bed": (
        roles.RECORD,
        lambda who, what: services.record_bed(**who, place="mist-1", at=who["now"], seen="leaves-dry"),
    ),
    "record_reading": (
        roles.RECORD,
        lambda who, what: services.record_reading(**who, place="mist-1", at=who["now"]),
    ),
    "record_note": (
        roles.RECORD,
        lambda who, what: services.record_note(**who, about="mist-1", at=who["now"], text="drips"),
    ),
    "record_sticking_as_felt": (
        roles.RECORD,
        lambda who, what: services.record_sticking_as_felt(
            **who,
            lots=[{"taxon": "Rosa 'Pale Ferry'", "stuck_on": ON, "n_stuck": 2, "wood": "hardwood"}],
            firmness_mid=None,
        ),
    ),
    "record_photo": (
        roles.RECORD,
        lambda who, what: services.record_photo(**who, about="mist-1", at=who["now"], file_sha256="0" * 64),
    ),
    "receive_photo": (
        roles.RECORD,
        lambda who, what: services.receive_photo(**who, about="mist-1", at=who["now"], sent=drawn()),
    ),
    "make_token": (roles.GOVERN, lambda who, what: services.make_token(**who, name="logger")),
    "end_token": (roles.GOVERN, lambda who, what: services.end_token(**who, token=what["token"])),
    "withdraw": (
        roles.WITHDRAW,
        lambda who, what: services.withdraw(**who, withdraws=what["look"], reason="slip", at=who["now"]),
    ),
    "edit_reference": (
        roles.EDIT,
        lambda who, what: services.edit_reference(
            **who, table="places", key=("mist-1",), changes={"walk_order": 9}
        ),
    ),
    "add_reference": (
        roles.EDIT,
        lambda who, what: services.add_reference(
            **who, table="places", row={"place": "shelf-1", "kind": "shelf"}
        ),
    ),
    "set_on": (
        roles.RECORD,
        lambda who, what: (
            Garden.objects.filter(pk=who["garden"].pk).update(stands_on=ON)
            and services.set_on(garden=who["garden"], by=who["by"], days=7, until=date(2026, 1, 1))
        ),
    ),
    "fix_trial": (
        roles.EDIT,
        lambda who, what: services.fix_trial(
            **who,
            trial="dips",
            question="Does the dip help?",
            arms="A;B",
            units_per_arm=2,
            n_per_unit=4,
            stop_rule="after 8 weeks",
            plan=written(PLAN),
            entry_id=str(uuid.uuid4()),
        ),
    ),
    "stick_trial": (
        roles.RECORD,
        lambda who, what: services.stick_trial(
            **who,
            trial="dips",
            lots=[
                {
                    "id": str(uuid.uuid4()),
                    "taxon": "Rosa 'Pale Ferry'",
                    "stuck_on": ON,
                    "n_stuck": 2,
                    "wood": "hardwood",
                }
            ],
        ),
    ),
    "count_trial": (
        roles.RECORD,
        lambda who, what: services.count_trial(
            **who,
            on=ON,
            counts=[
                {"batch": what["batch"], "n_rooted": 1, "n_lost": 0, "after": "", "id": str(uuid.uuid4())}
            ],
        ),
    ),
    "add_member": (
        roles.GOVERN,
        lambda who, what: services.add_member(**who, member="newcomer", role="volunteer"),
    ),
    "set_role": (
        roles.GOVERN,
        lambda who, what: services.set_role(**who, member=what["volunteer"], role="reader"),
    ),
    "shut_out": (roles.GOVERN, lambda who, what: services.shut_out(**who, member=what["volunteer"])),
    "let_back_in": (roles.GOVERN, lambda who, what: services.let_back_in(**who, member=what["volunteer"])),
    "make_pair_code": (
        roles.EDIT,
        lambda who, what: services.make_pair_code(by=who["by"], now=who["now"], member=what["volunteer"]),
    ),
    "settle_aside": (
        roles.SETTLE,
        lambda who, what: services.settle_aside(**who, aside=what["aside"]),
    ),
    "pick_look": (roles.SETTLE, lambda who, what: services.pick_look(**who, look=what["look"])),
    "receive_file": (
        roles.SETTLE,
        lambda who, what: services.receive_file(**who, sent=[services.Sent({"by": "owner"}, "")]),
    ),
}


def rows() -> dict[str, int]:
    kept = {model.__name__: model.rows.count() for model in ENTRY_MODELS}
    return kept | {"edits": ReferenceEdit.rows.count(), "members": Member.objects.count()}


@pytest.mark.parametrize("role", MATRIX)
@pytest.mark.parametrize("act", roles.ACTS)
def test_the_matrix(role: str, act: str) -> None:
    assert roles.may(Member(role=role), act) == (act in MATRIX[role])


@pytest.mark.parametrize("role", MATRIX)
@pytest.mark.parametrize("act", roles.ACTS)
def test_a_phone_let_in_by_a_code_adds_to_the_records_and_no_more(role: str, act: str) -> None:
    on_phone = Member(role=role)
    on_phone.is_on_phone = True
    assert roles.may(on_phone, act) == (act in MATRIX[role] & {roles.RECORD, roles.WITHDRAW_OWN})


def test_an_act_nobody_defined_is_an_error() -> None:
    with pytest.raises(ValueError, match="juggle"):
        roles.may(Member(role="owner"), "juggle")


#: What is done before anybody is a member, by whoever holds a code or stands at the machine.
AT_THE_DOOR = {
    name for name in services.__all__ if getattr(getattr(services, name), "__module__", "").endswith(".door")
}


#: What an instrument does, whose token says for which garden and by whom it was made.
BY_TOKEN = {"token_shown", "may_send", "receive_readings"}


def test_every_service_stands_in_the_table() -> None:
    acts = {name for name in services.__all__ if name[0].islower()}
    elsewhere = {"make_garden", "receive_entry", "receive_sending"} | BY_TOKEN | AT_THE_DOOR
    assert acts - elsewhere == set(SERVICES)


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
@pytest.mark.parametrize("service", SERVICES)
def test_every_service_asks_the_role(garden: Garden, owner: Member, now: datetime, service: str) -> None:
    mine: dict[str, Any] = {"garden": garden, "by": owner, "now": now}
    batch = stick(**mine).batch
    act, call = SERVICES[service]
    stranger = Member.objects.get(garden=small_garden("Tern Point"), role="owner")
    for role in ("stranger", "reader", "volunteer", "grower", "owner"):
        what = {
            "batch": batch,
            "look": services.record_look(**mine, batch=batch, on=ON, n_rooted=2).entry_id,
            "volunteer": Member.objects.get(garden=garden, role="volunteer"),
            "token": services.make_token(**mine, name="logger")[0].pk,
            "aside": SetAside.rows.create(garden=garden, received_at=now).pk,
        }
        member = stranger if role == "stranger" else Member.objects.get(garden=garden, role=role)
        who = {"garden": garden, "by": member, "now": now}
        before = rows()
        if act in MATRIX.get(role, set()):
            with transaction.atomic():
                assert call(who, what)
                transaction.set_rollback(True)
        else:
            with pytest.raises(NotAllowed, match=member.member):
                call(who, what)
        assert rows() == before
