"""What is kept in one tongue, days, and plant names: each shown in the tongue of the page."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import cast

import pytest
from django.template import Context, Template
from django.utils.translation import override

from slipwright.craft.said import in_tongue
from slipwright.records.answers.findings.kept import Counted, Factor, Level
from slipwright.records.answers.programme.use import items_said
from slipwright.records.answers.trials.now import TrialNow
from slipwright.records.answers.trials.plan import Arm
from slipwright.records.canonical import Value
from slipwright.records.selectors.trials import TrialRow
from slipwright.web import findings_shown, trials_words
from slipwright.web.days import in_form
from slipwright.web.known_as import known_as
from tests.records.answers.trial_making import PLAN

DAY = date(2015, 6, 12)


def _shown(*arms: Arm, differs: str = "part", rule: str = PLAN.stop_rule, weeks: int = 8) -> TrialNow:
    plan = replace(PLAN, differs=differs, arms=arms, stop_rule=rule, count_after=7 * weeks)
    with override("es"):
        return trials_words.in_tongue_of_page(TrialNow(cast(TrialRow, None), plan, (), "planned", DAY))


def test_what_the_pages_worded_of_a_trial_is_said_in_the_tongue_of_the_page() -> None:
    rule = trials_words.stop_rule_in_words(8, "Ask Rowan first.")
    arms = (Arm("A", "upper", {"part": "upper"}), Arm("B", "middle", {"part": "middle"}))
    shown = _shown(*arms, rule=rule)
    assert [arm.name for arm in shown.arms] == ["parte superior", "parte media"]
    assert "weeks after sticking" not in shown.plan.stop_rule
    assert shown.plan.stop_rule.endswith("Ask Rowan first.")


def test_a_hormone_of_a_trial_is_said_again_and_a_name_a_grower_gave_is_not() -> None:
    dip: dict[str, Value] = {"auxin": "iba", "auxin_form": "talc", "auxin_mg_per_kg": 1000}
    arms = (Arm("A", "no hormone", {"auxin": "none"}), Arm("B", "the old powder", dip))
    first, second = (arm.name for arm in _shown(*arms, differs="auxin").arms)
    assert first != "no hormone"
    assert second == "the old powder"


def test_short_months_are_small_where_the_tongue_has_them_small() -> None:
    at = datetime(2015, 6, 12, 9, 30, tzinfo=UTC)
    template = Template('{% load slip %}{{ at|date:"j M Y" }}')
    assert in_form(DAY, "j M") == "12 Jun"
    with override("es"):
        assert in_form(DAY, "j M") == "12 jun"
        assert template.render(Context({"at": at})) == "12 jun 2015"
        assert template.render(Context({"at": None})) == ""


@pytest.mark.parametrize(
    ("name", "taxon", "shown"),
    [
        ("common sage", "Salvia officinalis 'Harbour Wall'", "salvia"),
        ("blackcurrant", "Ribes nigrum", "grosellero negro"),
        ("lavender", "Lavandula angustifolia", "lavanda común"),
        ("Granny's sage", "Salvia officinalis", "Granny's sage"),
        ("", "Salvia officinalis", ""),
    ],
)
def test_a_name_the_handbook_knows_is_said_and_a_gardens_own_left(name: str, taxon: str, shown: str) -> None:
    assert known_as(name, taxon) == name
    with override("es"):
        assert known_as(name, taxon) == shown


def test_a_place_is_called_what_the_garden_calls_it() -> None:
    level = Level("Shelf", Counted(1, 10, 5, 0, 5, 0), beside=(-0.06, -0.002, 0.01))
    with override("es"):
        (line,) = findings_shown.factor_shown(Factor("place", (level,), None), "metric").lines
    assert line.name == "Shelf"


def test_no_minus_stands_before_nought_and_a_range_below_it_has_no_dash() -> None:
    assert findings_shown._range((-0.02, -0.001, 0.01)) == "0 (−2 to 1)"
    assert findings_shown._range((-0.004, 0.03, 0.06)) == "3 (0–6)"


def test_what_every_garden_buys_is_said_and_what_one_garden_named_is_not() -> None:
    spanish = {"hormone": "hormona", "Blue pot": "never"}
    said = in_tongue(items_said(["hormone", "Blue pot"]), lambda text: spanish.get(text, text))
    assert said == "hormona, Blue pot"
