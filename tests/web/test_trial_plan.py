"""Setting up a trial: its size and bench are shown, and its plan is fixed once."""

from __future__ import annotations

import re
import uuid
from datetime import datetime

import pytest
from django.test import Client

from slipwright.records.answers.trials.plan import plan_of
from slipwright.records.models import Garden, Member, Note, Sticking, Trial
from slipwright.records.selectors.trials import trial_rows
from tests.records.answers.trial_making import NAME
from tests.records.making import stick
from tests.web.trial_asking import plan_it, said_on


@pytest.fixture
def usual(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Stick one batch by a method, so that there is a usual way."""
    return stick(garden, grower, now, method="rose-autumn", plant="rose-gate", cutting="piece")


def test_it_asks_which_plant_and_what_shall_differ(client: Client) -> None:
    page = said_on(client.get("/trials/new"))
    assert "rose-gate: Rosa" in page
    assert 'name="differs" value="wound"' in page
    assert client.get("/trials/new?taxon=nothing&differs=wound").status_code == 422


def test_the_form_begins_with_the_usual_way_and_with_a_size(client: Client, usual: Sticking) -> None:
    page = said_on(client.get("/trials/new?plant=rose-gate&differs=auxin"))
    assert re.search(r"\d+ pots of each way: \d+ pots, \d+ cuttings in all", page)
    assert '<option value="iba" selected>' in page
    assert 'value="3000"' in page


@pytest.mark.parametrize(
    "differs", ["wound", "part", "medium", "container", "n_nodes", "length_mm", "stored"]
)
def test_the_form_opens_for_every_thing_that_may_differ(
    client: Client, usual: Sticking, differs: str
) -> None:
    assert 'name="arm_B"' in said_on(client.get(f"/trials/new?plant=rose-gate&differs={differs}"))


def test_the_size_and_the_bench_are_shown_before_anything_is_kept(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    page = said_on(plan_it(client, do="size", units_per_arm=""))
    n = re.search(r"(\d+) pots of each way", page)
    assert n is not None
    assert int(n[1]) > 8
    assert page.count("block ") >= int(n[1])
    assert "IBA 3000 mg/kg, powder" in page
    assert not Trial.rows.of(garden).exists()


def test_a_number_of_ones_own_is_told_what_it_can_find(client: Client, usual: Sticking) -> None:
    few, many = (said_on(plan_it(client, do="size", units_per_arm=str(n))) for n in (3, 40))
    chances = [re.search(r"so many find it (\d+) times in 100", page) for page in (few, many)]
    assert int(chances[0][1]) < 40 < 90 < int(chances[1][1])  # type: ignore[index]


@pytest.mark.parametrize("n", ["", "six", "0", "9999"])
def test_a_form_without_its_button_and_with_a_wrong_number_is_told_so(
    client: Client, usual: Sticking, n: str
) -> None:
    answer = plan_it(client, do="", n_per_unit=n)
    assert answer.status_code == 422
    assert "must be a whole number" in said_on(answer)
    form = {"plant": "rose-gate", "differs": "auxin", "n_per_unit": n}
    assert client.post("/trials/new", form).status_code == 422


def test_the_plan_is_fixed_once_as_it_was_shown(client: Client, garden: Garden, usual: Sticking) -> None:
    entry_id = str(uuid.uuid4())
    answers = [plan_it(client, entry_id=entry_id) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert answers[0].headers["Location"] == "/trials/Dip%20or%20none"
    (row,) = trial_rows(garden, trials=[NAME])
    assert (row.units_per_arm, row.n_per_unit) == (4, 6)
    assert row.arms == "A no hormone;B IBA 3000 mg/kg, powder"
    plan = plan_of(row)
    assert (plan.seed, plan.count_after, plan.usual, plan.matters) == (12, 84, 0.5, 0.25)
    assert "12 weeks after sticking" in plan.stop_rule
    assert plan.way["cover"] == "mist"
    assert Note.rows.of(garden).count() == 1


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"arm_B": ""}, "say at least two ways"),
        ({"arm_B": "none"}, "is the same as another"),
        ({"strength_B": ""}, "say how strong it is"),
        ({"form_B": ""}, "say how the hormone is given"),
        ({"question": ""}, "say what you want to know"),
        ({"trial": " "}, "give it a name"),
        ({"trial": "new"}, "must be a name of its own"),
        ({"matters": "0"}, "must be a whole number from 1 to 90"),
        ({"units_per_arm": "1"}, "must be a whole number from 2 to 200"),
        ({"weeks": ""}, "must be a whole number from 1 to 104"),
        ({"way": "none such"}, "choose a way"),
        ({"matters": "1", "n_per_unit": "1", "units_per_arm": ""}, "even 1,000 pots"),
    ],
)
def test_what_is_missing_or_wrong_is_told_and_nothing_is_kept(
    client: Client, garden: Garden, usual: Sticking, said: dict[str, str], told: str
) -> None:
    answer = plan_it(client, **said)
    assert answer.status_code == 422
    assert told in said_on(answer)
    assert not Trial.rows.of(garden).exists()


def test_ways_of_another_thing_are_kept_as_that_thing(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    plan_it(client, differs="part", arm_A="upper", arm_B="middle", arm_C="lower")
    (row,) = trial_rows(garden, trials=[NAME])
    assert row.arms == "A upper;B middle;C lower"
    assert [dict(arm.way) for arm in plan_of(row).arms] == [
        {"part": "upper"},
        {"part": "middle"},
        {"part": "lower"},
    ]
