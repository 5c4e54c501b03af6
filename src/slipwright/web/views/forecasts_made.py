"""Forecasts against what came: whether ranges held as often as they said, and how near they lay."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from slipwright.craft.figures import FIRM, plain
from slipwright.craft.said import in_tongue
from slipwright.outputs.charts.reliability import ReliabilityWords, range_bar, reliability_chart
from slipwright.records.answers.forecasts.calibration import scores_of
from slipwright.records.answers.forecasts.turned_out import (
    LEAST_BATCHES,
    Compared,
    OneForecast,
    Scores,
    batches_to_tell,
)
from slipwright.records.selectors.fits import fit_now
from slipwright.rooting.reliability import Reliability
from slipwright.rooting.scoring import LEVELS, Better
from slipwright.web.membership import GardenRequest, access


@dataclass(frozen=True, slots=True)
class Told:
    """Forecasts of one sort as the page tells them: sentences, drawings, tables."""

    id: str
    name: str
    scores: Scores
    held: str
    verdict: str
    chance: str
    nearer: list[str]
    settle: list[str]
    title: str
    chart: str
    levels: list[tuple[int, float, float, float]]
    parts: list[tuple[str, Compared]]
    latest: list[tuple[OneForecast, str]]
    left_out: list[str]
    is_afterwards: bool


@require_safe
@access("member")
def forecasts(request: GardenRequest) -> HttpResponse:
    """Show how good the garden's forecasts turned out."""
    made, afterwards = scores_of(request.garden)
    told = [
        _told(scores, is_afterwards=is_afterwards)
        for scores, is_afterwards in ((made, False), (afterwards, True))
        if scores
    ]
    # what can be told of comes first
    told.sort(key=lambda one: one.scores.ranges is None)
    fit = fit_now(request.garden, with_found=False)
    return render(request, "web/forecasts_made.html", {"told": told, "fit": fit})


def _told(scores: Scores, *, is_afterwards: bool) -> Told:
    ranges, whole = scores.ranges, scores.whole
    compared = [one for one in scores.parts if one.what == "stuck-end"]
    return Told(
        "afterwards" if is_afterwards else "made",
        _("Worked out afterwards") if is_afterwards else _("As they were made"),
        scores,
        _held(ranges) if ranges else "",
        _verdict(scores),
        _chance(ranges) if ranges and scores.verdict != "too-few" else "",
        _nearer(whole, compared[0] if compared else None),
        _settle(scores, whole, compared[0] if compared else None),
        _title(scores),
        _chart(scores, ranges) if ranges else "",
        _levels(ranges) if ranges else [],
        [(_names()[one.what], one) for one in scores.parts],
        [(one, _bar(one)) for one in scores.latest],
        _left_out(scores),
        is_afterwards,
    )


def _held(ranges: Reliability) -> str:
    return ngettext(
        "Of %(n)s range given, %(held)s held what came: 8 in 10 were meant.",
        "Of %(n)s ranges given, %(held)s held what came: 8 in 10 were meant.",
        ranges.n,
    ) % {"n": ranges.n, "held": ranges.n_held}


def _verdict(scores: Scores) -> str:
    if scores.ranges is None:
        return ""
    said = {
        "too-few": _("That is too little to tell how good they are."),
        "as-meant": _("They hold as often as they should."),
        "perhaps-narrow": _("Perhaps they are a little too narrow; chance alone does as much now and then."),
        "perhaps-wide": _(
            "Perhaps they are a little wider than need be; chance alone does as much now and then."
        ),
        "too-narrow": _("They are too narrow: more lies outside than was said."),
        "too-wide": _("They are wider than need be: less lies outside than was said."),
    }[scores.verdict]
    lean = {
        "": "",
        "fewer": _("Fewer rooted than the middle said, more often than chance has it."),
        "more": _("More rooted than the middle said, more often than chance has it."),
    }[scores.lean]
    return f"{said} {lean}".strip()


def _chance(ranges: Reliability) -> str:
    return _(
        "A number at the very end of a range counts as within, so %(expected)s of %(n)s were to be expected; "
        "by chance alone it would be %(low)s to %(high)s, 8 times in 10."
    ) % {
        "expected": _whole(ranges.n_expected),
        "n": ranges.n,
        "low": _whole(ranges.held_low),
        "high": _whole(ranges.held_high),
    }


def _nearer(whole: Compared | None, stuck: Compared | None) -> list[str]:
    if whole is None:
        return []
    said = [
        _(
            "Forecasts that learned from your records lay %(ours)s cuttings off, "
            "those of the handbook alone %(theirs)s."
        )
        % {"ours": _figure(whole.ours), "theirs": _figure(whole.handbook)}
        + " "
        + _by(whole.than_handbook)
    ]
    if stuck and stuck.than_average:
        said.append(
            _(
                "On the day of sticking they lay %(ours)s cuttings off in the end, "
                "the plain average of batches before %(theirs)s."
            )
            % {"ours": _figure(stuck.ours_there), "theirs": _figure(stuck.average)}
            + " "
            + _by(stuck.than_average)
        )
    return said


