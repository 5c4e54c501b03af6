"""What a season report says was learned: the same sentences as the page of findings, where they are kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from typing import Any

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.findings.kept import Counted, Factor, Gap, Level
from slipwright.records.answers.findings.page import findings_page
from slipwright.records.answers.refit import learn
from slipwright.records.answers.report.taught import headlines, learned_of_season
from slipwright.records.models import Garden, GardenFit, Member
from slipwright.rooting import fitting
from slipwright.web.findings_shown import along_shown, factor_shown, rates_shown, weeks_shown
from tests.records.making import stick

COUNTED = Counted(3, 30, 10, 0, 5, 0)


@pytest.fixture
def learned(garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch) -> Garden:
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    for part, n_rooted, n_lost in (("upper", 3, 9), ("lower", 9, 1), ("upper", 2, 12), ("lower", 8, 2)):
        code = stick(garden, grower, now, n_stuck=20, part=part, length_mm=Decimal(90)).batch
        services.record_look(
            garden=garden, by=grower, now=now, batch=code, on=date(2025, 10, 15), n_rooted=n_rooted,
            n_lost=n_lost,
        )  # fmt: skip
    assert learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now)
    return Garden.objects.get(pk=garden.pk)


def test_it_tells_the_headlines_of_the_page_of_findings(learned: Garden) -> None:
    page = findings_page(learned)
    assert page.shown is not None
    assert page.along is not None
    shown = [along_shown(page.along), rates_shown(page.rates), weeks_shown(page.rates, page.shown.rates)]
    shown += [factor_shown(one, "metric") for one in page.shown.factors]
    told = learned_of_season(learned).findings
    assert list(told[:3]) == [one.headline for one in shown[:3]]
    assert {*told} <= {one.headline for one in shown}


def test_where_none_are_kept_the_comparisons_are_told(learned: Garden) -> None:
    before = learned_of_season(learned)
    (fit,) = GardenFit.rows.filter(garden=learned)
    GardenFit.rows.filter(garden=learned).update(
        found={name: value for name, value in fit.found.items() if name != "shown"}
    )
    after = learned_of_season(Garden.objects.get(pk=learned.pk))
    assert after.said == before.said
    assert not {*after.findings} & {*before.findings}


@pytest.mark.parametrize(("p_better", "is_told"), [(0.99, True), (0.7, False)])
def test_of_the_factors_only_what_is_settled_is_told(learned: Garden, p_better: float, is_told: bool) -> None:
    page = findings_page(learned)
    assert page.shown is not None
    gap = Gap("tent", "mist", (0.1, 0.2, 0.3), p_better, 0.1)
    factor = Factor("cover", tuple(Level(name, COUNTED) for name in ("tent", "mist")), gap)
    page = replace(
        page, shown=replace(page.shown, factors=(factor, Factor("dose", ()))), along=None, rates=()
    )
    assert len(list(headlines(page, "metric"))) == int(is_told)


def test_a_level_beside_what_was_expected_is_told_once_it_is_clear(learned: Garden) -> None:
    page = findings_page(learned)
    assert page.shown is not None
    for p_more, n in ((0.999, 1), (0.6, 0)):
        levels = tuple(
            Level(name, COUNTED, beside=(0.1, 0.2, 0.3), p_more=p)
            for name, p in (("2024", p_more), ("2025", 0.5))
        )
        shown = replace(page.shown, factors=(Factor("season", levels),))
        told: list[Any] = list(headlines(replace(page, shown=shown, along=None, rates=()), "metric"))
        assert len(told) == n
