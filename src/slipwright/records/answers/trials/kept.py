"""Verdicts of trials, kept with what was learned: the list of all trials works out next to none itself."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.trials.now import TrialNow, trials_now
from slipwright.records.answers.trials.told import Verdict, rows_of, told_of
from slipwright.records.models import Garden
from slipwright.records.selectors.fits import kept_with_fit, newest_kept_with_fit
from slipwright.records.selectors.trials import trials_in_order
from slipwright.records.services.fits import keep_with_fit

#: the name under which a fit keeps verdicts
KEPT_AS = "trials"
#: raise it where a verdict is drawn in another way
FORM = 1
#: verdicts a page works out by itself, and the helper in one pass
A_PAGE, A_PASS = 1, 20

_DONE: Remembered[bool] = Remembered()
Kept = Mapping[str, Mapping[str, Any]]


def verdicts_of(garden: Garden, trials: Iterable[TrialNow]) -> dict[str, Verdict | None]:
    """Return the verdicts of the trials that may be judged, by name; None where too little was counted.

    One query or two. A trial that is not among them may be judged, and the helper has not come to it yet.
    """
    kept = _kept(garden)
    left = A_PAGE
    found: dict[str, Verdict | None] = {}
    for now in trials:
        if not now.may_judge:
            continue
        if (known := kept.get(_mark(now))) is not None:
            found[now.row.trial] = _from_kept(now, known)
        elif left:
            left -= 1
            told = told_of(now)
            found[now.row.trial] = told.verdict if told else None
    return found


def refresh(garden: Garden, *, on: date) -> int:
    """Work out and keep verdicts that are missing, some in a pass; return how many.

    ``garden`` must have just been read. One in which nothing was written since costs no query.
    """
    rests_on = as_of(garden.last_number, garden.last_edit, on), garden.fit_id
    if not garden.fit_id or _DONE.get(garden.garden, rests_on):
        return 0
    kept, names = _kept(garden), trials_in_order(garden)
    judged = {_mark(now): now for now in trials_now(garden, names, on=on) if now.may_judge}
    found = {mark: kept[mark] for mark in judged if mark in kept}
    missing = {mark: now for mark, now in judged.items() if mark not in kept}
    for mark, now in list(missing.items())[:A_PASS]:
        told = told_of(now)
        found[mark] = _as_kept(told.verdict) if told else {}
    if found and (missing or kept_with_fit(garden, KEPT_AS) is None):
        keep_with_fit(garden.fit_id, KEPT_AS, found)
    if len(missing) <= A_PASS:
        _DONE.keep(garden.garden, rests_on, True)
    return min(len(missing), A_PASS)


def _kept(garden: Garden) -> Kept:
    found: Kept = kept_with_fit(garden, KEPT_AS) or newest_kept_with_fit(garden, KEPT_AS) or {}
    return found


def _mark(now: TrialNow) -> str:
    """Return what stands for all that a verdict rests on."""
    letters = [arm.letter for arm in now.arms]
    rests_on = (FORM, rows_of(now), letters, now.plan.matters, now.n_per_unit)
    return hashlib.sha256(repr(rests_on).encode()).hexdigest()[:20]


def _as_kept(verdict: Verdict) -> dict[str, Any]:
    kept = asdict(verdict)
    return kept | {"ahead": verdict.ahead.letter, "behind": verdict.behind.letter}


def _from_kept(now: TrialNow, kept: Mapping[str, Any]) -> Verdict | None:
    if not kept:
        return None
    arms = {arm.letter: arm for arm in now.arms}
    return Verdict(**{**kept, "ahead": arms[kept["ahead"]], "behind": arms[kept["behind"]]})
