"""What is told to everybody as fixed is written by those only who may change the garden."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.errors import NotAllowed, OnAPhone
from slipwright.records.models import Garden, Member, Note, SetAside, Trial
from slipwright.records.selectors.own_rules import own_rules_of
from slipwright.records.selectors.trials import trial_rows

RULE = "Own rule (Rosa): Take the tip\n41 in 3 batches"
PLAN = "Trial plan, fixed beforehand.\ntaxon: Rosa"


@pytest.fixture
def trial(garden: Garden) -> str:
    told = {"question": "Does it help?", "arms": "A no;B yes", "stop_rule": "after 8 weeks"}
    Trial.rows.create(garden=garden, trial="tips", units_per_arm=4, n_per_unit=6, **told)
    return "tips"


def note(garden: Garden, by: Member, now: datetime, about: str, text: str) -> Note:
    return services.record_note(garden=garden, by=by, now=now, about=about, at=now, text=text)


@pytest.mark.parametrize("text", [RULE, RULE.lower()])
def test_who_only_records_states_no_rule(garden: Garden, volunteer: Member, now: datetime, text: str) -> None:
    with pytest.raises(NotAllowed):
        note(garden, volunteer, now, str(garden.garden), text)
    assert not own_rules_of(garden)


@pytest.mark.parametrize("text", [PLAN, PLAN.lower(), PLAN.upper()])
def test_who_only_records_fixes_no_plan_of_a_trial(
    garden: Garden, volunteer: Member, now: datetime, trial: str, text: str
) -> None:
    with pytest.raises(NotAllowed):
        note(garden, volunteer, now, trial, text)
    (row,) = trial_rows(garden, trials=[trial])
    assert row.plan == ""


def test_a_phone_that_was_let_in_fixes_nothing_whoever_holds_it(
    garden: Garden, grower: Member, now: datetime, trial: str
) -> None:
    grower.is_on_phone = True
    for about, text in ((str(garden.garden), RULE), (trial, PLAN)):
        with pytest.raises(OnAPhone):
            note(garden, grower, now, about, text)


def test_other_notes_are_free_and_who_may_edit_fixes_both(
    garden: Garden, volunteer: Member, grower: Member, now: datetime, trial: str
) -> None:
    note(garden, volunteer, now, str(garden.garden), "The gate sticks")
    note(garden, volunteer, now, trial, RULE)
    note(garden, grower, now, str(garden.garden), RULE)
    note(garden, grower, now, trial, PLAN)
    (rule,) = own_rules_of(garden)
    (row,) = trial_rows(garden, trials=[trial])
    assert (rule.rule, row.plan) == ("Take the tip", PLAN)


def test_a_rule_sent_by_a_volunteer_is_kept_aside_until_a_grower_records_it(
    garden: Garden, volunteer: Member, grower: Member, now: datetime
) -> None:
    content: dict[str, Any] = {
        "kind": "note",
        "v": 1,
        "garden": str(garden.garden),
        "id": "2b2f2c0e-0000-4000-8000-000000000001",
        "by": "volunteer",
        "at": "2025-10-15T09:30:00+00:00",
        "fields": {"about": str(garden.garden), "text": RULE},
    }
    answer = services.receive_entry(
        garden=garden, content=content, sha256=sha256(content), by=volunteer, now=now
    )
    assert (answer.status, own_rules_of(garden)) == ("set-aside", [])
    aside = SetAside.rows.of(garden).get()
    services.settle_aside(garden=garden, by=grower, now=now, aside=aside.pk, settled_as="recorded")
    (rule,) = own_rules_of(garden)
    assert rule.by == "volunteer"