def _by(better: Better) -> str:
    if better.n_batches < LEAST_BATCHES:
        return _("That is too little to tell which is better.")
    low, high = _percent(abs(better.low)), _percent(abs(better.high))
    if not better.is_clear:
        return _("No difference to tell yet: from %(low)s further to %(high)s nearer, 8 times in 10.") % {
            "low": low,
            "high": high,
        }
    if better.share > 0:
        return _("That is %(share)s nearer (8 times in 10: %(low)s to %(high)s).") % {
            "share": _percent(better.share),
            "low": _whole(100 * better.low),
            "high": high,
        }
    return _("That is %(share)s further off (8 times in 10: %(high)s to %(low)s).") % {
        "share": _percent(-better.share),
        "high": _whole(-100 * better.high),
        "low": low,
    }


def _settle(scores: Scores, whole: Compared | None, stuck: Compared | None) -> list[str]:
    n_batches = scores.ranges.n_batches if scores.ranges else 0
    if n_batches < LEAST_BATCHES:
        return [
            ngettext(
                "%(n)s batch more of which it is known what came: then it is told how good the ranges are.",
                "%(n)s batches more of which it is known what came: then it is told how good the ranges are.",
                LEAST_BATCHES - n_batches,
            )
            % {"n": LEAST_BATCHES - n_batches}
        ]
    said = []
    for better, name in (
        (whole and whole.than_handbook, _("the handbook alone")),
        (stuck and stuck.than_average, _("the plain average")),
    ):
        if better and better.n_batches >= LEAST_BATCHES and not better.is_clear:
            n = batches_to_tell(better)
            if n:
                said.append(
                    _(
                        "About %(n)s batches would tell whether they lie nearer than %(other)s, "
                        "if it goes on so."
                    )
                    % {"n": n, "other": name}
                )
            else:
                said.append(
                    _(
                        "They lie about as near as %(other)s; "
                        "it would take many hundreds of batches to tell more."
                    )
                    % {"other": name}
                )
    return said


def _names() -> dict[str, str]:
    return {
        "stuck-end": _("When stuck, for the end of patience"),
        "stuck-look": _("When stuck, for the next look"),
        "looked-end": _("After a look, for the end of patience"),
        "looked-look": _("After a look, for the next look"),
    }


def _left_out(scores: Scores) -> list[str]:
    names = {
        "not-yet": _("%(n)s: their day has not come"),
        "no-look": _("%(n)s: nobody has looked on their day or since"),
        "looks-apart": _("%(n)s: the looks before and after lie more than two weeks apart"),
        "taken-away": _("%(n)s: cuttings were taken away or given up before the day"),
        "another-now": _("%(n)s: the batch was written down anew since"),
        "no-number": _("%(n)s: no look tells what had rooted by the end of patience"),
    }
    return [names[why] % {"n": n} for why, n in sorted(scores.left_out.items()) if why in names]


def _title(scores: Scores) -> str:
    return {
        "too-few": _("Too few forecasts to tell whether they come as often as they say"),
        "as-meant": _("Forecasts come as often as they say"),
        "perhaps-narrow": _("Forecasts come about as often as they say"),
        "perhaps-wide": _("Forecasts come about as often as they say"),
        "too-narrow": _("More lies outside the ranges than they say"),
        "too-wide": _("Less lies outside the ranges than they say"),
    }[scores.verdict]


def _chart(scores: Scores, ranges: Reliability) -> str:
    words = ReliabilityWords(
        _title(scores),
        _("said: at most so many"),
        _("came, times in 10"),
        _("right forecasts, 8 times in 10"),
        _("what came"),
        _("{n} in 10"),
    )
    return reliability_chart(LEVELS, ranges.came, ranges.low, ranges.high, words)


def _levels(ranges: Reliability) -> list[tuple[int, float, float, float]]:
    rows = zip(LEVELS, ranges.came, ranges.low, ranges.high, strict=True)
    return [
        (round(100 * level), 100 * came, 100 * low, 100 * high)
        for place, (level, came, low, high) in enumerate(rows)
        if place % 2
    ]


def _bar(one: OneForecast) -> str:
    title = _("%(low)s to %(high)s of %(n)s were forecast, %(came)s rooted") % {
        "low": one.low,
        "high": one.high,
        "n": one.n_stuck,
        "came": one.came,
    }
    return range_bar((one.low, one.middle, one.high), one.came, one.n_stuck, title=title)


def _figure(value: float) -> str:
    return number_format(round(value, 1), 1)


def _whole(value: float) -> str:
    return in_tongue(plain(value, 0), _)


def _percent(share: float) -> str:
    return f"{in_tongue(plain(100 * share, 0), _)}{FIRM}%"
