"""Trials: all of them with their verdicts, one with its bench and what it taught, and its table."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.outputs.charts.trial_estimate import ArmFound, trial_difference, trial_shares
from slipwright.outputs.drawings.bench_plan import PotOfTrial, bench_plan
from slipwright.records.answers.trials_now import TrialNow, trial_now, trials_now
from slipwright.records.answers.trials_plan import LETTERS, Plan, layout_of
from slipwright.records.answers.trials_table import command, file_name, trial_csv
from slipwright.records.answers.trials_told import TrialTold, told_of
from slipwright.records.codes import SHORT
from slipwright.web import trials_words
from slipwright.web.membership import GardenRequest, access

_MARKS = {"counted": "done", "due": "due", "waits": ""}


@require_safe
@access("member")
def trials(request: GardenRequest) -> HttpResponse:
    """Show every trial with its state and, once it may be judged, what it taught in one sentence."""
    found = [
        (now, *trials_words.state_words(now), sentence_of(now, _judged(now)))
        for now in trials_now(request.garden, on=request.today)
    ]
    return render(request, "web/trials.html", {"trials": found})


@require_safe
@access("member")
def trial(request: GardenRequest, key: str) -> HttpResponse:
    """Show one trial: what it taught, its bench, its pots, its rule, and the figures below."""
    now = trial_now(request.garden, key, on=request.today)
    told, so_far = _judged(now), None
    if told is None and now.counted:
        so_far = told_of(now)
    word, sign = trials_words.state_words(now)
    page = {
        "now": now,
        "told": told,
        "so_far": so_far,
        "state": word,
        "sign": sign,
        "differs": trials_words.THINGS.get(now.plan.differs, ""),
        "answer": sentence_of(now, told),
        "bench": bench_of(now),
        "labels": urlencode([("b", pot.pot.batch) for pot in now.pots]),
        "stock": request.session.get("stock", "stake"),
        "command": command(now),
        "file": file_name(now),
        "n_in_all": now.row.units_per_arm * len(now.arms),
        "rule_changed": now.row.plan and now.plan.stop_rule != " ".join(now.row.stop_rule.split()),
    }
    return render(request, "web/trial.html", page | (_charts(told) if told else {}))


@require_safe
@access("member")
def trial_table(request: GardenRequest, key: str) -> HttpResponse:
    """Return a trial's pots as the table that `slipwright trial` reads."""
    now = trial_now(request.garden, key, on=request.today)
    answer = HttpResponse(b"".join(trial_csv(now)), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{file_name(now)}"'
    return answer


def _judged(now: TrialNow) -> TrialTold | None:
    return told_of(now) if now.may_judge else None


def sentence_of(now: TrialNow, told: TrialTold | None) -> str:
    """Return a trial in one sentence: its verdict, else how far it has come."""
    if told is not None:
        return trials_words.verdict_in_words(told.verdict)
    if now.may_judge:
        return _("Not settled: fewer than two of the ways have a pot that was counted.")
    return trials_words.progress_in_words(now)


def bench_of(now: TrialNow) -> str:
    """Return the bench as it stands, or as it is to stand where nothing is stuck yet."""
    if not now.pots:
        if not now.row.plan:
            return ""
        return planned_bench(now.plan, now.row.units_per_arm, now.row.n_per_unit)
    letters = [arm.letter for arm in now.arms]
    blocks = [
        [
            PotOfTrial(
                pot.arm.letter[:1] if pot.arm else "?",
                letters.index(pot.arm.letter) if pot.arm else 0,
                pot.pot.batch[:SHORT],
                _MARKS[pot.state],
            )
            for pot in block
        ]
        for block in now.blocks
    ]
    title = _("The bench: %(blocks)s blocks, %(pots)s pots, %(counted)s of them counted") % {
        "blocks": len(blocks),
        "pots": len(now.pots),
        "counted": len(now.counted),
    }
    return bench_plan(blocks, title, _("block {n}"))


def planned_bench(plan: Plan, units_per_arm: int, n_per_unit: int) -> str:
    """Return the bench as a plan has it."""
    units = layout_of(plan, units_per_arm=units_per_arm, n_per_unit=n_per_unit)
    blocks: dict[int, list[PotOfTrial]] = {}
    for at, unit in enumerate(units, 1):
        blocks.setdefault(unit.block, []).append(PotOfTrial(unit.arm, LETTERS.index(unit.arm), str(at)))
    title = _("The bench as it is to stand: %(blocks)s blocks, %(pots)s pots") % {
        "blocks": len(blocks),
        "pots": len(units),
    }
    return bench_plan(list(blocks.values()), title, _("block {n}"))


def _charts(told: TrialTold) -> dict[str, Any]:
    verdict = told.verdict
    arms = [
        ArmFound(f"{one.arm.letter}  {one.arm.name}", one.share.q10, one.share.mean, one.share.q90, one.pots)
        if one.arm.letter != one.arm.name
        else ArmFound(one.arm.name, one.share.q10, one.share.mean, one.share.q90, one.pots)
        for one in told.arms
    ]
    shares = "; ".join(
        _("%(name)s: about %(n)s in 100") % {"name": one.arm.name, "n": round(100 * one.share.mean)}
        for one in told.arms
    )
    sides = (
        _("← %(arm)s better") % {"arm": verdict.behind.letter},
        _("%(arm)s better →") % {"arm": verdict.ahead.letter},
    )
    return {
        "pairs": [trials_words.pair_in_words(pair) for pair in told.pairs],
        "shares_words": shares,
        "shares_chart": trial_shares(arms, shares, _("rooted in each 100")),
        "difference_chart": trial_difference(
            verdict.low,
            verdict.by,
            verdict.high,
            matters=verdict.matters,
            title=trials_words.verdict_in_words(verdict),
            side_words=sides,
            rule_words=_("more rooted in each 100"),
        ),
    }
