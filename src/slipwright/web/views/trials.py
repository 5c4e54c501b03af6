"""Trials: all of them with their verdicts, one with its bench and what it taught, and its table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.outputs.charts.trial_estimate import ArmFound, trial_difference, trial_shares
from slipwright.outputs.drawings.bench_plan import PotOfTrial, bench_plan
from slipwright.records.answers.trials.ahead import pots_ahead
from slipwright.records.answers.trials.kept import verdicts_of
from slipwright.records.answers.trials.now import TrialNow, trial_now, trials_now
from slipwright.records.answers.trials.plan import Plan, arms_in_row, layout_of
from slipwright.records.answers.trials.table import command, file_name, trial_csv
from slipwright.records.answers.trials.told import TrialTold, Verdict, counted_by_arm, told_of
from slipwright.records.codes import SHORT
from slipwright.records.selectors.trials import trials_in_order
from slipwright.web import trials_words
from slipwright.web.asked import whole_of
from slipwright.web.membership import GardenRequest, access

#: trials on one page of the list
A_PAGE = 20
_MARKS = {"counted": "done", "due": "due", "waits": ""}


@require_safe
@access("member")
def trials(request: GardenRequest) -> HttpResponse:
    """Show trials with their state and, once they may be judged, what they taught in one sentence."""
    names = trials_in_order(request.garden)
    last = max(-(-len(names) // A_PAGE), 1)
    page = min(max(whole_of(request.GET.get("page", "")) or 1, 1), last)
    asked = names[(page - 1) * A_PAGE : page * A_PAGE]
    kept = trials_now(request.garden, asked, on=request.today)
    some = [trials_words.in_tongue_of_page(now) for now in kept]
    verdicts = verdicts_of(request.garden, some)
    found = [(now, *trials_words.state_words(now), _in_list(now, verdicts)) for now in some]
    pages = {
        "before": f"?page={page - 1}" if page > 1 else "",
        "after": f"?page={page + 1}" if page < last else "",
    }
    return render(request, "web/trials.html", {"trials": found} | pages)


def _in_list(now: TrialNow, verdicts: Mapping[str, Verdict | None]) -> str:
    if now.may_judge and now.row.trial not in verdicts:
        return _("The verdict is being worked out; the trial’s own page has it at once.")
    return sentence_of(now, verdicts.get(now.row.trial))


@require_safe
@access("member")
def trial(request: GardenRequest, key: str) -> HttpResponse:
    """Show one trial: what it taught, its bench, its pots, its rule, and the figures below."""
    kept = trial_now(request.garden, key, on=request.today)
    now = trials_words.in_tongue_of_page(kept)
    told = told_of(now) if now.may_judge else None
    word, sign = trials_words.state_words(now)
    page = {
        "now": now,
        "told": told,
        "so_far": () if told else counted_by_arm(now),
        "state": word,
        "sign": sign,
        "differs": trials_words.THINGS.get(now.plan.differs, ""),
        "answer": sentence_of(now, told.verdict if told else None),
        "bench": bench_of(now),
        "labels": urlencode([("b", pot.pot.batch) for pot in now.pots]),
        "stock": request.session.get("stock", "stake"),
        "ahead": pots_ahead(request.garden, now),
        "command": command(kept),
        "file": file_name(kept),
        "n_in_all": now.n_units * len(now.arms),
        "changed": _changed(kept),
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


def _changed(now: TrialNow) -> list[str]:
    """Return what the table says by now otherwise than was fixed."""
    row, plan, found = now.row, now.plan, []
    if not row.plan:
        return []
    if plan.stop_rule != " ".join(row.stop_rule.split()):
        found.append(row.stop_rule)
    if (now.n_units, now.n_per_unit) != (row.units_per_arm, row.n_per_unit):
        said = {"n": row.units_per_arm, "k": row.n_per_unit}
        found.append(_("%(n)s pots of each way, %(k)s cuttings a pot") % said)
    if arms_in_row(plan.arms) != row.arms:
        found.append(row.arms)
    return found


def sentence_of(now: TrialNow, verdict: Verdict | None) -> str:
    """Return a trial in one sentence: its verdict, else how far it has come."""
    if verdict is not None:
        return trials_words.verdict_in_words(verdict)
    if now.may_judge:
        return _("Not settled: fewer than two of the ways have a pot that was counted.")
    return trials_words.progress_in_words(now)


def bench_of(now: TrialNow) -> str:
    """Return the bench as it stands, or as it is to stand where nothing is stuck yet."""
    if not now.pots:
        if not now.row.plan:
            return ""
        return planned_bench(now.plan, now.n_units, now.n_per_unit)
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
    # a block that has a name of its own is called by it
    called = [block[0].pot.block or str(block[0].block) for block in now.blocks]
    return bench_plan(blocks, title, [_("block %(block)s") % {"block": name} for name in called])


def planned_bench(plan: Plan, units_per_arm: int, n_per_unit: int) -> str:
    """Return the bench as a plan has it."""
    units = layout_of(plan, units_per_arm=units_per_arm, n_per_unit=n_per_unit)
    blocks: dict[int, list[PotOfTrial]] = {}
    letters = [arm.letter for arm in plan.arms]
    for at, unit in enumerate(units, 1):
        pot = PotOfTrial(unit.arm[:1], letters.index(unit.arm), str(at))
        blocks.setdefault(unit.block, []).append(pot)
    title = _("The bench as it is to stand: %(blocks)s blocks, %(pots)s pots") % {
        "blocks": len(blocks),
        "pots": len(units),
    }
    called = [_("block %(block)s") % {"block": number} for number in blocks]
    return bench_plan(list(blocks.values()), title, called)


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
