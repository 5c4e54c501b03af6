"""What was learned: up to when, what makes a difference, and each plant beside what the handbook says."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs.charts.beliefs import ShareWords, reach_of, share_curves, times_bar, times_rule
from slipwright.records.answers.contrasts import Contrast, factor
from slipwright.records.answers.findings.found import PlantFound
from slipwright.records.answers.taught import PlantTaught, Taught, plant_taught, taught
from slipwright.rooting.cuttings import Clock
from slipwright.web.asked import whole_of
from slipwright.web.membership import GardenRequest, access


@require_safe
@access("member")
def learned(request: GardenRequest) -> HttpResponse:
    """Show what was learned of the garden, and a page of its plants."""
    page = max(whole_of(request.GET.get("page", "")) or 1, 1)
    told = taught(request.garden, page=page)
    return render(
        request,
        "web/learned.html",
        {"taught": told, **(_shown(told) if told and told.fit.is_of_this_model else {})},
    )


@require_safe
@access("member")
def learned_plant(request: GardenRequest) -> HttpResponse:
    """Show one plant's wood: which share roots by day, as the handbook says and as was learned.

    Where nothing was learned of it, all that was learned is shown.
    """
    told = taught(request.garden)
    asked = (request.GET.get("taxon", ""), request.GET.get("wood", ""))
    plants = told.found.plants if told else []
    plant = next((one for one in plants if (one.taxon, one.wood) == asked), None)
    curves = plant and plant_taught(request.garden, load_handbook(), plant, on=request.today)
    if not told or not plant or not curves:
        return redirect("learned")
    page = {
        "taught": told,
        "plant": plant,
        "curves": curves,
        "chart": _chart(curves),
        "days": _days(curves),
        "ends": [row[-1] for row in curves.learned],
        "weeks": round(curves.days[-1] / 7),
    }
    return render(request, "web/learned_plant.html", page | _bars_of_plant(plant))


def _shown(told: Taught) -> dict[str, Any]:
    known = told.found.learned
    first, others = (known[0] if known else None), known[1:]
    reach = reach_of([range_ for one in known for range_ in (_learned(one), _believed(one))])
    return {
        "groups": [
            (_("Rooting"), "rooting", _rows([one for one in others if one.clock == "rooting"], reach)),
            (_("Losses"), "loss", _rows([one for one in others if one.clock == "loss"], reach)),
        ],
        "rule": times_rule(reach),
        "first": first,
        "first_bar": _bar(first, reach) if first else "",
        "n_others": len(others),
        "plants": [(one, _at(one)) for one in told.plants],
        "before": f"?page={told.page - 1}" if told.page > 1 else "",
        "after": f"?page={told.page + 1}" if told.has_more else "",
    }


def _rows(contrasts: Sequence[Contrast], reach: float) -> list[tuple[Contrast, str]]:
    return [(one, _bar(one, reach)) for one in contrasts]


def _bar(one: Contrast, reach: float) -> str:
    return times_bar(_believed(one), _learned(one), one.clock, reach=reach, title=in_tongue(one.in_words, _))


def _learned(one: Contrast) -> tuple[float, float, float]:
    return one.p10, one.p50, one.p90


def _believed(one: Contrast) -> tuple[float, float, float]:
    return one.prior_p10, one.prior_p50, one.prior_p90


def _at(plant: PlantFound) -> str:
    return f"{reverse('learned-plant')}?{urlencode({'taxon': plant.taxon, 'wood': plant.wood})}"


def _bars_of_plant(plant: PlantFound) -> dict[str, Any]:
    both = (plant.rooting, plant.loss)
    reach = reach_of([range_ for one in both for range_ in ((one.p10, one.p50, one.p90), one.believed)])
    rows = []
    for one in both:
        clock: Clock = "loss" if one is plant.loss else "rooting"
        said = _words_of(clock, plant.has_row) % {
            name: in_tongue(factor(times), _)
            for name, times in (("x", one.p50), ("low", one.p10), ("high", one.p90))
        }
        known = (one.p10, one.p50, one.p90)
        rows.append((said, one, times_bar(one.believed, known, clock, reach=reach, title=said)))
    return {"bars": rows, "rule": times_rule(reach)}


def _words_of(clock: Clock, has_row: bool) -> str:
    """Return the sentence of a clock, with places for three multiples."""
    if clock == "loss":
        if has_row:
            return _(
                "It is lost about %(x)s times as fast as the handbook says "
                "(8 times in 10: %(low)s to %(high)s)."
            )
        return _(
            "It is lost about %(x)s times as fast as plants in general (8 times in 10: %(low)s to %(high)s)."
        )
    if has_row:
        return _(
            "It roots about %(x)s times as fast as the handbook says (8 times in 10: %(low)s to %(high)s)."
        )
    return _("It roots about %(x)s times as fast as plants in general (8 times in 10: %(low)s to %(high)s).")


def _chart(curves: PlantTaught) -> str:
    if curves.has_page:
        title = _(
            "Of 10 cuttings rooted by week: as the handbook says dashed, as your records teach as a band"
        )
        before = _("the handbook, 8 times in 10")
    else:
        title = _("Of 10 cuttings rooted by week: as of any plant dashed, as your records teach as a band")
        before = _("any plant, 8 times in 10")
    words = ShareWords(title, before, _("with your records, 8 times in 10"), _("{n} wk"))
    return share_curves(curves.days, curves.believed, curves.learned, words)


def _days(curves: PlantTaught) -> list[tuple[int, list[float], list[float]]]:
    """Return every other day of the curves with its points, in per cent."""
    return [
        (day, [100 * row[at] for row in curves.believed], [100 * row[at] for row in curves.learned])
        for at, day in enumerate(curves.days)
        if at % 2 == 0 and day
    ]
