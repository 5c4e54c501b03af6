"""Findings that take long are carried along by a quick fit, and worked out anew by and by."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.findings import made as findings_made
from slipwright.records.answers.findings.made import RENEWED_EACH, carried, due_at, renew
from slipwright.records.answers.findings.page import findings_page
from slipwright.records.answers.refit import learn
from slipwright.records.models import Garden, Member
from slipwright.records.services.fits import keep_with_fit, still_holds
from slipwright.rooting import fitting
from tests.records.making import stick

HANDBOOK = load_handbook()
LATER = timedelta(minutes=5)


def fresh(garden: Garden) -> Garden:
    return Garden.objects.get(pk=garden.pk)


def look(garden: Garden, grower: Member, now: datetime, batch: str, on: date, n_rooted: int) -> None:
    services.record_look(garden=garden, by=grower, now=now, batch=batch, on=on, n_rooted=n_rooted, n_lost=0)


def shown(garden: Garden) -> Any:
    return fit_found(garden)["shown"]


@pytest.fixture
def twice_learned(garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch) -> Garden:
    """A garden learned from in full, then once more after a look; its findings count as slow."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    monkeypatch.setattr(findings_made, "QUICK_S", -1.0)
    codes = [stick(garden, grower, now, n_stuck=20).batch for _ in range(12)]
    for code in codes:
        look(garden, grower, now, code, date(2025, 10, 14), 4)
    assert learn(fresh(garden), HANDBOOK, now=now)
    look(garden, grower, now, codes[0], date(2025, 10, 16), 8)
    assert learn(fresh(garden), HANDBOOK, now=now + LATER, full=False)
    return fresh(garden)


def test_a_quick_fit_carries_slow_findings_along_and_the_page_says_up_to_when(
    twice_learned: Garden, now: datetime
) -> None:
    page = findings_page(twice_learned)
    assert page.fit is not None
    assert not page.fit.is_full
    assert page.up_to == now
    assert page.shown is not None
    assert page.rates[0].counted.n_rooted == 48
    assert due_at(twice_learned) == now + RENEWED_EACH


def test_they_are_worked_out_anew_for_the_fit_that_holds(twice_learned: Garden, now: datetime) -> None:
    others = {name: value for name, value in fit_found(twice_learned).items() if name != "shown"}
    assert renew(twice_learned, HANDBOOK)
    page = findings_page(fresh(twice_learned))
    assert page.up_to is None
    assert page.rates[0].counted.n_rooted == 56
    assert due_at(fresh(twice_learned)) is None
    assert not renew(fresh(twice_learned), HANDBOOK)
    after = fit_found(twice_learned)
    assert {name: value for name, value in after.items() if name != "shown"} == others


def fit_found(garden: Garden) -> dict[str, Any]:
    fit = fresh(garden).fit
    assert fit is not None
    found: dict[str, Any] = fit.found
    return found


def test_anew_they_are_as_a_fit_would_have_made_them(
    twice_learned: Garden, monkeypatch: pytest.MonkeyPatch, now: datetime
) -> None:
    assert renew(twice_learned, HANDBOOK)
    by_helper = shown(twice_learned)["rates"][0]["share"]
    monkeypatch.setattr(findings_made, "QUICK_S", 100.0)
    assert learn(fresh(twice_learned), HANDBOOK, now=now + 2 * LATER, full=False, anew=True)
    assert shown(twice_learned)["rates"][0]["share"] == pytest.approx(by_helper, abs=0.03)


def test_what_was_written_since_is_learned_first(
    twice_learned: Garden, grower: Member, now: datetime
) -> None:
    stick(twice_learned, grower, now)
    assert not renew(fresh(twice_learned), HANDBOOK)


def test_quick_findings_are_worked_out_with_every_fit(
    twice_learned: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(findings_made, "QUICK_S", 100.0)
    assert learn(twice_learned, HANDBOOK, now=now + 2 * LATER, full=False, anew=True)
    assert findings_page(fresh(twice_learned)).up_to is None


def test_a_full_fit_works_them_out(twice_learned: Garden, now: datetime) -> None:
    assert learn(twice_learned, HANDBOOK, now=now + 2 * LATER)
    assert findings_page(fresh(twice_learned)).up_to is None


def test_records_that_teach_nothing_new_leave_findings_as_they_are(
    twice_learned: Garden, now: datetime
) -> None:
    assert learn(twice_learned, HANDBOOK, now=now + 2 * LATER)
    garden = fresh(twice_learned)
    still_holds(garden, now + 3 * LATER, garden.last_number, garden.last_edit)
    assert due_at(garden) is None
    assert findings_page(garden).up_to is None


@pytest.mark.parametrize(
    "older", [{"form": 0, "rates": "otherwise"}, {"n_batches": 12, "rates": []}, {}, None], ids=str
)
def test_findings_of_another_form_are_not_told_and_are_worked_out_anew_with_nothing_learned(
    twice_learned: Garden, now: datetime, older: Any
) -> None:
    fit = twice_learned.fit_id
    assert fit is not None
    keep_with_fit(fit, "shown", older)
    garden = fresh(twice_learned)
    page = findings_page(garden)
    assert page.fit is not None
    assert (page.shown, page.up_to) == (None, None)
    assert carried(fit_found(garden)) is None
    due = due_at(garden)
    assert due is not None
    assert due <= now + LATER
    assert renew(garden, HANDBOOK)
    garden = fresh(garden)
    assert garden.fit_id == fit
    assert findings_page(garden).shown is not None
    assert due_at(garden) is None


def test_nothing_is_kept_with_a_fit_that_is_gone(garden: Garden) -> None:
    assert keep_with_fit(987654, "shown", {}) is False
